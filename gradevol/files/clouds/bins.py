"""Bins: many points thinned to one a square, by the mean.

The mean place and the mean elevation of points on a plane lie on that plane, so a plane survives
binning exactly; a bin's middle with its mean elevation would not.
"""

from dataclasses import dataclass

import numpy as np

from gradevol.files.clouds.squares import Rectangle
from gradevol.files.clouds.stored import FINE, Steps, Stored, lengthen, shorten
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure

#: How sparse a table of every bin in the extents may be before sorting is cheaper.
_TABLE_PER_ROW = 4
#: Squares that can be numbered, and bits of a word beside its sign.
_MOST, _BITS = 2**62, 63


@dataclass(frozen=True, slots=True)
class Bins:
    """
    Squares of one side, aligned to whole multiples of it, that hold at least one point.

    Attributes
    ----------
    cell : float
        Side of a square, m.
    steps : Steps
        Of the totals.
    column, row : (b,) array of int
        A square spans eastings ``[column, column + 1) * cell``, and northings by `row` likewise;
        sorted by column, then row.
    count : (b,) array of int
        Points in each.
    total : three (b,) arrays of int
        Sums of eastings, northings and elevations in steps: exact, and modulo 2^64, which a mean
        within a known square is told from all the same.
    """

    cell: float
    steps: Steps
    column: IntArray
    row: IntArray
    count: IntArray
    total: tuple[IntArray, IntArray, IntArray]

    def __len__(self) -> int:
        return len(self.count)

    def __reduce__(self) -> tuple[object, ...]:
        """Bins as they are sent elsewhere: sums as what they are off their square, in few bytes."""
        near = [self._near(axis) for axis in range(3)]
        level = int(near[2][0]) if len(self) else 0
        off = [sums - self.count * by for sums, by in zip(self.total, near, strict=True)]
        sent = []
        for numbers in (self.column, self.row, self.count, *off):
            least, most = (int(numbers.min()), int(numbers.max())) if len(self) else (0, 0)
            sent.append((shorten(numbers, least, most), least))
        return _receive, (self.cell, self.steps, level, sent)

    def __getitem__(self, rows: slice | BoolArray) -> "Bins":
        """Some of the squares."""
        east, north, level = (axis[rows] for axis in self.total)
        return Bins(
            self.cell,
            self.steps,
            self.column[rows],
            self.row[rows],
            self.count[rows],
            (east, north, level),
        )

    @property
    def means(self) -> FloatArray:
        """Mean easting, northing and elevation of the points of each square, (b, 3), m."""
        means = np.empty((len(self), 3))
        for axis in range(3):
            near = self._near(axis)
            whole, left = np.divmod(self.total[axis] - self.count * near, self.count)
            means[:, axis] = self.steps.place(axis, near + whole)
            means[:, axis] += left / self.count * (self.steps.step[axis] * self.steps.metres[axis])
        return means

    def _near(self, axis: int) -> IntArray:
        """Numbers so near to the means that sums of differences from them are within 2^63."""
        if axis < 2:
            square = (self.column, self.row)[axis].astype(np.float64)
            return self.steps.nearest(axis, (square + 0.5) * self.cell)
        if len(self) == 0:
            return self.count
        few = np.argmin(self.count)  # so few that their own sum is within it
        return np.full(len(self), self.total[axis][few] // self.count[few])


def _receive(cell: float, steps: Steps, level: int, sent: list[tuple[AnyArray, int]]) -> Bins:
    """Bins as they were before they were sent."""
    column, row, count, *off = (lengthen(above, least) for above, least in sent)
    bins = Bins(cell, steps, column, row, count, (off[0], off[1], off[2]))
    near: tuple[IntArray | int, ...] = (bins._near(0), bins._near(1), level)
    for sums, by in zip(off, near, strict=True):
        np.add(sums, count * by, out=sums)
    return bins


def bin_points(stored: Stored, cell: float, steps: Steps = FINE) -> Bins:
    """
    Gather points in squares.

    Parameters
    ----------
    stored : Stored
    cell : float
        Side of a square, m.
    steps : Steps
        Of the totals.

    Raises
    ------
    ValueError
        If the side is not above zero.
    GeometryError
        If the points stretch over more squares than can be numbered.
    """
    if not (np.isfinite(cell) and cell > 0):
        raise ValueError(f"cell must be above zero, not {cell}")
    if len(stored) == 0:
        none = np.empty(0, np.int64)
        return Bins(cell, steps, none, none, none, (none, none, none))
    squares = Rectangle.holding(stored, cell)
    if squares.size >= _MOST:
        raise _too_wide(np.ptp(stored.ends(), axis=0), cell)
    groups = _Groups(squares.place(stored, cell), squares.size)
    count, east, north, level = _add_up(groups, stored.count_in(steps))
    return Bins(cell, steps, *squares.part(groups.held), count, (east, north, level))


def _add_up(groups: "_Groups", counted: Stored) -> tuple[IntArray, IntArray, IntArray, IntArray]:
    """Count points by group, and add up their numbers: two at a time where both fit a word."""
    east, north, level = counted.axes
    (west, _), (south, _), (least, _) = counted.span.tolist()
    wide, tall, high = np.ptp(counted.span, axis=1).tolist()
    bits = (len(level) * high).bit_length()
    if bits + len(level).bit_length() > _BITS:
        count = groups.add(np.ones(len(level), np.int64))
        levels = groups.add(level)
    else:
        both = groups.add(level + ((1 << bits) - least))
        count = both >> bits
        levels = (both & (1 << bits) - 1) + count * least
    most = int(count.max())
    bits = (most * tall).bit_length()
    if bits + (most * wide).bit_length() > _BITS:
        return count, groups.add(east), groups.add(north), levels
    both = east - west
    both <<= bits
    both += north
    both = groups.add(both) - count * south
    return count, (both >> bits) + count * west, (both & (1 << bits) - 1) + count * south, levels


def merge_bins(parts: list[Bins]) -> Bins:
    """
    Put several sets of bins of one side and of the same steps together, in any order.

    The list is left empty, so that memory is let go of while they are put together.
    """
    if len(parts) == 1:
        return parts.pop()
    cell, steps = parts[0].cell, parts[0].steps
    if any((part.cell, part.steps) != (cell, steps) for part in parts):
        raise ValueError(f"bins of sides {sorted({part.cell for part in parts})} do not merge")
    listed = [[part.column, part.row, part.count, *part.total] for part in parts]
    parts.clear()
    return _gather(
        cell, steps, [np.concatenate([part.pop(0) for part in listed]) for _ in range(6)]
    )


def coarsen_bins(bins: Bins, factor: int, *, cell: float) -> Bins:
    """
    Make larger bins of smaller ones, as though the points had been gathered in them at once.

    Parameters
    ----------
    bins : Bins
        The smaller ones.
    factor : int
        Sides of the smaller in one of the larger.
    cell : float
        The larger side as it should be spelled, m: ``0.5`` rather than a product of roundings.
    """
    column, row = bins.column // factor, bins.row // factor
    return _gather(cell, bins.steps, [column, row, bins.count, *bins.total])


def _too_wide(extent: FloatArray, cell: float) -> GeometryError:
    return GeometryError(
        "The points stretch over {} by {}, too much for bins of {}: look for stray points, or give "
        "a larger cell."
    ).measuring(*(Measure(float(size), Kind.EXACT_LENGTH) for size in (*extent[:2], cell)))


def _gather(cell: float, steps: Steps, loose: list[IntArray]) -> Bins:
    """Add up columns, rows, counts and sums that speak of one square; the list is left empty."""
    column, row = loose[:2]
    if len(column) == 0:
        return Bins(cell, steps, column, row, loose[2], (loose[3], loose[4], loose[5]))
    squares = Rectangle.around(column, row)
    if squares.size >= _MOST:
        raise _too_wide(np.array([squares.wide, squares.tall]) * cell, cell)
    groups = _Groups(squares.number(column, row), squares.size)
    del column, row, loose[:2]
    count, east, north, level = (groups.add(loose.pop(0)) for _ in range(4))
    return Bins(cell, steps, *squares.part(groups.held), count, (east, north, level))


class _Groups:
    """
    Numbers of one key are added up: in a table of all keys, or sorted where these are many more.

    Parameters
    ----------
    key : (n,) array of int
        From 0.
    size : int
        Above all of them.

    Attributes
    ----------
    held : (k,) array of int
        Keys that occur, sorted; known once something was added up that is above nought for each.
    """

    def __init__(self, key: IntArray, size: int) -> None:
        self.held = np.empty(0, np.int64)
        self._table: IntArray | None = None
        if size <= _TABLE_PER_ROW * len(key):
            self._key, self._table = key, np.zeros(size, np.int64)
            return
        self._order = np.argsort(key, kind="stable")
        key = key[self._order]
        self._starts = np.flatnonzero(np.diff(key, prepend=-1))
        self.held = key[self._starts]

    def add(self, values: IntArray) -> IntArray:
        """Sum of each group."""
        if self._table is None:
            return np.add.reduceat(values[self._order], self._starts)
        self._table[:] = 0
        np.add.at(self._table, self._key, values)
        if len(self.held) == 0:
            self.held = np.flatnonzero(self._table != 0)
        return self._table[self.held]
