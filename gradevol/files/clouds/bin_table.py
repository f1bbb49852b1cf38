"""A table of every bin of a rectangle: points are added to it in place."""

from collections.abc import Iterator, Sequence

import numpy as np

from gradevol.files.clouds.bins import Bins
from gradevol.files.clouds.squares import Rectangle
from gradevol.files.clouds.stored import Steps
from gradevol.ground.arrays import IntArray

#: Slots that there is room for at first: memory is taken where it is written to.
_FIRST_SLOTS = 6_000_000
#: Points and squares that are worked on at once: few enough to stay near the processor.
_AT_ONCE = 50_000


class Table:
    """
    Squares of a rectangle, of which each that holds points has a slot of a count and three sums.

    Slots are given in the order in which squares are met, so that those of points that come
    together lie together.

    Parameters
    ----------
    rectangle : Rectangle

    Attributes
    ----------
    filled : int
        Squares that hold points.
    """

    def __init__(self, rectangle: Rectangle) -> None:
        self.rectangle, self.filled = rectangle, 0
        self._slot = np.zeros(rectangle.size, np.int32)  # of each square; 0: it has none
        room = min(rectangle.size, _FIRST_SLOTS) + 1
        self._sums = [np.zeros(room, np.int64) for _ in range(4)]

    def add(self, key: IntArray, count: IntArray | int, numbers: Sequence[IntArray]) -> None:
        """Add to squares, by `Rectangle.number`, counts and the sums of `Bins`, some at a time."""
        for start in range(0, len(key), _AT_ONCE):
            some = slice(start, start + _AT_ONCE)
            slot = self._find_slots(key[some])
            for sums, values in zip(self._sums, (count, *numbers), strict=True):
                np.add.at(sums, slot, values if isinstance(values, int) else values[some])

    def take(self, bins: Bins) -> None:
        """Add bins of the same side within it."""
        key = self.rectangle.number(bins.column, bins.row)
        for start in range(0, len(key), _AT_ONCE):
            some = slice(start, start + _AT_ONCE)
            slot = self._slot.take(key[some], mode="clip")
            values = [axis[some] for axis in (bins.count, *bins.total)]
            # no two are of one square, so the new ones come to lie behind what is held
            old = np.flatnonzero(slot)
            new = np.flatnonzero(slot == 0) if len(old) else slice(None)
            own = slice(self.filled + 1, self.filled + 1 + len(slot) - len(old))
            self._slot[key[some][new]] = np.arange(own.start, own.stop, dtype=np.int32)
            self._fill(own.stop - own.start)
            at = slot[old].astype(np.intp)
            for sums, more in zip(self._sums, values, strict=True):
                sums[own] = more[new]
                np.add.at(sums, at, more[old])

    def cover(self, rectangle: Rectangle) -> None:
        """Grow to a rectangle around its own."""
        old, new = self.rectangle, rectangle
        columns = slice(old.west - new.west, old.west - new.west + old.wide)
        rows = slice(old.south - new.south, old.south - new.south + old.tall)
        grown = np.zeros((new.wide, new.tall), np.int32)
        grown[columns, rows] = self._slot.reshape(old.wide, old.tall)
        self.rectangle, self._slot = new, grown.reshape(-1)

    def count_others(self, bins: Bins) -> int:
        """Squares that hold points, but those of bins of the same side."""
        inside = self.rectangle
        is_in = (bins.column >= inside.west) & (bins.column < inside.west + inside.wide)
        is_in &= (bins.row >= inside.south) & (bins.row < inside.south + inside.tall)
        both = inside.number(bins.column[is_in], bins.row[is_in])
        return self.filled - int(np.count_nonzero(self._slot[both]))

    def double(self) -> "Table":
        """Give a table of squares of twice the side."""
        doubled = Table(self.rectangle.coarsen(2))
        for column, row, at in self._walk():
            count, *numbers = (sums[at] for sums in self._sums)
            doubled.add(doubled.rectangle.number(column // 2, row // 2), count, numbers)
        return doubled

    def bins(self, cell: float, steps: Steps) -> Bins:
        """Those of its squares that hold points; nothing is left here."""
        column, row, at = np.empty((3, self.filled), np.int64)
        done = 0
        for some in self._walk():
            until = done + len(some[0])
            column[done:until], row[done:until], at[done:until] = some
            done = until
        del self._slot
        count, east, north, level = (self._sums.pop(0)[at] for _ in range(4))
        return Bins(cell, steps, column, row, count, (east, north, level))

    def _find_slots(self, key: IntArray) -> IntArray:
        """Slot of each of some squares; those that have none are given one."""
        slot = self._slot.take(key, mode="clip")  # no check of each: all lie within
        if len(new := np.flatnonzero(slot == 0)):
            new = key[new]
            # of equal ones whichever is written last has it
            number = np.arange(self.filled + 1, self.filled + len(new) + 1, dtype=np.int32)
            self._slot[new] = number
            new = new[np.flatnonzero(self._slot.take(new) == number)]
            self._slot[new] = number[: len(new)]
            self._fill(len(new))
            slot = self._slot.take(key, mode="clip")
        return slot.astype(np.intp)

    def _fill(self, more: int) -> None:
        """Count squares that hold points from now on, and make room for them."""
        self.filled += more
        while self.filled >= len(self._sums[0]):
            self._sums = [np.append(sums, np.zeros_like(sums)) for sums in self._sums]

    def _walk(self) -> Iterator[tuple[IntArray, IntArray, IntArray]]:
        """Columns, rows and slots of squares that hold points, some columns at a time."""
        tall = self.rectangle.tall
        columns = max(1, _AT_ONCE // tall)
        for start in range(0, self.rectangle.wide, columns):
            slot = self._slot[start * tall : (start + columns) * tall]
            held = np.flatnonzero(slot != 0)
            if len(held):
                column = held // tall
                at = slot[held].astype(np.int64)
                held -= column * tall
                yield column + (self.rectangle.west + start), held + self.rectangle.south, at
