"""Rings on paper: lines and dots within them, and what they hold, by the even-odd rule.

A place is within rings (n, 2), none of them closed, if an odd number of them hold it, so that holes
need no telling apart from what they are holes in.
"""

from collections.abc import Sequence

import numpy as np

from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, count_up

#: Places by sides that are looked at in one go.
_MOST = 4_000_000


def close(rings: Sequence[FloatArray]) -> list[FloatArray]:
    """Rings as lines: each ends where it began."""
    return [np.vstack([ring, ring[:1]]) for ring in rings]


def box(x: float, y: float, wide: float, high: float) -> FloatArray:
    """Corners of a rectangle about its middle, (4, 2)."""
    a, b = wide / 2, high / 2
    return np.array([(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)])


def hatch(
    rings: Sequence[FloatArray],
    spacing: float,
    *,
    angle: float = 45.0,
    without: Sequence[FloatArray] = (),
) -> list[FloatArray]:
    """
    Rule lines across an area.

    Parameters
    ----------
    rings : sequence of (n, 2) arrays
    spacing : float
        From one line to the next.
    angle : float
        Of the lines, degrees counter-clockwise from level.
    without : sequence of (n, 2) arrays
        Rings of what is left bare.

    Returns
    -------
    list of (2, 2) arrays
    """
    turn = np.radians(angle)
    way = np.array([(np.cos(turn), -np.sin(turn)), (np.sin(turn), np.cos(turn))])
    row, start, end = _cross([ring @ way for ring in rings], spacing, [r @ way for r in without])
    level = row * spacing
    ends = np.stack([np.column_stack([at, level]) for at in (start, end)], axis=1)
    return list(ends @ way.T)


def strew(rings: Sequence[FloatArray], spacing: float) -> FloatArray:
    """Places of a staggered texture of dots within rings, (n, 2)."""
    row, start, end = _cross(rings, spacing / 2)
    off = row % 2 / 2
    run, number = _count(np.ceil(start / spacing - off), np.ceil(end / spacing - off))
    return np.column_stack([(number + off[run]) * spacing, row[run] * spacing / 2])


def holds(rings: Sequence[FloatArray], places: FloatArray) -> BoolArray:
    """Whether each of the places (..., 2) lies within rings: (...)."""
    at = places.reshape(-1, 2)
    is_within = np.zeros(len(at), bool)
    for ring in rings:
        start, end = ring, np.roll(ring, -1, axis=0)
        step = max(1, _MOST // len(ring))
        for first in range(0, len(at), step):
            x, y = at[first : first + step, :, None].transpose(1, 0, 2)
            is_past = (start[:, 1] > y) != (end[:, 1] > y)
            rise = np.where(end[:, 1] == start[:, 1], 1.0, end[:, 1] - start[:, 1])
            crossing = start[:, 0] + (y - start[:, 1]) / rise * (end[:, 0] - start[:, 0])
            is_within[first : first + step] ^= (is_past & (crossing > x)).sum(axis=1) % 2 == 1
    return is_within.reshape(places.shape[:-1])


def crosses(line: FloatArray, boxes: Sequence[FloatArray]) -> bool:
    """Whether a straight line (2, 2) touches any upright rectangle (4, 2), as `box` has them."""
    if not boxes:
        return False
    low, high = np.array(boxes)[:, 0], np.array(boxes)[:, 2]
    start, step = line[0], line[1] - line[0]
    # in each direction, the share of the line at which it enters the box and leaves it
    with np.errstate(divide="ignore", invalid="ignore"):
        ends = np.sort([(low - start) / step, (high - start) / step], axis=0)
    is_between = (low <= start) & (start <= high)
    enter = np.where(step == 0, np.where(is_between, -np.inf, np.inf), ends[0]).max(axis=1)
    leave = np.where(step == 0, np.where(is_between, np.inf, -np.inf), ends[1]).min(axis=1)
    return bool((np.maximum(enter, 0) <= np.minimum(leave, 1)).any())


def _cross(
    rings: Sequence[FloatArray], spacing: float, without: Sequence[FloatArray] = ()
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Rows at multiples of a spacing, and where each enters and leaves rings but not others."""
    sides = [np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in (*rings, *without)]
    if not sides:
        return np.empty(0, np.intp), np.empty(0), np.empty(0)
    is_bare = np.repeat([False] * len(rings) + [True] * len(without), list(map(len, sides)))
    start, end = np.concatenate(sides).transpose(1, 0, 2)
    low, high = np.sort([start[:, 1], end[:, 1]], axis=0)
    # a row through a corner crosses the side above it alone
    side, row = _count(np.ceil(low / spacing), np.ceil(high / spacing))
    start, end = start[side], end[side]
    share = (row * spacing - start[:, 1]) / (end[:, 1] - start[:, 1])
    at = start[:, 0] + share * (end[:, 0] - start[:, 0])
    order = np.lexsort([at, row])
    row, at, is_bare = row[order], at[order], is_bare[side[order]]
    # each row crosses closed rings an even number of times, so that counting may run on
    is_in = (np.cumsum(~is_bare) % 2 == 1) & (np.cumsum(is_bare) % 2 == 0)
    first = np.flatnonzero(is_in[:-1] & (at[1:] > at[:-1]))
    return row[first], at[first], at[first + 1]


def _count(first: FloatArray, end: FloatArray) -> tuple[IntArray, IntArray]:
    """Owner and whole numbers of every run from `first` up to, not with, `end`."""
    start = first.astype(np.intp)
    return count_up(start, np.maximum(end.astype(np.intp) - start, 0))
