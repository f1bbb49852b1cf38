"""A top from shots that all stand on two forms: a TIN joins them crosswise, a screed does not."""

import numpy as np
import shapely

from gradevol.geometry.even_places import spread_places
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import first_of
from gradevol.site.curved_sides import REACH
from gradevol.site.slab import Slab
from gradevol.site.top import Between, Design, Measured, Top, build_top

#: A TIN that leaves the rulings by less than this is told nothing of, m: 1/8 in. Common practice,
#: no source.
_APART = 0.003
#: Places at which the two are compared.
_PLACES = 400


def remark_on_form_lines(design: Design, top: Top, slab: Slab) -> tuple[Note, ...]:
    """
    Say where the shots of a top stand on two forms, and a top ruled between them would be another.

    Parameters
    ----------
    design : Design
        The top's.
    top : Top
        As built of it.
    slab : Slab

    Returns
    -------
    tuple of Note
        Code ``top-two-lines``.
    """
    if not isinstance(design, Measured) or len(design.points) < 4:
        return ()
    sides = _find_two_sides(design.points, slab)
    if sides is None:
        return ()
    start, end = slab.sides[sides[0][0]]  # both lines are named from one end
    lines = [_line_up(design.points, end - start, is_on) for _, is_on in sides]
    first, second = (design.points[line] for line in lines)
    try:
        ruled = build_top(Between(first, second), slab).surface
    except GeometryError:
        return ()
    places = spread_places(slab.edge, slab.outline, count=_PLACES, step=0.01)
    apart = nearest_level(top.surface.corners, places) - nearest_level(ruled.corners, places)
    worst = int(np.argmax(np.round(np.abs(apart), 6)))
    if abs(apart[worst]) < _APART:
        return ()
    told = [_name(design, line) for line in lines]
    by = " and ".join(f"side {side + 1}" for side, _ in sides)
    return (
        Note(
            "top-two-lines",
            f"Give the top as top.between if a screed rides on its two forms ({by}): triangles "
            "between their shots leave it by up to {}, which makes thin or thick places that are "
            f"not there. The lines: {escape(told[0])}; and {escape(told[1])}.",
            (Measure(float(abs(apart[worst])), Kind.THICKNESS),),
            places=((float(places[worst, 0]), float(places[worst, 1])),),
        ),
    )


def _find_two_sides(
    points: FloatArray, slab: Slab
) -> tuple[tuple[int, BoolArray], tuple[int, BoolArray]] | None:
    """Two sides that do not meet, on which all points stand, two or more on each."""
    sides = shapely.linestrings(slab.sides)
    is_on = shapely.distance(sides[:, None], shapely.points(points[:, :2])) <= REACH
    count = len(sides)
    for one in range(count):
        for other in range(one + 2, count - (one == 0)):
            both = is_on[one] | is_on[other]
            if both.all() and min(is_on[one].sum(), is_on[other].sum()) >= 2:
                return (one, is_on[one]), (other, is_on[other] & ~is_on[one])
    return None


def _line_up(points: FloatArray, along: FloatArray, is_on: BoolArray) -> IntArray:
    """Rows of the points on a side, in their order along a way."""
    on = np.flatnonzero(is_on)
    return on[np.argsort(points[on, :2] @ along, kind="stable")]


def _name(design: Measured, line: IntArray) -> str:
    """Name the points of a line: ``F1, F2 and F3``, or how many there are."""
    names = [design.names[index] for index in line] if design.names else []
    return first_of(names, 12) if all(names) and names else f"{len(line)} points"
