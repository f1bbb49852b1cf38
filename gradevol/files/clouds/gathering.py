"""Points of a cloud gathered in bins while they are read, in bounded memory.

What is gathered in one place can be put together with what was gathered in another: the bins are
the same, bit for bit, whatever came first.
"""

from dataclasses import dataclass, field

import numpy as np

from gradevol.files.clouds.bin_table import MOST_IN_TABLE, Rectangle, Table
from gradevol.files.clouds.bins import Bins, bin_points, coarsen_bins, merge_bins, number_squares
from gradevol.files.clouds.chunks import Bounds
from gradevol.files.clouds.stored import Packed, Steps, Stored, pack
from gradevol.ground.arrays import FloatArray
from gradevol.ground.memory import give_back

#: Squares that a first table must have for each of its points, at most; and whatever they are.
_PER_POINT, _SMALL = 4, 100_000
#: Bins that may wait to be put together with the others.
_WAITING = 1_000_000
#: Points after which filled squares are counted again, at least.
_AT_LEAST = 1_000_000
#: Memory that the first points take while they wait, bytes, and squares of a rectangle in which the
#: filled ones are counted by marking them, a byte each; at most.
_MOST_HELD, _MOST_MARKED = 64_000_000, 64_000_000
#: Points after which that is first looked at; and so many in a square are so few bins that waiting
#: costs more.
_FIRST_LOOK, _DENSE = 200_000, 1.5


@dataclass
class Gathering:
    """
    Bins that grow point by point.

    The first points wait, packed, until they fill too many of the smallest squares, so that these
    are not made in vain; or until there are no more.

    Attributes
    ----------
    side : float
        Side of the smallest bins, m.
    steps : Steps
        Of the totals.
    most : int
        More bins than this are doubled in side.
    most_doublings : int or None
        How often, at most.
    most_loose : int or None
        Points are kept loose too while they are no more than this; None: all are.
    expected : (float, float, float, float) or None
        West, south, east, north, m, that points are likely within: a table of just that is not
        moved while it grows. Nothing but time depends on it.
    doubled : int
        How often the side was doubled.
    is_apart : bool
        Whether it is filled to be sent elsewhere: then points are sent sooner than bins.
    """

    side: float
    steps: Steps
    most: int
    most_doublings: int | None
    most_loose: int | None
    expected: Bounds | None = None
    doubled: int = 0
    is_apart: bool = False
    count: int = 0
    _loose: dict[tuple[int, ...], Packed | Stored] = field(default_factory=dict)
    _held: list[Packed | Stored] | None = field(default_factory=list)
    _rectangle: Rectangle | None = None
    _enough: int = _FIRST_LOOK
    _table: Table | None = None
    _parts: list[Bins] = field(default_factory=list)
    _room: int = _AT_LEAST

    @property
    def cell(self) -> float:
        """Side of a bin now, m."""
        return self.side * 2**self.doubled

    def add(self, stored: Stored, place: tuple[int, ...]) -> None:
        """Gather points; `place` orders them among others where they stay loose."""
        self._count(len(stored))
        packed = pack(stored) if self.keeps_loose or self._held is not None else stored
        if self.keeps_loose:
            self._loose[place] = packed
        if len(stored):
            self._take(stored, packed)

    def _take(self, stored: Stored, packed: Packed | Stored) -> None:
        """Hold points while they are the first, or gather them."""
        if self._held is None:
            self._gather(stored)
            return
        rectangle = self._cover(stored)
        self._rectangle = self._rectangle.join(rectangle) if self._rectangle else rectangle
        self._held.append(packed)
        filled = self._count_squares() if self.count > self._enough else 0
        if filled:
            self._enough = self.count + max(self.most - filled, self.most // 8)
        is_dense = filled > 0 and _DENSE * filled < self.count and not self.is_apart
        if is_dense or filled > self.most or sum(some.nbytes for some in self._held) > _MOST_HELD:
            self._begin()

    def _begin(self) -> None:
        """Gather the first points, which wait so that bins are not made where they are too many."""
        if self._held is None:
            return
        if self.count > self.most:
            while self.doubled != self.most_doublings and self._count_squares() > self.most:
                self.doubled += 1
        held, self._held = self._held[::-1], None
        while held:
            self._gather(held.pop().unpack())

    def _count_squares(self) -> int:
        """Squares that the first points fill; 0 where they are too many to be marked."""
        if not (self._held and self._rectangle):
            return 0
        within = self._rectangle.coarsen(2**self.doubled)
        if within.size > _MOST_MARKED:
            return 0
        is_filled = np.zeros(within.size, bool)
        for packed in self._held:
            is_filled[within.number(*number_squares(packed.unpack(), self.cell))] = True
        return int(np.count_nonzero(is_filled))

    def _cover(self, stored: Stored) -> Rectangle:
        west, south, east, north = stored.ends()[:, :2].ravel().tolist()
        return Rectangle.over((west, south, east, north), self.cell)

    def _gather(self, stored: Stored) -> None:
        rectangle = self._cover(stored)
        if table := self._find_room(rectangle, len(stored)):
            column, row = number_squares(stored, self.cell)
            table.add(column, row, [stored.count_in(self.steps, axis) for axis in range(3)])
        else:
            self._wait(bin_points(stored, self.cell, self.steps))
        self._room -= len(stored)
        if self._room < 0:
            self._settle()

    def _find_room(self, rectangle: Rectangle, count: int) -> Table | None:
        """Give the table, with room for so many points; None where it would be too large for that.

        Where points are expected room costs nothing: memory is taken where it is written to.
        """
        held = self._table.rectangle.join(rectangle) if self._table else rectangle
        if self._table and held == self._table.rectangle:
            return self._table
        if held.size > (MOST_IN_TABLE if self._table else max(_PER_POINT * count, _SMALL)):
            return None
        likely = held.widen()
        if self.expected is not None:
            likely = held.join(Rectangle.over(self.expected, self.cell))
        roomy = held.give_room(likely)
        self._table = self._table.covering(roomy) if self._table else Table.over(roomy)
        return self._table

    @property
    def keeps_loose(self) -> bool:
        """Whether the points so far are few enough to be kept as they are."""
        return self.most_loose is None or self.count <= self.most_loose

    def _count(self, more: int) -> None:
        self.count += more
        if not self.keeps_loose:
            self._loose.clear()

    def merge(self, other: "Gathering") -> None:
        """Take in what was gathered elsewhere."""
        self._count(other.count)
        if self.keeps_loose:
            self._loose |= other._loose
        if other._held is not None:
            for packed in other._held:
                self._take(packed.unpack(), packed)
            return
        self._begin()
        theirs = other.finish()
        while self.doubled < other.doubled:
            self._double()
        if self.doubled > other.doubled:
            theirs = coarsen_bins(theirs, 2 ** (self.doubled - other.doubled), cell=self.cell)
        self._wait(theirs)
        self._settle()

    def close(self) -> None:
        """Give up the table, for what it holds; the first points stay as they are."""
        if self._held is None:
            self._settle()
            self._parts = [self._collect()]

    def finish(self) -> Bins:
        """All that was gathered; nothing is left here."""
        self._begin()
        self._settle()
        return self._collect()

    def loose(self) -> FloatArray:
        """Points as they were read, (n, 3), m, where they were kept."""
        points = np.empty((self.count, 3))
        at = 0
        for place in sorted(self._loose):
            some = self._loose.pop(place).unpack().points()
            points[at : at + len(some)] = some
            at += len(some)
        return points

    def _wait(self, more: Bins) -> None:
        """Add bins, and put all together once the later ones outgrow the first.

        Each bin is so merged a few times in all, not once a chunk.
        """
        self._parts.append(more)
        if sum(map(len, self._parts[1:])) > max(len(self._parts[0]), _WAITING):
            self._parts = [merge_bins(self._parts)]

    def _settle(self) -> None:
        """Double the side while there are too many bins."""
        give_back()  # of many small chunks
        while (count := self._count_bins()) > self.most and self.doubled != self.most_doublings:
            self._double()
        self._room = max(self.most - count, _AT_LEAST)

    def _count_bins(self) -> int:
        """Bins so far; those both in the table and waiting count once."""
        if not self._parts:
            return self._table.filled if self._table else 0
        self._parts = [merge_bins(self._parts)]
        waiting = self._parts[0]
        return len(waiting) + (self._table.count_others(waiting) if self._table else 0)

    def _double(self) -> None:
        self.doubled += 1
        if self._table:
            self._table = self._table.double()
        if self._parts:
            bins = coarsen_bins(merge_bins(self._parts), 2, cell=self.cell)
            if table := self._find_room(Rectangle.around(bins.column, bins.row), len(bins)):
                table.take(bins)
            else:
                self._parts = [bins]

    def _collect(self) -> Bins:
        """Put all bins together, and forget them."""
        if self._table:
            self._parts.append(self._table.bins(self.cell, self.steps))
            self._table = None
        if self._parts:
            return merge_bins(self._parts)
        none = np.empty(0, np.int64)
        return Bins(self.cell, self.steps, none, none, none, (none, none, none))
