"""The day of the pour: from a job and its tickets to what is still needed, and what to call."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import shapely

from gradevol.after.call import doubt_coming
from gradevol.after.kept import Known, find_known, keep_known, sign_inputs
from gradevol.after.load_times import doubt_times
from gradevol.after.model import PourModel, Sureness, build_model
from gradevol.after.places import (
    find_part,
    find_start,
    keep_own,
    name_places,
    name_zones,
)
from gradevol.after.poured import doubt_poured
from gradevol.after.progress import Progress, follow
from gradevol.after.steps import place_loads
from gradevol.files import Files
from gradevol.files.tickets.table import Tickets, read_tickets
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GradevolError, InputError
from gradevol.ground.notes import Note
from gradevol.ground.progress import Progress as Told
from gradevol.ground.progress import quiet
from gradevol.ground.units import Units
from gradevol.job import Job
from gradevol.job.inputs import find_inputs
from gradevol.job.placement import place_slab
from gradevol.job.terms import Terms
from gradevol.plan.order.expected import Expected, learn_factor
from gradevol.plan.order.need import Need

if TYPE_CHECKING:
    from gradevol.answer.result import Result

#: What is kept of the check beside its result.
KEPT = "pour_model.npz"


@dataclass(frozen=True, slots=True)
class PourDay:
    """
    A pour as it stands, in metres.

    Attributes
    ----------
    part : str
        The part of the slab that is poured; empty: all of it.
    origin : (3,) array of float
        The survey's, m.
    """

    title: str
    part: str
    units: Units
    origin: FloatArray
    tickets: Tickets
    progress: Progress
    model: PourModel
    notes: tuple[Note, ...]


def pour_job(
    job: Job,
    tickets: Path,
    *,
    kept: Path | None = None,
    progress: Told = quiet,
) -> PourDay:
    """
    Follow a pour by its tickets.

    Parameters
    ----------
    job : Job
    tickets : Path
        One row a load.
    kept : Path, optional
        A folder: what the pour needs of the check is kept in it, and taken from it where nothing
        has changed since.
    progress : callable, optional
        Told what is being done, and how much of it is done.

    Raises
    ------
    InputError
        A file can't be used.
    GeometryError
        The shapes don't make a surface or a slab.
    """
    origin: tuple[float, ...] = ()
    try:
        known = know_job(job, kept, progress=progress)
        origin = tuple(known.origin.tolist())
        return _pour(job, known, tickets)
    except GradevolError as error:
        error.put_in(job.units, origin, path=job.path)
        raise


def know_check(result: "Result", *, part: str = "") -> Known:
    """Take of a check what a pour of it, or of a part of it, needs."""
    if result.interval is None:
        raise ValueError("a check without an interval")
    delivery, order = result.delivery, result.delivery.order
    for each, own in zip(delivery.parts, delivery.part_orders, strict=False):
        order = own if each.name == part else order
    released = 0.0
    if order:  # where nothing is held, the plant was told all of it
        released = sum(order.staged.go) if order.staged else order.choice.volume
    return Known(
        field=result.field,
        origin=result.survey.origin,
        sureness=Sureness.of_interval(result.interval),
        released=released,
        need=replace(order.need, lines=()) if order else None,
    )


def know_job(job: Job, kept: Path | None = None, *, progress: Told = quiet) -> Known:
    """Check a job, or take what was kept of its check in a folder; keep it there if it is new."""
    signature = "" if kept is None else sign_inputs(find_inputs(job))
    if kept is not None and (known := find_known(kept / KEPT, signature)) is not None:
        return known
    from gradevol.runs.check import check_job  # noqa: PLC0415  (it takes longer to load than to pour)

    known = know_check(check_job(job, progress=progress), part=job.placing.pour)
    if kept is not None:
        keep_known(kept / KEPT, known, signature)
    return known


@dataclass(frozen=True, slots=True)
class Stand:
    """
    What a pour stands on.

    Attributes
    ----------
    start : int or None
        The side where placing begins, from 1.
    zones : dict of str to shapely geometry
        What can be named as done.
    terms : Terms
        The job's, or those of none.
    released : float
        At once: as the job says, or as the order has it, m³.
    need : Need or None
        What the order is worked out from; None where the job makes none.
    """

    model: PourModel
    start: int | None
    zones: dict[str, shapely.Geometry]
    expected: Expected
    terms: Terms
    released: float
    need: Need | None = None


def stand_on(job: Job, known: Known, files: Files) -> Stand:
    """Find what a pour of a job stands on."""
    origin, released = known.origin, job.placing.released
    slab = place_slab(job, files, origin)
    zones = name_zones(job, files, origin, slab)
    zone = find_part(job, zones)
    return Stand(
        model=build_model(known.field, slab, known.sureness, zone=zone),
        start=find_start(job, slab),
        zones=zones,
        expected=learn_factor(job, files),
        terms=job.order or Terms(),
        released=known.released if released is None else released,
        need=known.need,
    )


def _pour(job: Job, known: Known, path: Path) -> PourDay:
    files, origin = Files(), known.origin
    stand = stand_on(job, known, files)
    model = stand.model
    sides = model.slab.lengths.tolist()
    tickets = read_tickets(path, files, unit=job.unit, layout=job.tickets, sides=sides)
    tickets = keep_own(tickets, job.placing.pour, stand.zones)
    placed = place_loads(
        tickets.loads,
        model,
        start=stand.start,
        origin=origin,
        named=stand.zones,
        small=job.small_pours,
        parts=name_places(job),
        path=path,
    )
    if tickets.loads and not tickets.has_fronts:
        raise _miss_fronts(tickets)
    found = follow(
        tickets.loads,
        placed,
        model,
        stand.expected,
        terms=stand.terms,
        placing=job.placing,
        small=job.small_pours,
        released=stand.released,
        called=tickets.called,
        need=stand.need,
        is_metric=job.units.is_metric,
        level=job.interval,
    )
    return PourDay(
        title=job.title,
        part=job.placing.pour,
        units=job.units,
        origin=origin,
        tickets=tickets,
        progress=found,
        model=model,
        notes=(
            *tickets.notes,
            *doubt_coming(tickets.notes, found.call.coming if found.call else 0.0),
            *doubt_times(tickets.loads, rate=job.placing.rate, start=stand.terms.start),
            *doubt_poured(tickets.loads, job.small_pours, parts=name_places(job)),
            *remark(stand.expected),
        ),
    )


def remark(expected: Expected) -> list[Note]:
    """Warn of what the job does not say."""
    if expected.is_stated or expected.jobs:
        return []
    text = (
        "The job gives no allowance for waste, settlement or short yield: the pour begins with "
        "none, and learns it from the first loads."
    )
    return [Note("pour-without-allowance", text)]


def _miss_fronts(tickets: Tickets) -> InputError:
    """Error for tickets without a front."""
    near = [name for name in tickets.left_out if "front" in name.casefold()]
    remedy = (
        f"Map {' and '.join(map(repr, near))} in the job by [[tickets.front]], with the side along "
        "which it is taped"
        if near
        else "Head two columns by the sides along which the tape lies, such as front 2 and front "
        "4, or write in a column done which panels are finished"
    )
    return InputError(
        "no load tells how far the concrete has reached", remedy=remedy, path=tickets.path
    )
