"""Badges: where the numbers of the fix list stand on a map, outside what they mark."""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from gradevol.answer.drawing.room import Room
from gradevol.answer.drawing.spots import straighten
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import join_rings

#: From a place to its number, in, and the ways to it, the best first: off the tapes, which are
#: square to the sides. Its radius, and the room it takes, in.
_OFFS = (0.19, 0.26, 0.35, 0.45, 0.56, 0.68, 0.82, 0.98, 1.16, 1.36, 1.6, 1.9, 2.3)
_WAYS = np.radians([45, 135, 315, 225, *np.arange(22.5, 360, 45), 90, 0, 180, 270])
_RADIUS, _ROOM = 0.11, 0.2
#: Less than this of an outline is not seen, in.
_FINE = 0.01


def place_badges(
    places: FloatArray,
    own: Sequence[Sequence[FloatArray]],
    others: Sequence[Sequence[FloatArray]],
    slab: Sequence[FloatArray],
    room: Room,
) -> Iterator[FloatArray | None]:
    """
    Place numbers beside what they mark, outside it; all in inches on paper.

    Parameters
    ----------
    places : (n, 2) array of float
        Where each place is worst; numbers are placed in this order.
    own : sequence of sequence of (m, 2) arrays
        Rings of each place; none where it has no outline.
    others : sequence of sequence of (m, 2) arrays
        Rings of all that is outlined.
    slab : sequence of (m, 2) arrays
    room : Room
        What is left; numbers and the lines that lead to them are taken out of it.

    Yields
    ------
    (2,) array of float or None
        The middle of each number: off every outline and on the slab, or else off the slab; failing
        that off its own outline, or anywhere; None where it finds no room.
    """
    inner = _area(slab).buffer(-_RADIUS)
    outlined = shapely.union_all([_area(rings) for rings in others])
    shapely.prepare((inner, outlined))
    ways = np.column_stack([np.cos(_WAYS), np.sin(_WAYS)])
    for at, rings in zip(places, own, strict=True):
        middles = np.concatenate([at + off * ways for off in _OFFS])
        circles = shapely.points(middles)
        area = _area(rings)
        shapely.prepare(area)
        is_on = shapely.contains(inner, circles)
        is_outside = ~shapely.dwithin(outlined, circles, _RADIUS)
        is_off_own = ~shapely.dwithin(area, circles, _RADIUS)
        # the least wanted last, each as near as can be
        order = np.lexsort([~is_on, ~is_off_own, ~is_outside])
        found = room.find([(x, y, 0.0) for x, y in middles[order].tolist()], _ROOM, _ROOM)
        middle = None if found is None else np.array(found[:2])
        if middle is not None:
            room.take_line(np.array([at, middle]))
        yield middle


def _area(rings: Sequence[FloatArray]) -> shapely.Geometry:
    """What rings hold by the even-odd rule, but for what is not seen."""
    return join_rings(
        [straighten(ring, _FINE) for ring in rings if np.ptp(ring, axis=0).max() > _FINE]
    )
