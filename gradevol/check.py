"""The main job, top to bottom: from a job file to the whole answer."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
import shapely

from gradevol._types import FloatArray, IntArray
from gradevol.concrete import measure_concrete, measure_coverage
from gradevol.cover import measure_cover
from gradevol.errors import GeometryError, InputError
from gradevol.grading import measure_grading
from gradevol.job import Job
from gradevol.notes import Note
from gradevol.placement import place_slab, place_survey, place_top
from gradevol.readers import read_base
from gradevol.remarks import find_remarks
from gradevol.result import Result
from gradevol.screening import Suspect, find_suspects
from gradevol.slab import Slab
from gradevol.spots import find_high, find_low, find_thin
from gradevol.surface import (
    Surface,
    build_surface,
    extend_level,
    find_widest_gap,
    merge_shots,
    surface_of_faces,
)
from gradevol.survey import Survey
from gradevol.thickness import build_field, measure_thickness
from gradevol.top import Top, build_top
from gradevol.trench import lift_trench_shots
from gradevol.units import METRES

#: Less of the slab within the survey than this is no survey of it: a contract of the job file.
LEAST_COVERAGE = 0.5

#: Told what is being done and the share of it that is done, 0 to 1.
Progress: TypeAlias = Callable[[str, float], None]


def quiet(_what: str, _share: float) -> None:
    """Say nothing."""


def check_job(job: Job, *, progress: Progress = quiet) -> Result:
    """
    Measure the concrete that a slab takes over a base as it was graded.

    Parameters
    ----------
    job : Job
        What the user wrote (`read_job`).
    progress : callable, optional
        Told what is being done, and how much of it is done.

    Returns
    -------
    Result

    Raises
    ------
    InputError
        A file can't be used, or the survey covers less than half of the slab.
    GeometryError
        The shapes don't make a surface or a slab.
    """
    survey, faces = read_base(job.base.source, progress=progress)
    survey = place_survey(survey, job)
    try:
        return _check(job, survey, faces, progress)
    except GeometryError as error:
        if error.place is None:
            raise
        east, north = (job.units.to_length(x) for x in np.add(error.place, survey.origin[:2]))
        raise GeometryError(
            f"{error} It is near E {east:.2f}, N {north:.2f} {job.units.length}."
        ) from error


def _check(job: Job, survey: Survey, faces: IntArray | None, progress: Progress) -> Result:
    slab = place_slab(job.slab, survey.origin)
    top = build_top(place_top(job.top, survey.origin), slab)
    progress("surface", 0.0)
    ground = _build_base(survey, faces, slab, top)
    base = extend_level(ground.surface, slab.outline)
    field = build_field(base, top.surface, slab, progress=lambda share: progress("overlay", share))
    coverage = measure_coverage(field)
    if coverage < LEAST_COVERAGE and not job.base.allow_gaps:
        raise _too_little(job, survey, slab, coverage)
    progress("figures", 0.0)
    concrete = measure_concrete(field, slab)
    suspects = find_suspects(survey, ground.raised)
    result = Result(
        title=job.title,
        units=job.units,
        survey=survey,
        used=ground.used,
        suspects=suspects,
        volume_without_suspects=_volume_without(suspects, survey, slab, top) if suspects else None,
        coverage=coverage,
        slab=slab,
        top=top,
        field=field,
        thickness=measure_thickness(field),
        concrete=concrete,
        grading=measure_grading(field, slab),
        thin=find_thin(field, slab),
        high=find_high(field, slab),
        low=find_low(field, slab),
        widest_gap=find_widest_gap(survey.points, slab.outline) if survey.ids else None,
        cover=measure_cover(field, slab),
        notes=(*survey.notes, *ground.notes, *top.notes),
    )
    return replace(
        result, notes=(*result.notes, *find_remarks(result, has_order=job.order is not None))
    )


@dataclass(frozen=True, slots=True)
class _Ground:
    """The base as a surface; `raised` has one value a shot, m."""

    surface: Surface
    used: int
    raised: FloatArray
    notes: tuple[Note, ...]


def _build_base(survey: Survey, faces: IntArray | None, slab: Slab, top: Top) -> _Ground:
    if faces is not None:
        surface = surface_of_faces(survey.points, faces)
        return _Ground(surface, len(survey.points), np.zeros(len(survey.points)), ())
    points, place, notes = merge_shots(survey)
    lifted, edges, raised = lift_trench_shots(points, slab, top.surface)
    return _Ground(build_surface(lifted, edges=edges), len(points), raised[place], notes)


def _volume_without(
    suspects: tuple[Suspect, ...], survey: Survey, slab: Slab, top: Top
) -> float | None:
    """Concrete without the suspect shots, m³; None where too few shots are left."""
    points = np.delete(survey.points, [suspect.index for suspect in suspects], axis=0)
    try:
        ground = _build_base(Survey(points, survey.origin), None, slab, top)
    except GeometryError:
        return None
    base = extend_level(ground.surface, slab.outline)
    return measure_concrete(build_field(base, top.surface, slab), slab).volume


def _too_little(job: Job, survey: Survey, slab: Slab, coverage: float) -> InputError:
    """Error for a survey that misses most of the slab, with the extents of both."""

    def extent(places: FloatArray) -> str:
        shown = (places + survey.origin[:2]) / METRES[job.units.length]
        (west, south), (east, north) = shown.min(axis=0), shown.max(axis=0)
        return f"E {west:.2f} to {east:.2f}, N {south:.2f} to {north:.2f}"

    shots, edge = survey.points[:, :2], slab.edge
    is_swapped = shapely.box(*edge.min(axis=0), *edge.max(axis=0)).intersects(
        shapely.MultiPoint((shots + survey.origin[:2])[:, ::-1] - survey.origin[:2])
    )
    met = "does not meet the slab" if coverage == 0 else f"covers {coverage:.0%} of the slab"
    return InputError(
        f"the survey {met}: its points lie within {extent(shots)}, the slab within {extent(edge)} "
        f"({job.units.length})",
        remedy=(
            "Northing and easting look swapped: check base.columns"
            if is_swapped and coverage == 0
            else "Shoot the rest of the base, check that both are in one coordinate system and "
            "unit, or set base.allow_gaps = true to hold the base level beyond the shots"
        ),
        path=job.path,
    )
