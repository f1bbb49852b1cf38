"""A place, as a crew finds it with a tape from the slab's own sides."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.curves import find_foot
from gradevol.geometry.rings import ring_area
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.site.slab import Slab

#: Two sides must differ by at least this angle for their distances to fix a place, degrees.
LEAST_ANGLE = 30.0
#: A shorter side gives no square to measure off, m.
LEAST_SIDE = 0.5
#: A pair of sides farther from square than this, degrees, or one alone, is taped only from sides
#: that are not far shorter than their tapes: a hair off square there is a hand at the far end.
ASKEW, LONG_TAPE = 15.0, 2.0
#: A crew measures off a side's line so far beyond its ends too, m: corners are not quite square,
#: and their coordinates are rounded.
BEYOND = 0.05
#: A pair of corners is sought among so many that are nearest, and any other.
NEAREST_CORNERS = 8


@dataclass(frozen=True, slots=True)
class Taping:
    """
    Two distances that fix a place.

    Attributes
    ----------
    sides : tuple of (int, float)
        Side number and the distance square off it, m.
    corners : tuple of (int, float)
        Corner number and the distance to it, m; used where no side faces the place.
    along : (int, float, float) or None
        Number of a side, the tape along it from where it begins, and the distance square off it,
        m; used where a curved side is the nearest, or no two straight ones fix the place.
    """

    sides: tuple[tuple[int, float], ...] = ()
    corners: tuple[tuple[int, float], ...] = ()
    along: tuple[int, float, float] | None = None


def locate(place: FloatArray | tuple[float, float], slab: Slab) -> Taping:
    """
    Find how to tape a place.

    Parameters
    ----------
    place : (2,) array of float
        Easting, northing about the slab's origin, m.
    slab : Slab

    Returns
    -------
    Taping
        Of the sides that face the place: where the nearest is curved, along it and off it. Else
        the nearest pair of straight ones that are not near parallel; failing that, along the
        nearest that is long enough, and off it. Where none is, the nearest corner, and the nearest
        of those whose tapes meet the first one's squarely enough, and at no other place of the
        slab.
    """
    at = np.asarray(place, dtype=float)[:2]
    start, end = slab.sides[:, 0], slab.sides[:, 1]
    along = end - start
    length = np.maximum(np.hypot(*along.T), 1e-12)  # a circle ends where it begins
    share = ((at - start) * along).sum(axis=1) / length**2
    left = (along[:, 0] * (at - start)[:, 1] - along[:, 1] * (at - start)[:, 0]) / length
    # a crew measures from a side onto the slab: across a notch it would find another place
    inward = np.sign(ring_area(slab.edge)) * left
    off = np.abs(left)
    beyond = BEYOND / length
    is_straight = np.array([len(path) == 2 for path in slab.paths])
    is_facing = (share > -beyond) & (share < 1 + beyond) & (inward > -BEYOND)
    facing = np.flatnonzero(is_facing & (length >= LEAST_SIDE) & is_straight)
    bearing = np.degrees(np.arctan2(along[:, 1], along[:, 0])) % 180
    is_far = off > LONG_TAPE * length
    best = None
    for one in facing:
        for other in facing[facing > one]:
            apart = abs(bearing[one] - bearing[other])
            apart = min(apart, 180 - apart)
            if apart < (90 - ASKEW if is_far[[one, other]].any() else LEAST_ANGLE):
                continue
            total = round(float(off[one] + off[other]), 6)
            if best is None or total < best[0]:
                best = (total, one, other)
    if best is None:
        facing = facing[~is_far[facing]]
    curve = _find_curve(at, slab)
    nearest = float(off[facing].min(initial=np.inf))
    if curve is not None and round(curve[2], 6) < round(nearest, 6):
        return Taping(along=curve)
    if best is not None:
        return Taping(sides=tuple((int(i) + 1, float(off[i])) for i in best[1:]))
    if len(facing):
        side = facing[np.argmin(np.round(off[facing], 6))]
        station = np.clip(share[side], 0, 1) * length[side]
        return Taping(along=(int(side) + 1, float(station), float(off[side])))
    return Taping(corners=_two_corners(at, slab))


def _find_curve(at: FloatArray, slab: Slab) -> tuple[int, float, float] | None:
    """Nearest curved side that faces a place, with the way along it and off it, m."""
    found = []
    for number, path in enumerate(slab.paths, start=1):
        length = float(np.hypot(*np.diff(path, axis=0).T).sum())
        if len(path) == 2 or length < LEAST_SIDE:
            continue
        station, off, beyond = find_foot(path, at)
        if beyond < BEYOND or bool((path[0] == path[-1]).all()):  # a circle has no end
            found.append((number, station, off))
    # of two that meet in the foot the one that begins there
    return min(found, key=lambda one: (round(one[2], 6), round(one[1], 6)), default=None)


def _two_corners(at: FloatArray, slab: Slab) -> tuple[tuple[int, float], ...]:
    """Two corners to tape a place from; where no pair fixes it alone, the nearest that cross."""
    off = slab.corners - at
    away = np.hypot(*off.T)
    by_nearness = np.argsort(np.round(away, 6), kind="stable")
    crossing = None
    for first in by_nearness[:NEAREST_CORNERS]:
        turn = np.abs(off @ off[first]) / np.maximum(away * away[first], 1e-12)  # of the angle: cos
        is_square = turn <= np.cos(np.radians(LEAST_ANGLE))
        is_square[first] = False
        others = by_nearness[is_square[by_nearness]]
        if len(others):
            crossing = crossing or (first, others[0])
        others = others[~_meet_again(at, slab, first)[others]]
        if len(others):
            crossing = (first, others[0])
            break
    pair = sorted(crossing or by_nearness[:2], key=lambda corner: away[corner])
    return tuple((int(corner) + 1, float(away[corner])) for corner in pair)


def _meet_again(at: FloatArray, slab: Slab, first: int) -> BoolArray:
    """Whether tapes from a corner and each other one meet at a second place on the slab, (s,)."""
    along = slab.corners - slab.corners[first]
    length = np.maximum((along**2).sum(axis=1), 1e-12)
    share = (along @ (at - slab.corners[first])) / length
    again = 2 * (slab.corners[first] + share[:, None] * along) - at
    return shapely.contains_xy(slab.outline, *again.T)


def name_side(number: int, names: Sequence[str]) -> str:
    """Name a side of the slab: ``side 3 (north slab)``; ``side 3`` where it has no name."""
    name = names[number - 1] if number <= len(names) else ""
    return f"side {number} ({name})" if name else f"side {number}"
