"""Setting out: what the base lacks at the shots, place by place."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.grade import Grade, find_grade
from gradevol.answer.result import Result
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.measures.contours import outline_beyond
from gradevol.site.surface import level_beside
from gradevol.site.thickening import drawn_depth

#: Points of a lattice, where no shots have names: enough to grade by, few enough to set out.
_MOST = 400
#: Its spacing, in the unit of length.
_SPACINGS = (1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 250.0, 500.0, 1000.0)


@dataclass(frozen=True, slots=True)
class Stakes:
    """
    Places to set out.

    Attributes
    ----------
    names : tuple of str
        The shot at each place; empty for a lattice.
    places : (n, 2) array of float
        About the survey's origin, m.
    base : (n,) array of float
        Elevation of the base as it lies, m.
    design : (n,) array of float
        Elevation of the design base, m: the top less the design thickness, and less the drawn
        depth of a thickening whose shots were taken on its bottom.
    is_suspect : (n,) array of bool
        Whether the shot is to be taken again before anyone cuts.
    grade : Grade
        What is on grade, and how moves are told.
    """

    names: tuple[str, ...]
    places: FloatArray
    base: FloatArray
    design: FloatArray
    is_suspect: BoolArray
    grade: Grade

    @property
    def moves(self) -> tuple[str, ...]:
        """Cut or fill as it is booked, ``0.10``; empty where neither is wanted, G of the marks."""
        off = self.base - self.design
        return tuple(
            "" if is_kept else self.grade.say_booked(move)
            for move, is_kept in zip(off.tolist(), self.grade.hold(off).tolist(), strict=True)
        )


def find_stakes(result: Result) -> Stakes:
    """
    Find what a grader sets out: the shots on the slab; or a lattice, where shots have no names.

    Returns
    -------
    Stakes
        In the order of the shots; a lattice row by row from the south-west, on round coordinates.
    """
    survey, outline = result.survey, result.slab.outline
    if survey.ids:
        held = np.flatnonzero(shapely.intersects_xy(outline, *survey.points[:, :2].T))
        places, base = survey.points[held, :2], survey.points[held, 2]
        names = tuple(survey.ids[index] for index in held.tolist())
        is_suspect = np.isin(held, [suspect.index for suspect in result.suspects])
    else:
        places = _lattice(result)
        field = result.field
        base = nearest_level(np.dstack([field.corners, field.base]), places)
        names, is_suspect = (), np.zeros(len(places), bool)
    design, grade = level_of_design(result, places, base), find_grade(result)
    return Stakes(names, places, base, design, is_suspect, grade)


def level_of_design(
    result: Result, places: FloatArray, base: FloatArray | None = None
) -> FloatArray:
    """
    Elevation of the design base at places (n, 2), as `Stakes.design` has it: (n,), m.

    Beside a step of the top that of its side on which the `base` (n,) stands, where that is given.
    """
    deep = result.slab.thickness + drawn_depth(result.slab, places, of=["yes", "departure"])
    top = result.top.surface
    if base is None:
        return np.asarray(nearest_level(top.corners, places) - deep)
    return np.asarray(level_beside(top, places, base + deep) - deep)


def _lattice(result: Result) -> FloatArray:
    """Places of a lattice on what was seen of the slab, at round coordinates of the job."""
    metres = result.units.to_length(1.0)
    origin, area = result.survey.origin[:2], result.slab.area * metres**2
    spacing = next(
        (step for step in _SPACINGS if area / step**2 <= _MOST), float(np.sqrt(area / _MOST))
    )
    edge = (result.slab.edge + origin) * metres
    low, high = edge.min(axis=0), edge.max(axis=0)
    first, last = np.ceil(low / spacing - 1e-9), np.floor(high / spacing + 1e-9)
    east, north = (np.arange(first[axis], last[axis] + 1) * spacing for axis in (0, 1))
    crossings = np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2)
    places: FloatArray = crossings / metres - origin
    grain = result.survey.grain  # of a scan the squares along the edge end short of it
    unseen = outline_beyond(result.field).buffer(-grain.cell if grain else 0.0)
    is_held: BoolArray = shapely.intersects_xy(result.slab.outline, *places.T)
    is_held &= ~shapely.contains_xy(unseen, *places.T)
    return np.asarray(places[is_held])
