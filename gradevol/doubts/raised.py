"""Tops of which one point or panel is raised, to see where the top follows it."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from gradevol.geometry.planes import fit_plane
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import escape
from gradevol.site.top import Between, Design, Level, Measured, Panel, Panels, Plane

#: By so much a point is raised, m.
RAISED = 0.01
#: Points of several panels are one place within this, m.
_ALIKE = 0.01
#: So many shots of a whole top are told apart by themselves (`remark_on_top_shots`).
ENOUGH_SHOTS = 8
#: Of more points than this none is raised, so that looking takes no longer than measuring.
_MOST_POINTS = 40


@dataclass(frozen=True, slots=True)
class Raised:
    """
    A flat top of which one point or panel is raised.

    Attributes
    ----------
    name : str
        What is raised, by the key of the job that draws it.
    raised : Design
        The flat top, and it raised by `RAISED`.
    allows : callable
        Whether it may be a slip that it should stand so much higher, m.
    place : tuple of float
        Easting and northing of the point, m; empty of a panel.
    """

    name: str
    raised: Design
    allows: Callable[[float], bool] = lambda _: True
    place: tuple[float, ...] = ()


def raise_each(design: Design) -> Iterator[Raised]:
    """
    Raise each point that draws a top, and each panel, one at a time.

    Yields
    ------
    Raised
        None where more points draw the top than can be looked at.
    """
    if not isinstance(design, Panels):
        if _count_points(design) <= _MOST_POINTS:
            yield from _raise_points("top", design)
        return
    parts = design.panels
    if len(parts) == 1 or sum(_count_points(part.design) + 1 for part in parts) > _MOST_POINTS:
        return
    flat = [Panel(part.edge, Level(0.0)) for part in parts]
    at_place: dict[tuple[int, ...], list[tuple[int, Raised]]] = {}
    for at, part in enumerate(parts):
        name = f"top.panel {at + 1}"
        for each in (Raised(name, Level(RAISED)), *_raise_points(name, part.design)):
            yield _among(flat, [(at, each)], each.name)
            if each.place:
                key = tuple(round(along / _ALIKE) for along in each.place)
                at_place.setdefault(key, []).append((at, each))
    for shared in at_place.values():  # a drain that several panels are drawn down to
        if len({at for at, _ in shared}) == len(shared) > 1:
            first = shared[0][1].name
            yield _among(flat, shared, f"{first}, with those of other panels at that place,")


def _among(flat: list[Panel], raised: list[tuple[int, Raised]], name: str) -> Raised:
    """Flat panels, some of them as raised."""
    panels = flat.copy()
    for at, each in raised:
        panels[at] = Panel(flat[at].edge, each.raised)
    return Raised(
        name, Panels(tuple(panels)), lambda share: all(each.allows(share) for _, each in raised)
    )


def _count_points(design: Design) -> int:
    match design:
        case Between(first, second):
            return len(first) + len(second)
        case Plane(points) | Measured(points):
            return len(points)
    return 0


def _raise_points(name: str, design: Design) -> Iterator[Raised]:
    match design:
        case Between(first, second):
            flat = [line * (1, 1, 0) for line in (first, second)]
            for number, line in enumerate(flat):
                for at in range(len(line)):
                    lines = flat.copy()
                    lines[number] = _raise(line, at)
                    point = f"point {at + 1} of line {number + 1} of {name}.between"
                    raised = Between(lines[0], lines[1])
                    yield Raised(point, raised, place=(line[at, 0], line[at, 1]))
        case Measured(points) if len(points) < ENOUGH_SHOTS or name != "top":
            for at in range(len(points)):
                called = escape(design.names[at]) if design.names else ""
                yield Raised(
                    f"shot {called} of {name}.shots" if called else f"a shot of {name}.shots",
                    replace(design, points=_raise(points, at)),
                    place=(points[at, 0], points[at, 1]),
                )
        case Plane(points):
            for at in range(len(points)):
                allows = partial(_is_more_plane, points, at)
                place = points[at, 0], points[at, 1]
                yield Raised(
                    f"point {at + 1} of {name}.plane", Plane(_raise(points, at)), allows, place
                )


def _raise(points: FloatArray, at: int) -> FloatArray:
    """Points at level 0, one of them raised."""
    raised = points * (1, 1, 0)
    raised[at, 2] = RAISED
    return raised


def _is_more_plane(points: FloatArray, at: int, share: float) -> bool:
    """Whether points lie better in a plane with one of them raised by a share, m; three always."""
    moved = points.copy()
    moved[at, 2] += share
    before, after = (float(np.abs(fit_plane(each)[1]).max()) for each in (points, moved))
    return len(points) == 3 or after < before / 2
