"""Points sorted into squares: what is near a place stands in its square and the eight about it."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, count_up, order_by

#: Points of a square, about; and how many more may stand in that of all but a hundredth of them.
_EACH, _CROWD = 9.0, 4
#: And no square is smaller than this, m.
_LEAST = 1e-6
#: Squares whose windows hold more points than this are not looked at.
_MOST = 2000
#: Distances that are worked out at a time: they stay near the processor.
_AT_ONCE = 1 << 16
#: What fills up a window stands this many squares off, both ways: no farther than twice that.
_OFF = 8
#: Where fewer than this share of the places are left, squares grow fourfold, not twofold.
_FEW = 0.02

#: Of some places: which, how far from the points about them, which points, and what those reach.
Windows: TypeAlias = Iterator[tuple[IntArray, FloatArray, IntArray, FloatArray]]


@dataclass(frozen=True, slots=True)
class Squares:
    """
    Points by squares of one size, row by row from the south-west.

    Attributes
    ----------
    low : (2,) array of float
        The south-west corner, m.
    size : float
        Length of a square's side, m.
    shape : (int, int)
        Columns and rows.
    order : (n,) array of int
        The points, square by square.
    plan : (2, n) array of float
        Easting and northing of the points in that order, m.
    square, first : (s,) and (s + 1,) array of int
        The squares that hold points, and where in that order these begin.
    """

    low: FloatArray
    size: float
    shape: tuple[int, int]
    order: IntArray
    plan: FloatArray
    square: IntArray
    first: IntArray

    @classmethod
    def of(cls, plan: FloatArray, size: float) -> "Squares":
        """Sort (n, 2) points into squares of a size."""
        low = np.array([column.min() for column in plan.T])
        column, row = (
            ((at - least) / size).astype(np.int64) for at, least in zip(plan.T, low, strict=True)
        )
        order = order_by(row, column)
        shape = int(column.max()) + 1, int(row.max()) + 1
        square = (row * shape[0] + column).take(order)
        first = np.flatnonzero(np.diff(square, prepend=-1))
        held = np.ascontiguousarray(plan.take(order, axis=0).T)
        return cls(low, size, shape, order, held, square[first], np.append(first, len(plan)))

    @classmethod
    def about(cls, plan: FloatArray) -> "Squares":
        """Sort (n, 2) points into squares that hold a handful each."""
        far = np.array([np.ptp(column) for column in plan.T])
        share = _EACH / len(plan)
        size = max(float(np.sqrt(far.prod() * share)), float(far.max()) * share, _LEAST)
        before = len(plan) + 1
        while True:
            made = cls.of(plan, size)
            held = np.sort(np.diff(made.first))
            crowd = int(held[np.searchsorted(np.cumsum(held), 0.99 * len(plan))])
            if crowd <= _CROWD * _EACH or crowd >= before:  # many stand at one place
                return made
            size, before = max(size * float(np.sqrt(_EACH / crowd)), _LEAST), crowd

    @property
    def is_whole(self) -> bool:
        """Whether every window holds all points."""
        return max(self.shape) <= 2

    def each_window(self, places: FloatArray, *, fewest: int) -> Windows:
        """
        Measure how far places are from the points in the squares about them.

        Parameters
        ----------
        places : (m, 2) array of float
        fewest : int
            Places with fewer points about them are left out, and those with very many.

        Yields
        ------
        which : (c, p) array of int
            Some places, those of one square in a row.
        away : (c, p, w) array of float
            Distances from the points about them, m; and of what fills up the window, far longer.
        point : (c, w) array of int
            The points.
        reach : (c, p) array of float
            No other point is nearer than this, m.
        """
        at = np.floor((places - self.low) / self.size)
        column, row = np.clip(at.T, -2, np.array([self.shape]).T + 1).astype(np.int64)
        which = order_by(row + 2, column + 2)
        column, row = column[which], row[which]
        begin = np.flatnonzero(np.diff(row * (self.shape[0] + 4) + column, prepend=-(1 << 62)))
        asked = np.diff(begin, append=len(which))
        start, width = self._run(column[begin], row[begin])
        held = width.sum(axis=1)
        reach = self._reach(places.take(which, axis=0), column, row)
        some = np.flatnonzero((held >= fewest) & (held <= _MOST))
        # of one number of places, so that none is waited for, and about as many points: what fills
        # up a window takes no more than these
        some = some[order_by(asked[some], held[some])]
        while len(some):
            each, wide = int(asked[some[0]]), int(held[some[0]])
            take = max(1, _AT_ONCE // (each * wide))
            part = some[:take]
            part = part[(asked[part] == each) & (held[part] <= 2 * wide)]
            some = some[len(part) :]
            rows = begin[part, None] + np.arange(each)
            where = places.take(which[rows], axis=0)
            point, plan = self._gather(start[part], width[part])
            away = plan[0][:, None, :] - where[:, :, :1]
            away *= away
            north = plan[1][:, None, :] - where[:, :, 1:]
            north *= north
            away += north
            yield which[rows], np.sqrt(away, out=away), point, reach[rows]

    def _run(self, column: IntArray, row: IntArray) -> tuple[IntArray, IntArray]:
        """Where the points of three squares begin in each of three rows, and how many: (c, 3)."""
        columns, rows = self.shape
        beside = row[:, None] + np.array([-1, 0, 1])
        west, east = np.clip(column - 1, 0, columns), np.clip(column + 2, 0, columns)
        ends = beside[:, :, None] * columns + np.stack([west, east], axis=1)[:, None, :]
        start, stop = np.moveaxis(self.first[np.searchsorted(self.square, ends)], 2, 0)
        return start, np.where((beside >= 0) & (beside < rows), stop - start, 0)

    def _reach(self, places: FloatArray, column: IntArray, row: IntArray) -> FloatArray:
        """How far places are from what their windows don't hold, m: nothing lies past the rim."""
        reach = np.full(len(places), np.inf)
        for value, low, at, count in zip(
            places.T, self.low, (column, row), self.shape, strict=True
        ):
            off = value - low
            np.minimum(reach, off - (at - 1) * self.size, out=reach, where=at > 1)
            np.minimum(reach, (at + 2) * self.size - off, out=reach, where=at < count - 2)
        return reach

    def _gather(self, start: IntArray, width: IntArray) -> tuple[IntArray, FloatArray]:
        """Points (c, w) of windows, and where they stand (2, c, w): far off what fills them up."""
        held = width.sum(axis=1)
        _, number = count_up(start.ravel(), width.ravel())
        first, wide = number.take(np.cumsum(held) - held), int(held.max())
        is_held = np.arange(wide) < held[:, None]
        point = np.zeros((len(start), wide), np.int64)
        point[is_held] = self.order.take(number)
        plan = np.empty((2, *point.shape))
        for made, known in zip(plan, self.plan, strict=True):
            made[:] = known.take(first)[:, None] + _OFF * self.size
            made[is_held] = known.take(number)
        return point, plan


@dataclass(frozen=True, slots=True)
class Layers:
    """
    Points in squares, and in ever larger ones for places about which they stand sparsely.

    Attributes
    ----------
    plan : (n, 2) array of float
        The points, m.
    made : dict of int to Squares
        What was asked for so far, by how often the sides are doubled.
    """

    plan: FloatArray
    made: dict[int, Squares]

    @classmethod
    def of(cls, plan: FloatArray) -> "Layers":
        """Layers of (n, 2) points."""
        return cls(plan, {0: Squares.about(plan)})

    def each_window(
        self, places: FloatArray, is_left: BoolArray, *, fewest: int, most: float = np.inf
    ) -> Windows:
        """
        As `Squares.each_window`, of ever larger squares, but of no distances beyond `most`, m.

        Whoever takes the windows clears `is_left` (m,) where a place has what it needs. Where the
        points crowd too much about places, or stand too far off, they stay left.
        """
        level = 0
        while is_left.any():
            if level not in self.made:
                self.made[level] = Squares.of(self.plan, 2**level * self.made[0].size)
            squares = self.made[level]
            if 2 * _OFF * squares.size > most:
                return
            left = np.flatnonzero(is_left)
            for which, away, point, reach in squares.each_window(places[left], fewest=fewest):
                yield left[which], away, point, reach
            if squares.is_whole:
                return
            level += 1 if is_left.mean() > _FEW else 2
