"""Scatter: by how much single points of a cloud leave the surface that they show."""

from collections.abc import Iterator

import numpy as np

from gradevol.files.clouds.bins import Bins
from gradevol.ground.arrays import FloatArray, IntArray

#: A block of squares that gives a plane holds so many of them on the middle, and no fewer than the
#: second, so that some are left over by which to tell the scatter.
_USUAL, _FEWEST = 8, 6
#: Squares along a block's side, at first.
_FIRST = 4
#: Squares in a strip, of which the scatter is measured in so many at most, evenly apart.
_IN_STRIP, _MOST_STRIPS = 50_000, 12
#: Blocks are numbered by a table of all in a strip unless that has so many places for each square.
_SPARSE = 4
#: A plane is fixed by places that spread across at least this share of how they spread along.
_THINNEST = 0.01


def measure_scatter(bins: Bins) -> float | None:
    """
    Measure the scatter of single points.

    Parameters
    ----------
    bins : Bins
        Small squares: a mean of n points scatters less than one by the square root of n.

    Returns
    -------
    float or None
        One standard deviation of a point's elevation about planes through blocks of squares, m:
        the middle over all blocks, or those of some strips of a large cloud, so that a step, a
        trench or a stake here and there tells nothing. Unevenness within a block counts as scatter.
        None where there is no such block.
    """
    if len(bins) < _FEWEST:
        return None
    size = _FIRST
    while True:
        strips = list(_strips(bins, size))
        strips = strips[:: -(-len(strips) // _MOST_STRIPS)]
        blocks = [_block(bins, strip, size) for strip in strips]
        squares = np.concatenate([squares for _, squares in blocks])
        if np.median(squares) >= _USUAL or len(squares) == 1:
            break
        size *= 2
    found = np.concatenate(
        [_fit_planes(bins[strip], *block) for strip, block in zip(strips, blocks, strict=True)]
    )
    return float(np.median(found)) if len(found) else None


def _strips(bins: Bins, size: int) -> Iterator[slice]:
    """Cut bins between blocks, so that few are worked on at once."""
    start = 0
    while start < len(bins):
        last = min(start + _IN_STRIP, len(bins)) - 1
        ahead = size - (bins.column[last] - bins.column[0]) % size
        end = int(np.searchsorted(bins.column, bins.column[last] + ahead))
        yield slice(start, end)
        start = end


def _block(bins: Bins, strip: slice, size: int) -> tuple[IntArray, IntArray]:
    """Block of each square of a strip, and squares of each block."""
    # counted from the first of them: about a nought between them blocks would never become one
    column = (bins.column[strip] - bins.column[0]) // size
    row = (bins.row[strip] - bins.row.min()) // size
    key = column * (int(row.max(initial=0)) + 1) + row
    if key.max() > _SPARSE * len(key):
        _, block, squares = np.unique(key, return_inverse=True, return_counts=True)
        return block.astype(np.intp), squares.astype(np.intp)
    squares = np.bincount(key)
    held = squares > 0
    return (np.cumsum(held) - 1)[key], squares[held]


def _fit_planes(bins: Bins, block: IntArray, squares: IntArray) -> FloatArray:
    """Standard deviation of one point about each block's plane, m."""
    weight = bins.count

    def add(values: FloatArray) -> FloatArray:
        return np.bincount(block, weights=weight * values, minlength=len(squares)).astype(float)

    held = np.bincount(block, weights=weight, minlength=len(squares))
    east, north, level = (axis - (add(axis) / held)[block] for axis in bins.means.T)
    ee, en, nn = add(east * east), add(east * north), add(north * north)
    ez, nz, zz = add(east * level), add(north * level), add(level * level)
    spread = ee * nn - en * en
    is_plane = (squares >= _FEWEST) & (spread > (_THINNEST * (ee + nn)) ** 2)
    ee, en, nn, ez, nz, zz, spread = (
        values[is_plane] for values in (ee, en, nn, ez, nz, zz, spread)
    )
    left = zz - (nn * ez * ez - 2 * en * ez * nz + ee * nz * nz) / spread
    freedom = squares[is_plane] - 3
    # the middle of a sum of so many squares lies below their mean: Wilson and Hilferty,
    # Proceedings of the National Academy of Sciences 17 (1931) 684-688
    middle = freedom * (1 - 2 / (9 * freedom)) ** 3
    return np.sqrt(np.maximum(left, 0.0) / middle)
