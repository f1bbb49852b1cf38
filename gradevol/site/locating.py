"""A place, as a crew finds it with a tape from the slab's own sides."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.geometry.curves import find_foot
from gradevol.ground.arrays import FloatArray
from gradevol.site.slab import Slab

#: Two sides must differ by at least this angle for their distances to fix a place, degrees.
LEAST_ANGLE = 30.0
#: A shorter side gives no square to measure off, m.
LEAST_SIDE = 0.5
#: A crew measures off a side's line so far beyond its ends too, m: corners are not quite square,
#: and their coordinates are rounded.
_BEYOND = 0.05
#: A place this near to the end of a curved side lies at it, m.
_AT_END = 0.005


@dataclass(frozen=True, slots=True)
class Taping:
    """
    Two distances that fix a place.

    Attributes
    ----------
    sides : tuple of (int, float)
        Side number and the distance square off it, m.
    corners : tuple of (int, float)
        Corner number and the distance to it, m; used where no two sides face the place.
    along : (int, float, float) or None
        Number of a curved side, the tape along it from where it begins, and the distance square
        off it, m; used where that side is the nearest, or no two straight ones face the place.
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
        Where the nearest side is curved, along it and off it. Else the nearest pair of straight
        sides that face the place and are not near parallel; failing that, along the nearest curved
        side; failing that, the nearest corner, and the nearest of those whose tapes meet the first
        one's squarely enough.
    """
    at = np.asarray(place, dtype=float)[:2]
    start, end = slab.sides[:, 0], slab.sides[:, 1]
    along = end - start
    length = np.maximum(np.hypot(*along.T), 1e-12)  # a circle ends where it begins
    share = ((at - start) * along).sum(axis=1) / length**2
    off = np.abs(along[:, 0] * (at - start)[:, 1] - along[:, 1] * (at - start)[:, 0]) / length
    beyond = _BEYOND / length
    is_straight = np.array([len(path) == 2 for path in slab.paths])
    is_facing = (share > -beyond) & (share < 1 + beyond) & (length >= LEAST_SIDE) & is_straight
    facing = np.flatnonzero(is_facing)
    bearing = np.degrees(np.arctan2(along[:, 1], along[:, 0])) % 180
    best = None
    for one in facing:
        for other in facing[facing > one]:
            apart = abs(bearing[one] - bearing[other])
            if min(apart, 180 - apart) < LEAST_ANGLE:
                continue
            total = round(float(off[one] + off[other]), 6)
            if best is None or total < best[0]:
                best = (total, one, other)
    curve = _find_curve(at, slab)
    nearest = off[facing].min(initial=np.inf) if best is not None else np.inf
    if curve is not None and round(curve[2], 6) < round(float(nearest), 6):
        return Taping(along=curve)
    if best is not None:
        return Taping(sides=tuple((int(i) + 1, float(off[i])) for i in best[1:]))
    return Taping(corners=_two_corners(slab.corners - at))


def _find_curve(at: FloatArray, slab: Slab) -> tuple[int, float, float] | None:
    """Nearest curved side that faces a place, with the way along it and off it, m."""
    best: tuple[int, float, float] | None = None
    for number, path in enumerate(slab.paths, start=1):
        length = float(np.hypot(*np.diff(path, axis=0).T).sum())
        if len(path) == 2 or length < LEAST_SIDE:
            continue
        station, off = find_foot(path, at)
        is_ring = bool((path[0] == path[-1]).all())
        is_at_end = not 1e-6 < station < length - 1e-6  # there it may lie beyond the side
        if is_at_end and not is_ring and off > _AT_END:
            continue
        if best is None or round(off, 6) < round(best[2], 6):
            best = (number, station, off)
    return best


def _two_corners(off: FloatArray) -> tuple[tuple[int, float], ...]:
    """Two corners to tape a place from, by what they are off it, (m, 2), m."""
    away = np.hypot(*off.T)
    by_nearness = np.argsort(np.round(away, 6), kind="stable")
    first = by_nearness[0]
    turn = np.abs(off @ off[first]) / np.maximum(away * away[first], 1e-12)  # cosine of the angle
    is_square = turn <= np.cos(np.radians(LEAST_ANGLE))
    second = next((i for i in by_nearness[1:] if is_square[i]), by_nearness[1])
    return tuple((int(i) + 1, float(away[i])) for i in (first, second))


def name_side(number: int, names: Sequence[str]) -> str:
    """Name a side of the slab: ``side 3 (north slab)``; ``side 3`` where it has no name."""
    name = names[number - 1] if number <= len(names) else ""
    return f"side {number} ({name})" if name else f"side {number}"
