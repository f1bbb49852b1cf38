"""Bins: many points thinned to one a square, by the mean.

The mean place and the mean elevation of points on a plane lie on that plane, so a plane survives
binning exactly; a bin's middle with its mean elevation would not.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure

#: Bins that may wait to be put together with the others.
_WAITING = 1_000_000

#: A point this far below a bin's south or west side still counts as on it, m: far more than
#: coordinates of millions lose in float64 (1e-9), far less than anyone measures. Without it, points
#: on a side would fall to one bin or the other by the last bit of how their file scales them.
ON_SIDE = 1e-8

#: How sparse a table of every bin in the extents may be before sorting is cheaper.
_TABLE_PER_ROW = 4


@dataclass(frozen=True, slots=True)
class Bins:
    """
    Squares of one side, aligned to whole multiples of it, that hold at least one point.

    Attributes
    ----------
    cell : float
        Side of a square, m.
    column, row : (b,) array of int
        A square spans eastings ``[column, column + 1) * cell``, and northings by `row` likewise;
        sorted by column, then row.
    count : (b,) array of float
        Points in each, whole numbers.
    total : (b, 3) array of float
        Sums over its points of easting and northing less the square's middle, and elevation, m.
    """

    cell: float
    column: IntArray
    row: IntArray
    count: FloatArray
    total: FloatArray

    def __len__(self) -> int:
        return len(self.count)

    @property
    def means(self) -> FloatArray:
        """Mean easting, northing and elevation of the points of each square, (b, 3), m."""
        return self.total / self.count[:, None] + _middles(self.column, self.row, self.cell)


def bin_points(points: FloatArray, cell: float) -> Bins:
    """
    Gather points in squares.

    Parameters
    ----------
    points : (n, 3) array of float
        Easting, northing, elevation, m.
    cell : float
        Side of a square, m.

    Raises
    ------
    ValueError
        If the side is not above zero.
    GeometryError
        If the points stretch over more squares than can be numbered.
    """
    if not (np.isfinite(cell) and cell > 0):
        raise ValueError(f"cell must be above zero, not {cell}")
    place = np.floor((points[:, :2] + ON_SIDE) / cell)
    if len(place) and np.abs(place).max() >= 2**62:
        raise _too_wide(np.ptp(points[:, :2], axis=0), cell)
    column, row = place[:, 0].astype(np.intp), place[:, 1].astype(np.intp)
    return _gather(cell, column, row, np.ones(len(points)), points - _middles(column, row, cell))


def merge_bins(parts: Sequence[Bins]) -> Bins:
    """
    Put several sets of bins of one side together.

    The result does not depend on their order, but for rounding.
    """
    cell = parts[0].cell
    if any(part.cell != cell for part in parts):
        raise ValueError(f"bins of sides {sorted({part.cell for part in parts})} do not merge")
    return _gather(
        cell,
        np.concatenate([part.column for part in parts]),
        np.concatenate([part.row for part in parts]),
        np.concatenate([part.count for part in parts]),
        np.concatenate([part.total for part in parts]),
    )


def coarsen_bins(bins: Bins, factor: int, *, cell: float | None = None) -> Bins:
    """
    Make larger bins of smaller ones, as though the points had been gathered in them at once.

    Parameters
    ----------
    bins : Bins
        The smaller ones.
    factor : int
        Sides of the smaller in one of the larger.
    cell : float, optional
        The larger side as it should be spelled, m: ``0.5`` rather than a product of roundings.
    """
    side = bins.cell * factor if cell is None else cell
    column, row = bins.column // factor, bins.row // factor
    shift = _middles(bins.column, bins.row, bins.cell) - _middles(column, row, side)
    return _gather(side, column, row, bins.count, bins.total + bins.count[:, None] * shift)


def add_bins(parts: list[Bins], more: Bins) -> list[Bins]:
    """Add one part, and put all together once the later ones outgrow the first.

    Each bin is so merged a few times in all, not once a chunk.
    """
    parts = [*parts, more]
    if sum(map(len, parts[1:])) > max(len(parts[0]), _WAITING):
        return [merge_bins(parts)]
    return parts


def _middles(column: IntArray, row: IntArray, cell: float) -> FloatArray:
    """Easting and northing of the middle of each square, and 0 for its elevation, m."""
    return np.column_stack([(column + 0.5) * cell, (row + 0.5) * cell, np.zeros(len(column))])


def _too_wide(extent: FloatArray, cell: float) -> GeometryError:
    return GeometryError(
        "The points stretch over {} by {}, too much for bins of {}: look for stray points, or give "
        "a larger cell."
    ).measuring(*(Measure(float(size), Kind.EXACT_LENGTH) for size in (*extent, cell)))


def _gather(
    cell: float, column: IntArray, row: IntArray, count: FloatArray, total: FloatArray
) -> Bins:
    """Add up rows that speak of one square."""
    if len(column) == 0:
        return Bins(cell, column, row, count, total)
    west, south = int(column.min()), int(row.min())
    wide, tall = int(column.max()) - west + 1, int(row.max()) - south + 1
    if wide * tall >= 2**62:
        raise _too_wide(np.array([wide * cell, tall * cell]), cell)
    key = (column - west) * tall + (row - south)
    if wide * tall <= _TABLE_PER_ROW * len(key):
        counts = np.bincount(key, weights=count).astype(np.float64)
        held = np.flatnonzero(counts)
        sums = [np.bincount(key, weights=axis)[held] for axis in total.T]
        counts = counts[held]
    else:
        held, place = np.unique(key, return_inverse=True)
        counts = np.bincount(place, weights=count).astype(np.float64)
        sums = [np.bincount(place, weights=axis) for axis in total.T]
    return Bins(cell, held // tall + west, held % tall + south, counts, np.column_stack(sums))
