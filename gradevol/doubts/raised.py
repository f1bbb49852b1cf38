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
    """

    name: str
    raised: Design
    allows: Callable[[float], bool] = lambda _: True


def raise_each(design: Design) -> Iterator[Raised]:
    """
    Raise each point that draws a top, and each panel, one at a time.

    Parameters
    ----------
    design : Design

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
    for at, part in enumerate(parts):
        name = f"top.panel {at + 1}"
        for each in (Raised(name, Level(RAISED)), *_raise_points(name, part.design)):
            panels = [Panel(other.edge, Level(0.0)) for other in parts]
            panels[at] = Panel(part.edge, each.raised)
            yield replace(each, raised=Panels(tuple(panels)))


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
                    one, other = (each.copy() for each in flat)
                    (one, other)[number][at, 2] = RAISED
                    point = f"point {at + 1} of line {number + 1} of {name}.between"
                    yield Raised(point, Between(one, other))
        case Measured(points) if len(points) < ENOUGH_SHOTS or name != "top":
            for at in range(len(points)):
                raised = points * (1, 1, 0)
                raised[at, 2] = RAISED
                called = escape(design.names[at]) if design.names else ""
                yield Raised(
                    f"shot {called} of {name}.shots" if called else f"a shot of {name}.shots",
                    replace(design, points=raised),
                )
        case Plane(points):
            for at in range(len(points)):
                raised = points * (1, 1, 0)
                raised[at, 2] = RAISED
                allows = partial(_is_more_plane, points, at)
                yield Raised(f"point {at + 1} of {name}.plane", Plane(raised), allows)


def _is_more_plane(points: FloatArray, at: int, share: float) -> bool:
    """Whether points lie better in a plane with one of them raised by a share, m; three always."""
    moved = points.copy()
    moved[at, 2] += share
    before, after = (float(np.abs(fit_plane(each)[1]).max()) for each in (points, moved))
    return len(points) == 3 or after < before / 2
