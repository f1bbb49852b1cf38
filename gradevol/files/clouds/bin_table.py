"""A table of every bin of a rectangle: points are added to it in place."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from gradevol.files.clouds.bins import Bins, find_line
from gradevol.files.clouds.chunks import Bounds
from gradevol.files.clouds.stored import Steps
from gradevol.ground.arrays import IntArray

#: Squares in a table, at most: 32 bytes each.
MOST_IN_TABLE = 4_500_000


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Squares from a column and row on, so many wide and tall."""

    west: int
    south: int
    wide: int
    tall: int

    @classmethod
    def around(cls, column: IntArray, row: IntArray) -> Self:
        """The one around squares."""
        west, south = int(column.min()), int(row.min())
        return cls(west, south, int(column.max()) - west + 1, int(row.max()) - south + 1)

    @classmethod
    def over(cls, bounds: Bounds, cell: float) -> Self:
        """The one that covers bounds, m, with squares of a side."""
        west, south, east, north = map(int, find_line(np.array(bounds), cell))
        return cls(west, south, east - west + 1, north - south + 1)

    @property
    def size(self) -> int:
        """Squares in it."""
        return self.wide * self.tall

    def coarsen(self, factor: int) -> "Rectangle":
        """The one of squares so many times as large that covers it."""
        west, south = self.west // factor, self.south // factor
        east, north = (self.west + self.wide - 1) // factor, (self.south + self.tall - 1) // factor
        return Rectangle(west, south, east - west + 1, north - south + 1)

    def number(self, column: IntArray, row: IntArray) -> IntArray:
        """Where squares within it stand, counted column by column."""
        key: IntArray = column * self.tall
        key += row
        key -= self.west * self.tall + self.south
        return key

    def join(self, other: "Rectangle") -> "Rectangle":
        """The one around both."""
        west, south = min(self.west, other.west), min(self.south, other.south)
        east = max(self.west + self.wide, other.west + other.wide)
        north = max(self.south + self.tall, other.south + other.tall)
        return Rectangle(west, south, east - west, north - south)

    def widen(self) -> "Rectangle":
        """One that reaches out by half on each side."""
        across, up = self.wide // 2, self.tall // 2
        return Rectangle(
            self.west - across, self.south - up, self.wide + 2 * across, self.tall + 2 * up
        )

    def give_room(self, limits: "Rectangle") -> "Rectangle":
        """Widen it within limits around it, as far as a table may be.

        First where less is lacking: of a table that is short of one row later tiles find no room.
        """
        across, up = (self.west, self.wide), (self.south, self.tall)
        widest, tallest = (limits.west, limits.wide), (limits.south, limits.tall)
        if limits.tall * self.wide < limits.wide * self.tall:
            up = _widen(up, tallest, self.wide)
            across = _widen(across, widest, up[1])
        else:
            across = _widen(across, widest, self.tall)
            up = _widen(up, tallest, across[1])
        return Rectangle(across[0], up[0], across[1], up[1])


def _widen(held: tuple[int, int], limits: tuple[int, int], lines: int) -> tuple[int, int]:
    """Widen a start and length within others; a table has so many lines of that length."""
    start, length = held
    room = max(0, MOST_IN_TABLE // lines - length)
    before = start - limits[0]
    after = limits[0] + limits[1] - start - length
    before = min(before, max(room // 2, room - after))
    return start - before, length + before + min(after, room - before)


@dataclass(frozen=True, slots=True)
class Table:
    """
    Points and sums of each square of a rectangle, column by column.

    Attributes
    ----------
    rectangle : Rectangle
    count : (wide * tall,) array of int
    total : three arrays likewise
        As those of `Bins`.
    """

    rectangle: Rectangle
    count: IntArray
    total: tuple[IntArray, IntArray, IntArray]

    @classmethod
    def over(cls, rectangle: Rectangle) -> Self:
        """An empty one."""
        count, east, north, level = (np.zeros(rectangle.size, np.int64) for _ in range(4))
        return cls(rectangle, count, (east, north, level))

    @property
    def filled(self) -> int:
        """Squares that hold points."""
        return int(np.count_nonzero(self.count))

    def count_others(self, bins: Bins) -> int:
        """Squares that hold points, but those of bins of the same side."""
        inside = self.rectangle
        is_in = (bins.column >= inside.west) & (bins.column < inside.west + inside.wide)
        is_in &= (bins.row >= inside.south) & (bins.row < inside.south + inside.tall)
        both = self.rectangle.number(bins.column[is_in], bins.row[is_in])
        return self.filled - int(np.count_nonzero(self.count[both]))

    def covering(self, rectangle: Rectangle) -> "Table":
        """Give a table that covers a rectangle around its own."""
        old, new = self.rectangle, rectangle
        columns = slice(old.west - new.west, old.west - new.west + old.wide)
        rows = slice(old.south - new.south, old.south - new.south + old.tall)

        def move(sums: IntArray) -> IntArray:
            grown = np.zeros((new.wide, new.tall), np.int64)
            grown[columns, rows] = sums.reshape(old.wide, old.tall)
            return grown.reshape(-1)

        east, north, level = self.total
        return Table(new, move(self.count), (move(east), move(north), move(level)))

    def double(self) -> "Table":
        """Give a table of squares of twice the side."""
        old = self.rectangle
        new = old.coarsen(2)
        left, below = old.west - 2 * new.west, old.south - 2 * new.south

        def add_up(sums: IntArray) -> IntArray:
            quarters = np.zeros((new.wide, new.tall), np.int64)
            squares = sums.reshape(old.wide, old.tall)
            for across in (0, 1):
                for up in (0, 1):
                    part = squares[(across - left) % 2 :: 2, (up - below) % 2 :: 2]
                    column, row = int(left > across), int(below > up)
                    quarters[column : column + len(part), row : row + part.shape[1]] += part
            return quarters.reshape(-1)

        east, north, level = self.total
        return Table(new, add_up(self.count), (add_up(east), add_up(north), add_up(level)))

    def add(self, column: IntArray, row: IntArray, numbers: Sequence[IntArray]) -> None:
        """Add points within it: their squares, and the numbers of their coordinates."""
        key = self.rectangle.number(column, row)
        np.add.at(self.count, key, 1)
        for sums, values in zip(self.total, numbers, strict=True):
            np.add.at(sums, key, values)

    def take(self, bins: Bins) -> None:
        """Add bins of the same side within it."""
        key = self.rectangle.number(bins.column, bins.row)
        self.count[key] += bins.count
        for sums, values in zip(self.total, bins.total, strict=True):
            sums[key] += values

    def bins(self, cell: float, steps: Steps) -> Bins:
        """Those of its squares that hold points."""
        held = np.flatnonzero(self.count)
        column, row = np.divmod(held, self.rectangle.tall)
        column += self.rectangle.west
        row += self.rectangle.south
        east, north, level = (axis[held] for axis in self.total)
        return Bins(cell, steps, column, row, self.count[held], (east, north, level))
