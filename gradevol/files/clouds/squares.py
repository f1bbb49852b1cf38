"""Squares of one side, aligned to whole multiples of it: by column and row, and in rectangles."""

from dataclasses import dataclass
from typing import Self

import numpy as np

from gradevol.files.clouds.chunks import Bounds
from gradevol.files.clouds.stored import Stored
from gradevol.ground.arrays import FloatArray, IntArray

#: A point this far below a square's south or west side still counts as on it, m: far more than
#: coordinates of millions lose in float64 (1e-9), far less than anyone measures. Without it, points
#: on a side would fall to one square or the other by the last bit of how their file scales them.
_ON_SIDE = 1e-8
#: Squares in a table, at most: 4 bytes each, and 32 more where they hold points.
MOST_IN_TABLE = 16_000_000


def find_line(places: FloatArray, cell: float) -> FloatArray:
    """Columns, or rows, of squares of a side that hold places along an axis, m."""
    return np.floor((places + _ON_SIDE) / cell)


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
    def holding(cls, stored: Stored, cell: float) -> Self:
        """The one around points, with squares of a side."""
        west, south, east, north = stored.ends()[:, :2].ravel().tolist()
        return cls.over((west, south, east, north), cell)

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

    def part(self, key: IntArray) -> tuple[IntArray, IntArray]:
        """Columns and rows of squares by where they stand; see `number`."""
        column = key // self.tall
        row = key - column * self.tall
        column += self.west
        row += self.south
        return column, row

    def place(self, stored: Stored, cell: float) -> IntArray:
        """Where the squares of a side that points within it are in stand; see `number`."""

        def find(places: FloatArray, first: int) -> IntArray:
            return find_line(places, cell).astype(np.int64) - first

        key: IntArray = stored.work_out(0, lambda east: find(east, self.west) * self.tall)
        key += stored.work_out(1, lambda north: find(north, self.south))
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
