"""Which points of a cloud are base: a filter by shape, on squares.

A scan of a site sees people, forms, stakes, reinforcing and, by reflections, points below the
ground. The base is what is low, wide and joined: each square's low envelope, without lone pits and
without what rises abruptly and is narrow. Points in a band about it are base.

References
----------
Growing windows whose limit grows with them: K. Zhang and others, "A progressive morphological
filter for removing nonground measurements from airborne LIDAR data", IEEE Transactions on
Geoscience and Remote Sensing 41 (2003) 872-882. The measures below are ours, for a base within
forms: docs/explanation/ground-filter.md has what they keep and miss.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol._types import AnyArray, BoolArray, FloatArray, IntArray
from gradevol.errors import GeometryError
from gradevol.readers.bins import ON_SIDE

#: Side of a square, m; twice it where most squares would hold fewer points than this.
CELL = 0.10
FEWEST = 8
#: Share of a square's points below its envelope: low strays among them do not pull it down.
LOW_SHARE = 0.10
#: What is narrower than this and rises abruptly is no base, m: a person, a stake, a form, a barrow.
WIDEST = 1.0
#: Rise per run above which a rise is abrupt, once it is higher than the band.
STEEPEST = 0.3
#: Least half-width of the band about the base, m; where the points scatter more it is this many
#: times their standard deviation.
BAND = 0.015
SIGMAS = 4.0

#: Quantile of a normal distribution at `LOW_SHARE`, standard deviations.
_LOW_SIGMAS = 1.2816
#: Height of a layer in which points of a square are counted, m.
_LAYER = 0.005
#: Squares in the extents, at most: about 60 bytes each.
_MOST_SQUARES = 10_000_000
#: A key is column, row and layer of 21 bits each, counted from an anchor.
_BITS = 21
_HALF = 1 << (_BITS - 1)
_MASK = (1 << _BITS) - 1


@dataclass(frozen=True, slots=True)
class Layers:
    """
    How many points lie in each layer of each square, layers of 5 mm.

    Attributes
    ----------
    anchor : (3,) array of int
        Column, row and layer of the square that keys are counted from.
    key : (k,) array of int
        Column, row and layer, packed; sorted.
    count : (k,) array of int
        Points in each.
    """

    anchor: IntArray
    key: IntArray
    count: IntArray


def find_anchor(points: FloatArray) -> IntArray:
    """Column, row and layer near points (n, 3), m, to count from."""
    place = np.floor(points[:1].mean(axis=0) / [CELL, CELL, _LAYER]).astype(np.int64)
    anchor: IntArray = place - place % [1 << 16, 1 << 16, 1]  # even after a doubling
    return anchor


def count_layers(points: FloatArray, anchor: IntArray) -> Layers:
    """
    Count points by square and layer.

    Parameters
    ----------
    points : (n, 3) array of float
        Easting, northing, elevation, m.
    anchor : (3,) array of int
        Of `find_anchor`.

    Raises
    ------
    GeometryError
        If the points stretch too far to be numbered.
    """
    place = np.empty(points.shape)
    place[:, :2] = np.floor((points[:, :2] + ON_SIDE) / CELL) - anchor[:2]
    place[:, 2] = np.floor(points[:, 2] / _LAYER) - anchor[2]
    if len(place) and np.abs(place).max() >= _HALF:
        raise GeometryError(_too_wide(np.ptp(points[:, :2], axis=0)))
    packed = place.astype(np.int64) + _HALF
    key = (packed[:, 0] << 2 * _BITS) | (packed[:, 1] << _BITS) | packed[:, 2]
    held, count = np.unique(key, return_counts=True)
    return Layers(anchor, held, count)


def merge_layers(parts: Sequence[Layers]) -> Layers:
    """Put several counts from one anchor together."""
    key, place = np.unique(np.concatenate([part.key for part in parts]), return_inverse=True)
    count = np.bincount(place, weights=np.concatenate([part.count for part in parts]))
    return Layers(parts[0].anchor, key, count.astype(np.int64))


@dataclass(frozen=True, slots=True)
class Ground:
    """
    Where a cloud's base lies.

    Attributes
    ----------
    cell : float
        Side of a square, m.
    column, row : int
        Of the first square; it spans eastings ``[column, column + 1) * cell``.
    low, high : (c, r) array of float
        Between these elevations points are base, m.
    band : float
        Half-width of the band, m.
    """

    cell: float
    column: int
    row: int
    low: FloatArray
    high: FloatArray
    band: float

    def place(self, points: FloatArray) -> IntArray:
        """Square of each point, as a row of the flattened arrays; the points are those counted."""
        column, row = (np.floor((points[:, :2] + ON_SIDE) / self.cell)).astype(np.int64).T
        index: IntArray = (column - self.column) * self.low.shape[1] + (row - self.row)
        return index

    def holds(self, points: FloatArray, place: IntArray) -> BoolArray:
        """Whether each point is base."""
        z = points[:, 2]
        is_base: BoolArray = (z >= self.low.ravel()[place]) & (z <= self.high.ravel()[place])
        return is_base

    def middles(self, places: AnyArray, *, factor: int = 1) -> FloatArray:
        """Middles in plan of squares, or of blocks of `factor` by `factor` that hold them; m."""
        column, row = np.divmod(places, self.low.shape[1])
        blocks = np.unique(
            np.column_stack([(column + self.column) // factor, (row + self.row) // factor]), axis=0
        )
        return (blocks + 0.5) * (self.cell * factor)


def find_ground(layers: Layers) -> Ground:
    """
    Find where the base lies.

    Parameters
    ----------
    layers : Layers
        Of all points, at least one.

    Raises
    ------
    GeometryError
        If the points stretch over too many squares.
    """
    cell = CELL
    column, row, level, spread, held = _measure_squares(layers)
    first, shape = _frame(column, row)
    if np.median(held) < FEWEST or shape.prod() > _MOST_SQUARES:
        cell *= 2
        layers = _double(layers)
        column, row, level, spread, held = _measure_squares(layers)
        first, shape = _frame(column, row)
    if shape.prod() > _MOST_SQUARES:
        raise GeometryError(_too_wide(shape * cell))

    is_full = held >= min(FEWEST, np.median(held))  # so that clutter is not most of them
    sigma = float(np.median(spread[is_full])) / _LOW_SIGMAS
    band = max(BAND, SIGMAS * sigma)
    grid = np.full(shape, np.nan)
    grid[column - first[0], row - first[1]] = level + _LOW_SIGMAS * sigma
    base = _fill(_without_bumps(_without_pits(grid, cell, band), cell, band))
    low, high = _span(base, 3)
    start = layers.anchor[:2] // round(cell / CELL) + first
    return Ground(cell, int(start[0]), int(start[1]), low - band, high + band, band)


def _frame(column: IntArray, row: IntArray) -> tuple[IntArray, IntArray]:
    """First column and row, and how many of each."""
    first = np.array([column.min(), row.min()])
    return first, np.array([column.max(), row.max()]) - first + 1


def _double(layers: Layers) -> Layers:
    """Count in squares of twice the side; the anchor stays that of the smaller ones."""
    halved = [
        ((layers.key >> 2 * _BITS) - _HALF) // 2,
        ((layers.key >> _BITS & _MASK) - _HALF) // 2,
    ]
    column, row = (axis + _HALF for axis in halved)
    key = (column << 2 * _BITS) | (row << _BITS) | (layers.key & _MASK)
    return merge_layers([Layers(layers.anchor, key, layers.count)])


def _measure_squares(
    layers: Layers,
) -> tuple[IntArray, IntArray, FloatArray, FloatArray, IntArray]:
    """Column and row from the anchor, envelope, median above it, m, and count of each square."""
    square = layers.key >> _BITS
    starts = np.flatnonzero(np.diff(square, prepend=square[0] - 1))
    until = np.cumsum(layers.count)
    before = until[starts] - layers.count[starts]
    held = np.diff(np.append(before, until[-1]))
    bottom = ((layers.key & _MASK) - _HALF + layers.anchor[2]) * _LAYER

    def quantile(share: float) -> FloatArray:
        wanted = before + share * held
        at = np.searchsorted(until, wanted)
        within = (wanted - (until[at] - layers.count[at])) / layers.count[at]
        return bottom[at] + within * _LAYER

    level = quantile(LOW_SHARE)
    column = (square[starts] >> _BITS) - _HALF
    row = (square[starts] & _MASK) - _HALF
    return column, row, level, quantile(0.5) - level, held


def _without_pits(grid: FloatArray, cell: float, band: float) -> FloatArray:
    """Raise a square that lies abruptly below all around it, as low strays do where points are few.

    A slit or a trench is at least two squares long, and stays.
    """
    from scipy import ndimage  # noqa: PLC0415

    around = np.ones((3, 3), bool)
    around[1, 1] = False
    lowest = ndimage.minimum_filter(
        np.where(np.isnan(grid), np.inf, grid), footprint=around, mode="constant", cval=np.inf
    )
    is_pit = np.isfinite(lowest) & (grid < lowest - band - STEEPEST * cell)
    return np.where(is_pit, lowest, grid)


def _without_bumps(grid: FloatArray, cell: float, band: float) -> FloatArray:
    """Take out squares that rise abruptly above what is around and are narrow."""
    is_bump = np.zeros(grid.shape, bool)
    limit = band + STEEPEST * cell
    opened = grid
    # what a window takes off a gentle ridge grows with the window; what it takes off at one step
    # does not, so that a ridge of the base stays however wide the window
    for size in range(3, int(WIDEST / cell + 0.5) + 1, 2):
        smoother = _open(opened, size)
        is_bump |= opened - smoother > limit
        opened = smoother
    return np.where(is_bump, np.nan, grid)


def _open(grid: FloatArray, size: int) -> FloatArray:
    """Opening by a square window; squares without points neither rise nor sink anything."""
    from scipy import ndimage  # noqa: PLC0415

    is_empty = np.isnan(grid)
    eroded = ndimage.minimum_filter(
        np.where(is_empty, np.inf, grid), size, mode="constant", cval=np.inf
    )
    opened: FloatArray = ndimage.maximum_filter(
        np.where(is_empty, -np.inf, eroded), size, mode="constant", cval=-np.inf
    )
    return np.where(is_empty, np.nan, opened)


def _fill(grid: FloatArray) -> FloatArray:
    """Give each square without a level that of the nearest one that has one."""
    from scipy import ndimage  # noqa: PLC0415

    is_empty = np.isnan(grid)
    nearest = ndimage.distance_transform_edt(is_empty, return_distances=False, return_indices=True)
    filled: FloatArray = grid[tuple(nearest)]
    return filled


def _span(grid: FloatArray, size: int) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest in a square window."""
    from scipy import ndimage  # noqa: PLC0415

    low: FloatArray = ndimage.minimum_filter(grid, size, mode="nearest")
    high: FloatArray = ndimage.maximum_filter(grid, size, mode="nearest")
    return low, high


def _too_wide(extent: AnyArray) -> str:
    return (
        f"The points stretch over {extent[0]:,.0f} m by {extent[1]:,.0f} m, too much to tell base "
        "from what is not: look for stray points, or set base.ground = false."
    )
