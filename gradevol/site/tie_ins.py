"""Tie-ins: the measured points and the sides that a design top must meet, by their names."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.site.curved_sides import REACH, follow_curves
from gradevol.site.slab import Slab
from gradevol.site.top import Between, Design, Measured, Panels, Plane, parts_of

#: A place this near to a measured point is that point, m.
_AT_POINT = 0.002
#: One this near is near it, m: a crew finds it from there.
_NEAR = 1.0
#: Names of sides that are built for the pour: nothing stands there that the top must meet.
_FORM = re.compile(r"\b(?:forms?|formwork|screeds?|bulkhead)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class TieIns:
    """
    What ties a design top down.

    Attributes
    ----------
    points : (n, 3) array of float
        The measured points that the design goes by, m.
    names : tuple of str
        What each is called: its id, or its place in the job's list.
    flush : tuple of int
        Sides of the slab, counted from 1, that run along a measured edge of `between` and are
        forms neither by their names nor by the codes of the edge.
    measured : tuple of int
        Other sides along which the top was measured: forms, screeds.
    """

    points: FloatArray
    names: tuple[str, ...]
    flush: tuple[int, ...] = ()
    measured: tuple[int, ...] = ()

    def name_at(self, place: FloatArray) -> str:
        """Name of the point at a place, or ``near`` the nearest one; empty where none is near."""
        if not self.names:
            return ""
        away = np.hypot(*(self.points[:, :2] - place[:2]).T)
        nearest = int(np.argmin(away))
        if away[nearest] > _NEAR:
            return ""
        return self.names[nearest] if away[nearest] <= _AT_POINT else f"near {self.names[nearest]}"

    def along(self, start: FloatArray, end: FloatArray) -> "TieIns":
        """Return those whose points stand on a line in plan."""
        way = (end - start)[:2] / np.hypot(*(end - start)[:2])
        off = self.points[:, :2] - start[:2]
        on = np.flatnonzero(np.abs(way[0] * off[:, 1] - way[1] * off[:, 0]) <= _AT_POINT)
        names = tuple(self.names[index] for index in on)
        return TieIns(self.points[on], names, self.flush, self.measured)

    def is_point(self, place: FloatArray) -> bool:
        """Whether a measured point stands at a place."""
        return bool((np.hypot(*(self.points[:, :2] - place[:2]).T) <= _AT_POINT).any())


def say_at(name: str) -> str:
    """Where something is, by `TieIns.name_at`: ``at shot 25``, ``near shot 25``."""
    return name if name.startswith("near ") else f"at {name}"


def find_tie_ins(design: Design, slab: Slab) -> TieIns:
    """
    Find what ties a design top down.

    Parameters
    ----------
    design : Design
        About the slab's origin.
    slab : Slab

    Returns
    -------
    TieIns
        Without points for a level, a fall or a surface file: nothing on site fixes them.
    """
    named = list(_points(design, ""))
    points = np.array([point for _, point in named]).reshape(-1, 3)
    flush, measured = set(), set()
    forms = {number for number, name in enumerate(slab.side_names, 1) if _FORM.search(name)}
    for part in parts_of(design):
        if isinstance(part, Between):
            for edge, is_form in zip((part.first, part.second), part.forms, strict=True):
                sides = _sides_along(edge, slab)
                built = sides if is_form else sides & forms
                flush |= sides - built
                measured |= built
        elif isinstance(part, Measured):
            measured |= _sides_with_points(part.points, slab)
    return TieIns(
        points,
        tuple(name for name, _ in named),
        tuple(sorted(flush)),
        tuple(sorted(measured - flush)),
    )


def _points(design: Design, within: str) -> Iterator[tuple[str, FloatArray]]:
    """Each measured point of a design, and its name."""
    match design:
        case Between(first, second):
            lines = ((first, "first", design.names[0]), (second, "second", design.names[1]))
            for line, which, names in lines:
                for number, point in enumerate(line, start=1):
                    name = f"shot {names[number - 1]}" if names else ""
                    yield name or f"point {number} of the {which} edge{within}", point
        case Plane(points):
            for number, point in enumerate(points, start=1):
                yield f"point {number} of the plane{within}", point
        case Measured(points):
            for number, point in enumerate(points, start=1):
                name = design.names[number - 1] if design.names else ""
                yield f"shot {name}" if name else f"point {number} of the top{within}", point
        case Panels(panels):
            for number, panel in enumerate(panels, start=1):
                yield from _points(panel.design, f" of panel {number}")


def _sides_along(edge: FloatArray, slab: Slab) -> set[int]:
    line = shapely.LineString(follow_curves(edge, slab)[:, :2])
    found = set()
    for number, path in enumerate(slab.paths, start=1):
        side = shapely.LineString(path)
        places = shapely.line_interpolate_point(side, [0.05, 0.5, 0.95], normalized=True)
        if (shapely.distance(line, places) <= REACH).all():
            found.add(number)
    return found


def _sides_with_points(points: FloatArray, slab: Slab) -> set[int]:
    sides = [shapely.LineString(path) for path in slab.paths]
    places = shapely.points(points[:, :2])
    return {
        number
        for number, side in enumerate(sides, start=1)
        if (shapely.distance(side, places) <= REACH).sum() >= 2
    }
