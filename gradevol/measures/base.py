"""The prepared base: from what was measured to a surface."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gradevol.ground.arrays import IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Note
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import ThicknessField
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import hold_departure
from gradevol.site.coding import find_lines, join_lines
from gradevol.site.holes import part_holes
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, build_surface, merge_shots, surface_of_faces
from gradevol.site.survey import Survey
from gradevol.site.top import Top
from gradevol.site.trench import blend_of_bends, lift_trench_shots


@dataclass(frozen=True, slots=True)
class MeasuredBase:
    """
    What was measured, and how its surface is made.

    Attributes
    ----------
    faces : (t, 3) array of int or None
        Rows of the survey's points where the file has faces of its own.
    breaklines : tuple of str
        Patterns of descriptions whose shots are joined.
    """

    survey: Survey
    faces: IntArray | None = None
    breaklines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BaseSurface:
    """
    The base as a surface that covers the slab.

    Attributes
    ----------
    surface : Surface
        Beyond the survey it keeps its departure from the design.
    used : int
        Points it rests on, one a place.
    place : (n,) array of int
        The place of each shot: its row of the surface's points.
    """

    surface: Surface
    used: int
    place: IntArray
    notes: tuple[Note, ...] = ()

    def let_go(self) -> "BaseSurface":
        """Return the same base without the triangles that only its widest gap is found by."""
        return replace(self, surface=replace(self.surface, delaunay=None))


def build_base(measured: MeasuredBase, slab: Slab, top: Top) -> BaseSurface:
    """
    Build the base's surface over a slab.

    Raises
    ------
    GeometryError
        Fewer than three shots, all on one line, or breaklines that cross.
    """
    survey = measured.survey
    notes: tuple[Note, ...] = ()
    if measured.faces is not None:
        surface = surface_of_faces(survey.points, measured.faces)
        used = len(survey.points)
        place = np.arange(used)
    else:
        points, place, notes = merge_shots(survey)
        lifted, edges = lift_trench_shots(points, slab, top.surface)
        bends = blend_of_bends(lifted, edges, len(points))
        if measured.breaklines:
            lines = find_lines(survey, measured.breaklines)
            edges = np.vstack([edges, join_lines(survey, lines, place)])
        surface = build_surface(lifted, edges=edges, before=(bends,))
        used = len(points)
    surface = hold_departure(surface, top.surface, slab.outline)
    surface, holes = part_holes(surface, survey, top.surface, slab.outline)
    return BaseSurface(surface, used, place, (*notes, *holes))


def field_without(
    shots: Sequence[int], measured: MeasuredBase, slab: Slab, top: Top
) -> ThicknessField | None:
    """
    Thickness if some shots had not been taken.

    Parameters
    ----------
    shots : sequence of int
        Shots of the survey to leave out.
    measured : MeasuredBase
    slab : Slab
    top : Top

    Returns
    -------
    ThicknessField or None
        None where too few shots are left.
    """
    survey = measured.survey
    kept = np.setdiff1d(np.arange(len(survey.points)), shots)
    codes = tuple(survey.codes[index] for index in kept) if survey.codes else ()
    without = Survey(survey.points[kept], survey.origin, codes=codes)
    try:
        base = build_base(replace(measured, survey=without), slab, top)
    except GeometryError:
        return None
    return build_field(base.surface, top.surface, slab)


def volume_over(measured: MeasuredBase, slab: Slab, top: Top) -> float | None:
    """Concrete over a base as measured, m³; None where it has too few shots."""
    field = field_without((), measured, slab, top)
    return None if field is None else measure_concrete(field, slab).volume
