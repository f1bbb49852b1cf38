"""Cover: the concrete that stands over a conduit or another item cast in."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from gradevol.geometry.planes import shares_of_corners
from gradevol.geometry.profiles import cut_segment, places_on
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.measures.field import ThicknessField
from gradevol.site.slab import Slab, Void

#: Stretches that end and begin this near to one another are one, m.
_JOINED = 1e-6

#: Cover that lacks no more than this lacks nothing, m: elevations are booked to 0.001 ft at best.
_ROUNDING = 0.0002

#: A piece with a smaller share of the line is rounding.
_HAIR = 1e-12


@dataclass(frozen=True, slots=True)
class Stretch:
    """
    One length of an item on which the cover is less than required.

    Attributes
    ----------
    path : tuple of (float, float)
        Easting, northing of its ends and of what lies between them, about the job's origin, m.
    length : float
        m.
    least : float
        Least cover on it, m.
    at : (float, float)
        Where that is.
    """

    path: tuple[tuple[float, float], ...]
    length: float
    least: float
    at: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Cover:
    """
    Concrete over one item along its line.

    Attributes
    ----------
    least : float
        Least cover within the slab, m.
    at : (float, float)
        Where: easting, northing about the job's origin, m.
    required : float or None
        What must stand over it, m; None where none is stated.
    length : float
        Length of the line within the slab, m.
    short : float
        Length on which the cover is less than required, m.
    stretches : tuple of Stretch
        The lengths that `short` is made of, in the order of the line.
    """

    name: str
    least: float
    at: tuple[float, float]
    required: float | None
    length: float
    short: float
    stretches: tuple[Stretch, ...] = ()


def measure_cover(field: ThicknessField, slab: Slab) -> tuple[Cover, ...]:
    """
    Measure the cover over every void that has a line.

    Returns
    -------
    tuple of Cover
        Exact along the line: cover is linear between the places where it enters a new piece.
        An item whose line carries no elevation lies on the base.
    """
    return tuple(
        cover
        for part in slab.voids
        if part.line is not None and (cover := _along(part, part.line, field)) is not None
    )


def _along(part: Void, line: FloatArray, field: ThicknessField) -> Cover | None:
    height, corners = part.diameter or 0.0, field.corners
    pieces = []
    for start, end in pairwise(line):
        piece, share = _once(*cut_segment(corners, start[:2], end[:2]))
        places, crossed = places_on(start, end, share), field.take(piece)
        weights = shares_of_corners(crossed.corners, places)
        thickness = np.einsum("nmc,nc->nm", weights, crossed.thickness)
        if line.shape[1] == 3:
            base = np.einsum("nmc,nc->nm", weights, crossed.base)
            axis = start[2] + share * (end[2] - start[2])
            over = base + thickness - (axis + height / 2)
        else:
            over = thickness - height
        length = (share[:, 1] - share[:, 0]) * np.hypot(*(end - start)[:2])
        pieces.append((over, places, length))
    over, places, length = (np.concatenate(part) for part in zip(*pieces, strict=True))
    if len(over) == 0:
        return None
    # among equals the first along the line, whatever the order of the shots
    least = tuple(np.argwhere(over <= over.min() + 1e-9)[0])
    east, north = places[least]
    lowest, required = float(over[least]), part.least_cover
    if required is not None and required - _ROUNDING <= lowest < required:
        lowest = required
    stretches = _stretches(over, places, length, required)
    return Cover(
        name=part.name,
        least=lowest,
        at=(float(east), float(north)),
        required=required,
        length=float(length.sum()),
        short=float(sum(stretch.length for stretch in stretches)),
        stretches=stretches,
    )


def _once(piece: IntArray, share: FloatArray) -> tuple[IntArray, FloatArray]:
    """Leave out what earlier pieces hold: a line along a side lies in both pieces beside it."""
    reached = np.concatenate([[0.0], np.maximum.accumulate(share[:, 1])])[: len(share)]
    share = np.column_stack([np.maximum(share[:, 0], reached), share[:, 1]])
    is_new = share[:, 1] - share[:, 0] > _HAIR
    return piece[is_new], share[is_new]


def _stretches(
    over: FloatArray, places: FloatArray, length: FloatArray, required: float | None
) -> tuple[Stretch, ...]:
    """Where cover (n, 2) at the ends of pieces, linear on each, is less than required."""
    if required is None:
        return ()
    found: list[Stretch] = []
    for (first, last), ends, run in zip(over - required, places, length, strict=True):
        if min(first, last) >= 0 or run == 0:
            continue
        cross = first / (first - last) if first * last < 0 else None
        low, high = (0.0, 1.0) if cross is None else (0.0, cross) if first < 0 else (cross, 1.0)
        start, end = (_place(ends, share) for share in (low, high))
        least = float(min(first, last)) + required
        at = start if first <= last else end
        one = Stretch((start, end), float((high - low) * run), least, at)
        if found and np.hypot(*np.subtract(found[-1].path[-1], start)) < _JOINED:
            one = _join(found.pop(), one)
        found.append(one)
    return tuple(one for one in found if one.least < required - _ROUNDING)


def _place(ends: FloatArray, share: float) -> tuple[float, float]:
    east, north = ends[0] + share * (ends[1] - ends[0])
    return float(east), float(north)


def _join(first: Stretch, second: Stretch) -> Stretch:
    # among equals the first along the line, whatever the order of the shots
    worst = second if second.least < first.least - 1e-9 else first
    path = (*first.path, second.path[-1])
    return Stretch(path, first.length + second.length, worst.least, worst.at)
