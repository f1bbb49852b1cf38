"""What was measured as pictures have it: shots, points of a scan, and where to shoot next."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.answer.said.next_shots import list_next
from gradevol.answer.setting_out import level_of_design
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.site.survey import Survey

#: What is read where the base is shot again; empty where a survey takes no rechecks.
Reading: TypeAlias = Literal["rod", "elevation", "depth", ""]


@dataclass(frozen=True, slots=True)
class NextShot:
    """Where one more shot tells most: its name in the lists, and its place, (2,), m."""

    name: str
    at: FloatArray


@dataclass(frozen=True, slots=True)
class Shots:
    """
    All that was measured, about the survey's origin, m.

    Attributes
    ----------
    names : tuple of str
        Ids of the shots; empty for a scan.
    places : (n, 2) array of float
    is_on_slab, is_later : (n,) array of bool
        Whether it lies on the slab; whether it was taken again after the base was reworked.
    suspects : (s,) array of int
        Which are suspect, the most so first.
    level : (n,) array of float
        Elevation, m.
    departure : (n,) array of float
        Base less design base, m: positive where it is high. Not a number off the slab, and of the
        points of a scan.
    retired : (r, 2) array of float
        Shots that later ones have replaced.
    removed : (q, 2) array of float
        Points of a scan on the slab that were taken away as not base.
    reading : {"rod", "elevation", "depth", ""}
        What is read where the base is shot again.
    foot_high : float
        How much a rod's foot stands above the base, m.
    """

    names: Sequence[str]
    places: FloatArray
    is_on_slab: BoolArray
    is_later: BoolArray
    suspects: IntArray
    level: FloatArray
    departure: FloatArray
    retired: FloatArray
    removed: FloatArray
    next: tuple[NextShot, ...]
    reading: Reading
    foot_high: float

    @property
    def next_places(self) -> FloatArray:
        """Places of the next shots, (n, 2), m."""
        return np.array([shot.at for shot in self.next]).reshape(-1, 2)


def draw_shots(result: Result) -> Shots:
    """Draw up what was measured."""
    survey, epochs, outline = result.survey, result.epochs, result.slab.outline
    places = survey.points[:, :2]
    is_on_slab = np.asarray(shapely.intersects_xy(outline, *places.T))
    departure, is_later = np.full(len(places), np.nan), np.zeros(len(places), bool)
    if survey.ids:
        base = survey.points[is_on_slab, 2]
        departure[is_on_slab] = base - level_of_design(result, places[is_on_slab], base)
    suspects = np.array([suspect.index for suspect in result.suspects], np.intp)
    retired, removed = np.empty((0, 2)), np.empty((0, 2))
    if epochs is not None:
        is_later[epochs.later] = True
        retired = epochs.first.about(survey.origin).points[epochs.retired, :2]
    if survey.removed is not None:
        removed = survey.removed[shapely.contains_xy(outline, *survey.removed.T)]
    return Shots(
        names=survey.ids,
        places=places,
        is_on_slab=is_on_slab,
        is_later=is_later,
        suspects=suspects,
        level=survey.points[:, 2],
        departure=departure,
        retired=retired,
        removed=removed,
        next=tuple(NextShot(name, np.array(at)) for name, _, at in list_next(result)),
        reading=_choose_reading(survey),
        foot_high=survey.foot_high,
    )


def _choose_reading(survey: Survey) -> Reading:
    """Choose what is read again: as it was first."""
    if not survey.ids or survey.method in ("point cloud", "surface file"):
        return ""  # later shots replace none of it
    if survey.method == "string-line depths":
        return "depth"
    return "rod" if survey.is_read_down or survey.setups else "elevation"
