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

from dataclasses import dataclass

import numpy as np

from gradevol.files.clouds.layers import (
    BITS,
    CELL,
    HALF,
    LAYER,
    MASK,
    Layers,
    double_squares,
    too_wide,
)
from gradevol.files.clouds.squares import Rectangle
from gradevol.files.clouds.stored import Stored
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray

#: Where most squares would hold fewer points than this, squares of twice the side are taken.
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
#: Points of a square that are too few to be believed where most squares have many more.
_FAINT = 2
#: Rounds of evening out in a gap: enough for one as wide as `WIDEST`.
_ROUNDS = 30
#: Squares in the extents, at most: about 60 bytes each.
_MOST_SQUARES = 10_000_000


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

    def place(self, stored: Stored) -> IntArray:
        """Square of each point, as a row of the flattened arrays; the points are those counted."""
        wide, tall = self.low.shape
        return Rectangle(self.column, self.row, wide, tall).place(stored, self.cell)

    def holds(self, stored: Stored, place: IntArray) -> BoolArray:
        """Whether each point is base."""
        level = stored.place(2)
        low, high = self.low.ravel().take(place), self.high.ravel().take(place)
        return (level >= low) & (level <= high)

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
        layers = double_squares(layers)
        column, row, level, spread, held = _measure_squares(layers)
        first, shape = _frame(column, row)
    if shape.prod() > _MOST_SQUARES:
        raise too_wide(shape * cell)

    is_full = held >= min(FEWEST, np.median(held))  # so that clutter is not most of them
    sigma = float(np.median(spread[is_full])) / _LOW_SIGMAS
    band = max(BAND, SIGMAS * sigma)
    at = tuple(np.array([column, row]) - first[:, None])
    grid = np.full(shape, np.nan)
    grid[at] = level + _LOW_SIGMAS * sigma
    is_mixed, is_faint = np.zeros((2, *shape), bool)
    is_mixed[at] = spread > 2 * band
    is_faint[at] = (held <= _FAINT) & (held < 0.1 * np.median(held))
    grid = _without_pits(grid, is_faint, cell, band)
    base = _fill(np.where(_spread(_find_bumps(grid, cell, band), is_mixed), np.nan, grid))
    low, high = _span(base, 3)
    start = layers.anchor[:2] // round(cell / CELL) + first
    return Ground(cell, int(start[0]), int(start[1]), low - band, high + band, band)


def _frame(column: IntArray, row: IntArray) -> tuple[IntArray, IntArray]:
    """First column and row, and how many of each."""
    first = np.array([column.min(), row.min()])
    return first, np.array([column.max(), row.max()]) - first + 1


def _measure_squares(
    layers: Layers,
) -> tuple[IntArray, IntArray, FloatArray, FloatArray, IntArray]:
    """Column and row from the anchor, envelope, median above it, m, and count of each square."""
    square = layers.key >> BITS
    starts = np.flatnonzero(np.diff(square, prepend=square[0] - 1))
    until = np.cumsum(layers.count)
    before = until[starts] - layers.count[starts]
    held = np.diff(np.append(before, until[-1]))
    bottom = ((layers.key & MASK) - HALF + layers.anchor[2]) * LAYER

    def quantile(share: float) -> FloatArray:
        wanted = before + share * held
        at = np.searchsorted(until, wanted)
        within = (wanted - (until[at] - layers.count[at])) / layers.count[at]
        return bottom[at] + within * LAYER

    level = quantile(LOW_SHARE)
    column = (square[starts] >> BITS) - HALF
    row = (square[starts] & MASK) - HALF
    return column, row, level, quantile(0.5) - level, held


def _without_pits(grid: FloatArray, is_faint: BoolArray, cell: float, band: float) -> FloatArray:
    """Raise a square that lies abruptly below all around it, as low strays do where points are few.

    A slit or a trench is at least two squares long, and stays. Faint squares, of a point or two
    where others have many, as in what someone hides, are no support to one another.
    """
    from scipy import ndimage  # noqa: PLC0415

    values = np.where(np.isnan(grid) | is_faint, np.inf, grid)
    lowest = np.full(grid.shape, np.inf)
    for size in (3, 5, 7):  # farther out only where nothing is nearer
        around = np.ones((size, size), bool)
        around[size // 2, size // 2] = False
        found = ndimage.minimum_filter(values, footprint=around, mode="constant", cval=np.inf)
        lowest = np.where(np.isinf(lowest), found, lowest)
    is_pit = np.isfinite(lowest) & (grid < lowest - band - STEEPEST * cell)
    return np.where(is_pit, lowest, grid)


def _spread(is_bump: BoolArray, is_mixed: BoolArray) -> BoolArray:
    """Bumps, and the squares joined to them whose points reach up: what stands there is in them."""
    from scipy import ndimage  # noqa: PLC0415

    return ndimage.binary_propagation(is_bump, np.ones((3, 3), bool), mask=is_bump | is_mixed)


def _find_bumps(grid: FloatArray, cell: float, band: float) -> BoolArray:
    """Whether each square rises abruptly above what is around, and is narrow."""
    is_bump = np.zeros(grid.shape, bool)
    limit = band + STEEPEST * cell
    opened = grid
    # what a window takes off a gentle ridge grows with the window; what it takes off at one step
    # does not, so that a ridge of the base stays however wide the window
    for size in range(3, int(WIDEST / cell + 0.5) + 1, 2):
        smoother = _open(opened, size)
        is_bump |= opened - smoother > limit
        opened = smoother
    return is_bump


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
    """Give each square without a level one between those around: a gap spans a ridge as it runs."""
    from scipy import ndimage  # noqa: PLC0415

    is_empty = np.isnan(grid)
    nearest = ndimage.distance_transform_edt(is_empty, return_distances=False, return_indices=True)
    filled: FloatArray = grid[tuple(nearest)]
    for _ in range(_ROUNDS):
        filled[is_empty] = ndimage.uniform_filter(filled, 3, mode="nearest")[is_empty]
    return filled


def _span(grid: FloatArray, size: int) -> tuple[FloatArray, FloatArray]:
    """Lowest and highest in a square window."""
    from scipy import ndimage  # noqa: PLC0415

    low: FloatArray = ndimage.minimum_filter(grid, size, mode="nearest")
    high: FloatArray = ndimage.maximum_filter(grid, size, mode="nearest")
    return low, high
