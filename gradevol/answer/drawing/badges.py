"""Badges: where the numbers of the fix list stand on a map, outside what they mark."""

from collections.abc import Iterator, Sequence

import numpy as np
import shapely

from gradevol.answer.drawing.room import Room
from gradevol.answer.drawing.spots import straighten
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import join_rings

#: From a place to its number, in; so many of them are looked at first.
_OFFS = (0.19, 0.26, 0.35, 0.45, 0.56, 0.68, 0.82, 0.98, 1.16, 1.36, 1.6, 1.9, 2.3)
_NEAR = 5
#: The ways to it, the best first; those that are square, as tapes off the sides mostly are. Its
#: radius, and the room it takes, in.
_WAYS = np.radians([45, 135, 315, 225, *np.arange(22.5, 360, 45), 90, 0, 180, 270])
_SQUARE = np.isclose(np.sin(2 * _WAYS), 0)
_RADIUS, _ROOM = 0.11, 0.2
#: Less than this of an outline is not seen, in.
_FINE = 0.01
#: How much farther off a number may stand, in, to be off its own outline; off another's; to have a
#: line that crosses no number; none that leads to one; to be on the slab; off the tapes.
_OWN, _OTHERS, _NUMBERS, _LINES, _OFF_SLAB, _TAPES = 4.0, 0.5, 2.0, 0.5, 0.3, 0.25


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
        The middle of each number, as near as can be: off every outline, on the slab, and with a
        line that crosses no other number; but rather on another's outline, or off the slab, than
        far from its place. None where it finds no room.
    """
    inner = _area(slab).buffer(-_RADIUS)
    outlined = shapely.STRtree([_area(rings) for rings in others])
    shapely.prepare(inner)
    ways = np.column_stack([np.cos(_WAYS), np.sin(_WAYS)])
    offs = np.repeat(_OFFS, len(ways)) + _TAPES * np.tile(_SQUARE, len(_OFFS))
    numbers, leaders = shapely.MultiPoint(), shapely.MultiLineString()
    for at, rings in zip(places, own, strict=True):
        area, found = _area(rings), None
        shapely.prepare(area)
        # no place farther off costs less than the first of those, so the near ones come first
        for count, least_of_rest in ((_NEAR, _OFFS[_NEAR]), (len(_OFFS), np.inf)):
            middles = np.concatenate([at + off * ways for off in _OFFS[:count]])
            circles = shapely.points(middles)
            lines = shapely.linestrings(np.stack(np.broadcast_arrays(at, middles), axis=1))
            is_outlined = np.zeros(len(circles), bool)
            is_outlined[outlined.query(circles, "dwithin", distance=_RADIUS)[0]] = True
            cost = (
                offs[: len(circles)]
                + _OWN * shapely.dwithin(area, circles, _RADIUS)
                + _OTHERS * is_outlined
                + _NUMBERS * shapely.dwithin(lines, numbers, _RADIUS)
                + _LINES * shapely.intersects(lines, leaders)
                + _OFF_SLAB * ~shapely.contains(inner, circles)
            ).round(6)
            order = np.argsort(cost, kind="stable")
            order = order[cost[order] < least_of_rest]
            found = room.find([(x, y, 0.0) for x, y in middles[order].tolist()], _ROOM, _ROOM)
            if found is not None:
                break
        middle = None if found is None else np.array(found[:2])
        if middle is not None:
            room.take_line(np.array([at, middle]))
            numbers |= shapely.Point(middle)
            leaders |= shapely.LineString([at, middle])
        yield middle


def _area(rings: Sequence[FloatArray]) -> shapely.Geometry:
    """What rings hold by the even-odd rule, but for what is not seen."""
    return join_rings(
        [straighten(ring, _FINE) for ring in rings if np.ptp(ring, axis=0).max() > _FINE]
    )
