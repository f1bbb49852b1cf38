"""Points of a cloud gathered in bins while they are read, in bounded memory.

What is gathered in one place can be put together with what was gathered in another: the bins are
the same, bit for bit, whatever came first.
"""

from dataclasses import dataclass, field

import numpy as np

from gradevol.files.clouds.bin_table import Table
from gradevol.files.clouds.bins import Bins, bin_points, coarsen_bins, merge_bins
from gradevol.files.clouds.chunks import Bounds
from gradevol.files.clouds.squares import MOST_IN_TABLE, Rectangle
from gradevol.files.clouds.stored import Packed, Steps, Stored, pack
from gradevol.ground.arrays import FloatArray
from gradevol.ground.memory import give_back

#: Squares that a first table must have for each of the points so far, at most; and whatever these
#: are.
_PER_POINT, _SMALL = 4, 100_000
#: Bins that may wait to be put together with the others.
_WAITING = 1_000_000
#: Memory of points that are sent as they are, bytes, and of them in a square, at most.
_MOST_SENT, _DENSE = 64_000_000, 4


@dataclass
class Gathering:
    """
    Bins that grow point by point.

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
    """

    side: float
    steps: Steps
    most: int
    most_doublings: int | None
    most_loose: int | None
    expected: Bounds | None = None
    doubled: int = 0
    count: int = 0
    _loose: dict[tuple[int, ...], Packed | Stored] = field(default_factory=dict)
    _sent: list[Packed | Stored] | None = None
    _within: Rectangle | None = None
    _table: Table | None = None
    _parts: list[Bins] = field(default_factory=list)
    _enough: int = 0

    @property
    def cell(self) -> float:
        """Side of a bin now, m."""
        return self.side * 2**self.doubled

    @property
    def keeps_loose(self) -> bool:
        """Whether the points so far are few enough to be kept as they are."""
        return self.most_loose is None or self.count <= self.most_loose

    def go_apart(self) -> None:
        """Get ready to be filled elsewhere and sent: as points while they are few, else as bins."""
        self._sent = []

    def add(self, stored: Stored, place: tuple[int, ...]) -> None:
        """Gather points; `place` orders them among others where they stay loose."""
        self._count(len(stored))
        packed = pack(stored) if self.keeps_loose or self._sent is not None else stored
        if self.keeps_loose:
            self._loose[place] = packed
        if len(stored) == 0:
            return
        if self._sent is None:
            self._gather(stored)
            return
        rectangle = Rectangle.holding(stored, self.cell)
        self._within = self._within.join(rectangle) if self._within else rectangle
        self._sent.append(packed)
        if sum(some.nbytes for some in self._sent) > _MOST_SENT:
            self._begin()

    def merge(self, other: "Gathering") -> None:
        """Take in what was gathered elsewhere."""
        self._count(other.count)
        if self.keeps_loose:
            self._loose |= other._loose
        self._begin()
        for packed in other._sent or ():
            self._gather(packed.unpack())
        if other._sent is None:
            theirs = other.finish()
            while self.doubled < other.doubled:
                self._double()
            if self.doubled > other.doubled:
                theirs = coarsen_bins(theirs, 2 ** (self.doubled - other.doubled), cell=self.cell)
            self._take(theirs)
            self._settle()

    def close(self) -> None:
        """Give up the table, for what it holds; points that are few stay as they are."""
        if self._within and self.count > _DENSE * self._within.size:
            self._begin()
        if self._sent is None:
            self._parts = [self.finish()]

    def finish(self) -> Bins:
        """All that was gathered; nothing is left here."""
        self._begin()
        self._enough = 0
        self._settle()
        if self._table:
            self._parts.append(self._table.bins(self.cell, self.steps))
            self._table = None
        if self._parts:
            return merge_bins(self._parts)
        none = np.empty(0, np.int64)
        return Bins(self.cell, self.steps, none, none, none, (none, none, none))

    def loose(self) -> FloatArray:
        """Points as they were read, (n, 3), m, where they were kept."""
        points = np.empty((self.count, 3))
        at = 0
        for place in sorted(self._loose):
            some = self._loose.pop(place).unpack().points()
            points[at : at + len(some)] = some
            at += len(some)
        return points

    def _count(self, more: int) -> None:
        self.count += more
        if not self.keeps_loose:
            self._loose.clear()

    def _begin(self) -> None:
        """Gather the points that were to be sent."""
        sent, self._sent = (self._sent or [])[::-1], None
        while sent:
            self._gather(sent.pop().unpack())

    def _gather(self, stored: Stored) -> None:
        rectangle = Rectangle.holding(stored, self.cell)
        table = self._find_room(rectangle)
        if table and rectangle.size > len(stored):
            key = table.rectangle.place(stored, self.cell)
            table.add(key, 1, stored.count_in(self.steps).axes)
        elif table:
            table.take(bin_points(stored, self.cell, self.steps))
        else:
            self._wait(bin_points(stored, self.cell, self.steps))
        self._settle()

    def _find_room(self, rectangle: Rectangle) -> Table | None:
        """Give the table, with room for a rectangle; None where it would be too large for that.

        Where points are expected room costs nothing: memory is taken where it is written to.
        """
        held = self._table.rectangle.join(rectangle) if self._table else rectangle
        if self._table and held == self._table.rectangle:
            return self._table
        enough = MOST_IN_TABLE if self._table else max(_PER_POINT * self.count, _SMALL)
        if held.size > min(enough, MOST_IN_TABLE):
            return None
        likely = held.widen()
        if self.expected is not None:
            likely = held.join(Rectangle.over(self.expected, self.cell))
        roomy = held.give_room(likely)
        if self._table:
            self._table.cover(roomy)
        else:
            self._table = Table(roomy)
        return self._table

    def _wait(self, more: Bins) -> None:
        """Add bins, and put all together once the later ones outgrow the first.

        Each bin is so merged a few times in all, not once a chunk.
        """
        self._parts.append(more)
        if sum(map(len, self._parts[1:])) > max(len(self._parts[0]), _WAITING):
            self._take(merge_bins(self._parts))

    def _take(self, bins: Bins) -> None:
        """Add bins to the table, or to those that wait."""
        if len(bins) and (table := self._find_room(Rectangle.around(bins.column, bins.row))):
            table.take(bins)
        else:
            self._parts.append(bins)

    def _settle(self) -> None:
        """Double the side while there are too many bins."""
        if self._count_most() <= self._enough:
            return
        while (count := self._count_bins()) > self.most and self.doubled != self.most_doublings:
            self._double()
            give_back()
        # to count those that wait takes putting them together
        self._enough = self._count_most() + max(self.most - count, _WAITING * bool(self._parts))

    def _count_most(self) -> int:
        """Bins so far, at most."""
        return sum(map(len, self._parts)) + (self._table.filled if self._table else 0)

    def _count_bins(self) -> int:
        """Bins so far; those both in the table and waiting count once."""
        if self._parts:
            self._take(merge_bins(self._parts))
        if not self._parts:
            return self._count_most()
        waiting = self._parts[0]
        return len(waiting) + (self._table.count_others(waiting) if self._table else 0)

    def _double(self) -> None:
        self.doubled += 1
        if self._table:
            self._table = self._table.double()
        if self._parts:
            self._take(coarsen_bins(merge_bins(self._parts), 2, cell=self.cell))
