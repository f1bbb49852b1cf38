"""Falls along the sides of the slab, stretch by stretch, and what makes one flat."""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from gradevol.geometry.curves import measure_along
from gradevol.geometry.nearest import find_nearest
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.site.locating import LEAST_SIDE
from gradevol.site.slab import Slab
from gradevol.site.tie_ins import TieIns

#: Falls that differ by less are one: rounding.
SAME_FALL = 1e-6
#: A place this near to a side lies on it, m.
_ON_SIDE = 1e-5
#: A shorter piece of a side has no fall of its own, m.
_SHORT = 0.001


@dataclass(frozen=True, slots=True)
class Cause:
    """
    The measured point that makes a stretch flat.

    Attributes
    ----------
    at : (float, float, float)
        Easting, northing, elevation, m.
    off : float
        What it stands above the straight line between the bends beside it, m.
    """

    name: str
    at: tuple[float, float, float]
    off: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """
    Part of a side along which the top has one fall; of a curve, which is flat all along or not.

    Attributes
    ----------
    side : int
        Counted from 1.
    start, end : float
        From the side's first corner, m.
    ends : (2, 3) array of float
        Easting, northing, elevation of both ends, m.
    fall : float
        Along the side, 0 or more; of a curve from end to end.
    bearing : float or None
        The way it falls along the side, degrees clockwise from north; None where it is level.
    beside : float
        Least fall of the top beside it, whichever way: along and across together.
    is_flat : bool
        Whether that is under the stated least fall.
    triangles : (n,) array of int
        Triangles of the top that border it.
    cause : Cause or None
        Of a flat one: the measured point that bends it; None where it is no point's doing.
    """

    side: int
    start: float
    end: float
    ends: FloatArray
    fall: float
    bearing: float | None
    beside: float
    is_flat: bool
    triangles: IntArray
    cause: Cause | None = None


def measure_edge_falls(
    corners: FloatArray,
    fall: FloatArray,
    lone: IntArray,
    *,
    slab: Slab,
    tie_ins: TieIns,
    least_fall: float | None,
) -> tuple[Stretch, ...]:
    """
    Measure how the top falls along each side of the slab.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Triangles of the top, which tile the slab, m.
    fall : (t,) array of float
        Of each triangle; not a number where none is known.
    lone : (m, 2) array of int
        Sides of triangles that have no neighbour (`find_lone_sides`).
    slab : Slab
    tie_ins : TieIns
    least_fall : float or None
        Below it a stretch is flat; None: none is judged.

    Returns
    -------
    tuple of Stretch
        Side by side from its first corner on. Sides too short to tape along are left out.
    """
    starts = corners[lone[:, 0], lone[:, 1]]
    ends = corners[lone[:, 0], (lone[:, 1] + 1) % 3]
    is_known = np.isfinite(fall)
    if is_known.any() and not is_known.all():  # beside what is not known the nearest that is counts
        middles = corners[~is_known, :, :2].mean(axis=1)
        fall = fall.copy()
        fall[~is_known] = fall[is_known][find_nearest(corners[is_known], middles)[0]]
    found: list[Stretch] = []
    for number, path in enumerate(slab.paths, start=1):
        reached = measure_along(path)
        if reached[-1] < LEAST_SIDE:
            continue
        pieces: list[_Piece] = []
        for first, last, before in zip(path, path[1:], reached, strict=False):
            station, level, triangle = _along(first, last, (starts, ends), lone[:, 0])
            pieces += _in_order(before + station, level, triangle)
        if len(path) > 2:
            pieces = _join_alike(pieces, fall, least_fall)
            found += [_stretch(number, piece, path, fall, least_fall) for piece in pieces]
        else:
            made = [_stretch(number, piece, path, fall, least_fall) for piece in pieces]
            found += _explain(made, tie_ins.along(path[0], path[1]))
    return tuple(found)


def _along(
    first: FloatArray, last: FloatArray, sides: tuple[FloatArray, FloatArray], triangle: IntArray
) -> tuple[FloatArray, FloatArray, IntArray]:
    """Sides of triangles that lie on a straight line: station and level at both ends, triangle."""
    length = float(np.hypot(*(last - first)))
    along = (last - first) / length
    one, other = (side - [*first, 0] for side in sides)
    off = np.abs([along[0] * p[:, 1] - along[1] * p[:, 0] for p in (one, other)]).max(axis=0)
    station = np.stack([p[:, :2] @ along for p in (one, other)], axis=1)
    middle = station.mean(axis=1)
    on = np.flatnonzero((off <= _ON_SIDE) & (middle > 0) & (middle < length))
    level = np.stack([sides[0][on, 2], sides[1][on, 2]], axis=1)
    return station[on], level, triangle[on]


@dataclass(slots=True)
class _Piece:
    """A run of one fall, being put together."""

    start: float
    end: float
    low: float
    high: float
    triangles: list[int]

    @property
    def slope(self) -> float:
        return (self.high - self.low) / max(self.end - self.start, 1e-300)


def _in_order(station: FloatArray, level: FloatArray, triangle: IntArray) -> list[_Piece]:
    """Pieces of one side from its first corner on, those of one fall joined."""
    is_turned = station[:, 0] > station[:, 1]
    station = np.where(is_turned[:, None], station[:, ::-1], station)
    level = np.where(is_turned[:, None], level[:, ::-1], level)
    pieces: list[_Piece] = []
    for k in np.argsort(station[:, 0], kind="stable"):
        (start, end), (low, high) = station[k].tolist(), level[k].tolist()
        piece = _Piece(start, end, low, high, [int(triangle[k])])
        before = pieces[-1] if pieces else None
        is_joined = (
            before is not None
            and abs(before.end - piece.start) <= _ON_SIDE
            and abs(before.high - piece.low) <= _ON_SIDE
            and (
                abs(before.slope - piece.slope) <= SAME_FALL
                or min(before.end - before.start, piece.end - piece.start) < _SHORT
            )
        )
        if before is not None and is_joined:
            before.end, before.high = piece.end, piece.high
            before.triangles += piece.triangles
        else:
            pieces.append(piece)
    return pieces


def _join_alike(pieces: list[_Piece], fall: FloatArray, least_fall: float | None) -> list[_Piece]:
    """Pieces of a curve, along which the fall turns with it: those that are flat, and others."""
    joined: list[_Piece] = []
    flat: list[bool] = []
    for piece in pieces:
        beside = fall[piece.triangles]
        least = float(np.nanmin(beside, initial=np.inf))
        is_flat = least_fall is not None and least < least_fall - SAME_FALL
        if joined and flat[-1] == is_flat:
            joined[-1].end, joined[-1].high = piece.end, piece.high
            joined[-1].triangles += piece.triangles
        else:
            joined.append(piece)
            flat.append(is_flat)
    return joined


def _at(path: FloatArray, station: float) -> FloatArray:
    """Place so far along a side, (2,), m."""
    reached = measure_along(path)
    piece = int(np.clip(np.searchsorted(reached, station, side="right") - 1, 0, len(path) - 2))
    first, last = path[piece], path[piece + 1]
    along = (last - first) / np.hypot(*(last - first))
    return np.asarray(first + (station - reached[piece]) * along)


def _stretch(
    side: int, piece: _Piece, path: FloatArray, fall: FloatArray, least_fall: float | None
) -> Stretch:
    triangles = np.unique(piece.triangles)
    around = fall[triangles]
    beside = float(np.nanmin(around)) if np.isfinite(around).any() else abs(piece.slope)
    first, last = (_at(path, station) for station in (piece.start, piece.end))
    along = last - first
    azimuth = np.degrees(np.arctan2(along[0], along[1])) + (180 if piece.slope > 0 else 0)
    ends = [[*first, piece.low], [*last, piece.high]]
    return Stretch(
        side=side,
        start=max(0.0, piece.start),
        end=piece.end,
        ends=np.array(ends),
        fall=abs(piece.slope),
        bearing=float(azimuth % 360) if abs(piece.slope) > SAME_FALL else None,
        beside=beside,
        is_flat=least_fall is not None and beside < least_fall - SAME_FALL,
        triangles=triangles,
    )


def _explain(stretches: list[Stretch], tie_ins: TieIns) -> list[Stretch]:
    """
    Name what makes each flat stretch of one side flat: the bend at one of its ends.

    Of its ends, the upper one may be too low or the lower one too high: the one that is farther
    off the line between its neighbours, where a measured point stands, is named.
    """
    off: dict[int, float] = {}  # of the bend before each stretch
    for number, (before, after) in enumerate(pairwise(stretches), start=1):
        if abs(before.end - after.start) <= _ON_SIDE:
            share = (before.end - before.start) / (after.end - before.start)
            line = before.ends[0, 2] + share * (after.ends[1, 2] - before.ends[0, 2])
            off[number] = float(before.ends[1, 2] - line)
    made = []
    for number, stretch in enumerate(stretches):
        if not stretch.is_flat:
            made.append(stretch)
            continue
        bends = [
            (off.get(number, 0.0), stretch.ends[0]),
            (off.get(number + 1, 0.0), stretch.ends[1]),
        ]
        rises = np.sign(stretch.ends[1, 2] - stretch.ends[0, 2]) or 0.0
        bent = [
            (abs(by), by, place)
            for (by, place), wanted in zip(bends, (rises, -rises), strict=True)
            if by and by * wanted >= 0 and tie_ins.is_point(place)
        ]
        if bent:
            _, by, place = max(bent, key=lambda bend: round(bend[0], 9))
            east, north, level = place.tolist()
            cause = Cause(tie_ins.name_at(place), (east, north, level), by)
            stretch = replace(stretch, cause=cause)  # noqa: PLW2901
        made.append(stretch)
    return made
