"""The road after the pour: from a job, its tickets and its finished top to the whole account."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import shapely

from gradevol.after.finished import NEAR, Finished, finish_top
from gradevol.after.ground import NEAR_PART, Ground
from gradevol.after.learned import learn
from gradevol.after.places import find_part, keep_own, name_places, name_zones
from gradevol.after.poured import doubt_poured
from gradevol.after.reconciliation import reconcile
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.result import Result
from gradevol.files import Files, read_shots
from gradevol.files.cores import Core, read_cores
from gradevol.files.sheet_sources import Rods, Sheets
from gradevol.files.sources import Shots
from gradevol.files.tables.headings import read_heading
from gradevol.files.tables.table import read_table
from gradevol.files.tickets.table import read_tickets
from gradevol.ground.errors import GradevolError, InputError
from gradevol.ground.notes import Kind, Measure
from gradevol.ground.progress import Progress, quiet
from gradevol.ground.words import count_of, first_of
from gradevol.job import Job
from gradevol.job.placement import refuse_absurd
from gradevol.runs.check import check_job
from gradevol.site.coding import matches
from gradevol.site.survey import Survey
from gradevol.site.top import TOP_SIGMA

#: A core so many times as long as the concrete is deep, by the drawing, is in another unit.
_TOO_LONG = 3.0
#: A finished top that stands further off its drawing on average is none: it is off another bench
#: mark, in another unit, or the base; a share of the slab's thickness. A judgement, no source.
_MOST_OFF = 0.5


def reconcile_job(
    job: Job,
    tickets: Path,
    *,
    top_shots: Path | None = None,
    cores: Path | None = None,
    progress: Progress = quiet,
) -> Reconciled:
    """
    Say where the concrete on the tickets of a job went.

    Parameters
    ----------
    job : Job
    tickets : Path
        One row a load.
    top_shots : Path, optional
        Shots on the finished top.
    cores : Path, optional
        Cores, taken or proposed.
    progress : callable, optional
        Told what is being done, and how much of it is done.

    Raises
    ------
    InputError
        A file can't be used.
    GeometryError
        The shapes don't make a surface or a slab.
    """
    result = check_job(job, progress=progress)
    progress("account", 0.0)
    return reconcile_result(result, job, tickets, top_shots=top_shots, cores=cores)


def reconcile_result(
    result: Result,
    job: Job,
    tickets: Path,
    *,
    top_shots: Path | None = None,
    cores: Path | None = None,
) -> Reconciled:
    """Say the same from the job's check; parameters and errors as of `reconcile_job`."""
    files = Files()
    try:
        zones = name_zones(job, files, result.survey.origin, result.slab)
        ground, part = stand_on(result), find_part(job, zones)
        if part is not None:
            ground = ground.cut(job.placing.pour, part)
        read = read_tickets(
            tickets, files, unit=job.unit, layout=job.tickets, sides=result.slab.lengths.tolist()
        )
        read = keep_own(read, job.placing.pour, zones)
        if not read.loads:
            raise InputError(
                "it holds no load that counts",
                remedy="Check that this is the right file",
                path=tickets,
            )
        parts = name_places(job)
        doubts = doubt_poured(read.loads, job.small_pours, parts=parts)
        found = reconcile(
            read,
            ground,
            finished=_finish(result, ground, job, files, top_shots),
            cores=_place_cores(ground, job, files, cores),
            terms=job.order,
            small=job.small_pours,
            parts=parts,
            tests=job.tests,
            path=tickets,
        )
    except GradevolError as error:
        error.put_in(job.units, tuple(result.survey.origin.tolist()), path=job.path)
        raise
    return Reconciled(
        result=result,
        ground=ground,
        tickets=replace(read, notes=(*read.notes, *doubts)),
        found=found,
        learned=learn(
            found,
            ground,
            job=job.name,
            title=job.own_title,
            date=job.credits.date or "",
        ),
        costs=job.order.costs if job.order else None,
    )


def stand_on(result: Result) -> Ground:
    """Give what a reconciliation goes on from: a check's own figures."""
    if result.ground is None or result.design is None or result.between is None:
        raise ValueError("the result holds no ground: it does not come from check_job")
    if result.interval is None:
        raise ValueError("the result holds no interval")
    walls = result.drainage.runoff.closed_sides if result.drainage else ()
    return Ground(
        slab=result.slab,
        design=result.design,
        field=result.field,
        base=result.ground,
        survey=result.survey,
        concrete=result.concrete,
        interval=result.interval,
        between=result.between,
        flush_sides=(*result.flush_sides, *walls),
    )


def _finish(
    result: Result, ground: Ground, job: Job, files: Files, path: Path | None
) -> Finished | None:
    """Read the shots of the finished top, and measure the slab under them."""
    if path is None:
        return None
    source = job.base.source
    shots = read_shots(_read_as_base(job, path, files), files)
    refuse_absurd((shots.points, shots.origin), "the finished top", path)
    if isinstance(source, Shots):
        _refuse_base_shots(shots, source.codes, path)
    shots = shots.about(result.survey.origin)
    _refuse_swapped(shots, result, path)
    if not ground.count_on(shots.points):
        raise InputError(
            f"no shot of the finished top lies on {ground.part}",
            remedy="Give the shots of what was poured",
            path=path,
        )
    finished = finish_top(
        shots,
        result.survey,
        field=ground.field,
        top=result.top,
        slab=result.slab,
        top_sigma=result.interval.top_sigma if result.interval else TOP_SIGMA,
    )
    if abs(finished.mean) > _MOST_OFF * result.slab.thickness:
        way = "above" if finished.mean > 0 else "below"
        raise InputError(
            f"its shots stand {{}} {way} the drawing on average, and the slab is {{}} thick: no "
            "finished top does",
            remedy="Check that they are of the finished top, in the unit that their header or the "
            "job names, and from the bench mark of the base",
            path=path,
        ).measuring(
            Measure(abs(finished.mean), Kind.LEVEL), Measure(result.slab.thickness, Kind.THICKNESS)
        )
    return finished


def _read_as_base(job: Job, path: Path, files: Files) -> Shots:
    """How shots of the finished top are read: as those of the base, where the file says nothing."""
    source = job.base.source
    setups = source.setups if isinstance(source, Shots | Rods | Sheets) else None
    if setups is not None:
        setups = replace(setups, is_stated=False, is_own=False, is_named=True)
    if not isinstance(source, Shots):
        return Shots((path,), job.unit, setups=setups, key="--top-shots")
    is_text = files.open(path).kind in {"text", "workbook"}
    header = files.parse(path, read_table).header if is_text else None
    is_of_job = any(read_heading(cell).unit == job.unit for cell in header or ())
    unit = job.unit if is_of_job and not source.ignores_unit else source.unit
    return replace(
        source, paths=(path,), unit=unit, codes=(), layer=None, sheet=None, setups=setups
    )


def _refuse_base_shots(shots: Survey, codes: Sequence[str], path: Path) -> None:
    """Refuse a file of all shots of the job, those of the base among them by their descriptions."""
    held = [shots.ids[at] for at, word in enumerate(shots.codes) if matches(word, codes)]
    if 0 < len(held) < len(shots.points):
        raise InputError(
            f"{count_of(len(held), 'shot', 'stand')} under a description that base.codes takes for "
            f"the base: {first_of(held)}",
            remedy="Give a file with the shots of the finished top alone",
            path=path,
        )


def _refuse_swapped(shots: Survey, result: Result, path: Path) -> None:
    """Refuse shots of a finished top that lie on the slab only with their columns the other way."""
    plan, origin = shots.points[:, :2], result.survey.origin[:2]
    swapped = (plan + origin)[:, ::-1] - origin
    off, then = (
        shapely.distance(result.slab.outline, shapely.points(at)) > NEAR for at in (plan, swapped)
    )
    if off.any() and not then.any():
        raise InputError(
            f"{count_of(int(off.sum()), 'shot', 'lie')} off the slab, and all would lie on it with "
            "northing and easting swapped",
            remedy="Check its header, and take out what was not shot on the slab",
            path=path,
        )


def _place_cores(ground: Ground, job: Job, files: Files, path: Path | None) -> tuple[Core, ...]:
    """Read cores about the job's origin; refuse one that is not on what was poured."""
    if path is None:
        return ()
    origin = ground.survey.origin
    read = read_cores(path, files, unit=job.unit)
    refuse_absurd(tuple(core.place for core in read), "a core", path)
    cores = tuple(core.about(origin) for core in read)
    places = shapely.points(np.array([core.place for core in cores]).reshape(-1, 2))
    away = shapely.distance(ground.outline, places)
    slab = ground.slab
    deepest = slab.thickness + max((part.depth for part in slab.thickenings), default=0.0)
    for core, off in zip(cores, away.tolist(), strict=True):
        if off > NEAR_PART:
            raise InputError(
                f"core {core.id} does not lie on {ground.part or 'the slab'}",
                remedy="Are its easting and northing in the job's coordinates, and in this order?",
                path=path,
            )
        if core.length is not None and core.length > _TOO_LONG * deepest:
            say = job.units.say_thickness
            raise InputError(
                f"core {core.id} is {say(core.length)} long, where the slab is drawn "
                f"{say(deepest)} deep at most",
                remedy="Give the lengths their own unit in the header, such as length_in",
                path=path,
            )
    return cores
