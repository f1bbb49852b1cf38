"""Bins: many points thinned to one a square, by the mean.

The mean place and the mean elevation of points on a plane lie on that plane, so a plane survives
binning exactly; a bin's middle with its mean elevation would not.
"""

from dataclasses import dataclass

import numpy as np

from gradevol.files.clouds.stored import FINE, Steps, Stored, lengthen, shorten
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure

#: A point this far below a bin's south or west side still counts as on it, m: far more than
#: coordinates of millions lose in float64 (1e-9), far less than anyone measures. Without it, points
#: on a side would fall to one bin or the other by the last bit of how their file scales them.
_ON_SIDE = 1e-8

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
    column, row = number_squares(stored, cell)
    east, north, level = (stored.count_in(steps, axis) for axis in range(3))
    ones = np.ones(len(row), np.int64)
    return _gather(cell, steps, [column, row, ones, east, north, level])


def find_line(places: FloatArray, cell: float) -> FloatArray:
    """Columns, or rows, of squares of a side that hold places along an axis, m."""
    return np.floor((places + _ON_SIDE) / cell)


def number_squares(stored: Stored, cell: float) -> tuple[IntArray, IntArray]:
    """Column and row of the square that each point is in; see `bin_points`."""
    if not (np.isfinite(cell) and cell > 0):
        raise ValueError(f"cell must be above zero, not {cell}")

    def number(places: FloatArray) -> AnyArray:
        number = find_line(places, cell)
        if len(number) and np.abs(number).max() >= 2**62:
            raise _too_wide(np.ptp(stored.ends(), axis=0), cell)
        return number.astype(np.int64)

    return stored.work_out(0, number), stored.work_out(1, number)


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
    west, south = int(column.min()), int(row.min())
    wide, tall = int(column.max()) - west + 1, int(row.max()) - south + 1
    if wide * tall >= 2**62:
        raise _too_wide(np.array([wide, tall]) * cell, cell)
    key = (column - west) * tall
    key += row - south
    del column, row, loose[:2]
    sums: list[IntArray] = []
    if wide * tall <= _TABLE_PER_ROW * len(key):
        table = np.zeros(wide * tall, np.int64)
        np.add.at(table, key, loose.pop(0))
        held = np.flatnonzero(table)
        sums.append(table[held])
        while loose:
            table[:] = 0
            np.add.at(table, key, loose.pop(0))
            sums.append(table[held])
    else:
        order = np.argsort(key, kind="stable")
        key = key[order]
        starts = np.flatnonzero(np.diff(key, prepend=-1))
        held = key[starts]
        while loose:
            sums.append(np.add.reduceat(loose.pop(0)[order], starts))
    count, east, north, level = sums
    column, row = np.divmod(held, tall)
    column += west
    row += south
    return Bins(cell, steps, column, row, count, (east, north, level))
