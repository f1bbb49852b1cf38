"""Where the points of a cloud go while it is read: what is base found, or what is base gathered.

Sinks that were filled elsewhere are put together.
"""

from dataclasses import dataclass, field
from typing import Protocol, Self, TypeAlias

import numpy as np

from gradevol.files.clouds.gathering import Gathering
from gradevol.files.clouds.ground import Ground, find_ground
from gradevol.files.clouds.layers import Layers, count_layers, find_anchor, merge_layers
from gradevol.files.clouds.marks import Keeper
from gradevol.files.clouds.overlap import Overlap
from gradevol.files.clouds.stored import Packed, Stored, pack
from gradevol.ground.arrays import AnyArray, FloatArray, IntArray

#: File and chunk that points come from: by them points are put in order.
Place: TypeAlias = tuple[int, ...]

#: A square is marked where at least this share of its points was taken away; few lost to the tail
#: of the scatter mark nothing.
MARKED_SHARE = 0.05
#: Places that are marked, at most.
MOST_MARKS = 2_000
#: Counts of layers that may wait to be put together.
_WAITING = 1_000_000
#: Points that are kept between two readings take this many bytes, at most; more are read again.
_MOST_HELD = 120_000_000


class Sink(Protocol):
    """Takes points."""

    def take(self, stored: Stored, place: Place) -> None:
        """Take some points."""

    def merge(self, other: Self) -> None:
        """Take what another took, of other points."""

    def go_apart(self) -> None:
        """Get ready to be filled in another process."""

    def close(self) -> None:
        """Get ready to be sent to another process."""


@dataclass
class BaseFinder:
    """
    Counts how points lie above one another, and keeps them while they are few.

    Attributes
    ----------
    held : dict or None
        The points, by place; None once they are too many.
    """

    held: dict[Place, Packed | Stored] | None = field(default_factory=dict)
    _parts: list[Layers] = field(default_factory=list)
    _anchor: IntArray | None = None
    _bytes: int = 0

    def take(self, stored: Stored, place: Place) -> None:
        """Count points."""
        if len(stored) == 0:
            return
        if self._anchor is None:
            self._anchor = find_anchor(stored)
        self._add(count_layers(stored, self._anchor))
        if self.held is not None:
            packed = pack(stored)
            self._hold({place: packed}, packed.nbytes)

    def merge(self, other: "BaseFinder") -> None:
        """Take in what was counted elsewhere; the points stay there."""
        for layers in other._parts:
            self._add(layers)
        self.held = None

    def go_apart(self) -> None:
        """Count as anywhere."""

    def close(self) -> None:
        """Let the points go."""
        self.held = None

    def find(self) -> Ground | None:
        """Where the base lies; None where there were no points."""
        return find_ground(merge_layers(self._parts)) if self._parts else None

    def _add(self, layers: Layers) -> None:
        self._parts.append(layers)
        if sum(len(part.key) for part in self._parts[1:]) > max(len(self._parts[0].key), _WAITING):
            self._parts = [merge_layers(self._parts)]

    def _hold(self, more: dict[Place, Packed | Stored], size: int) -> None:
        self._bytes += size
        if self._bytes > _MOST_HELD:
            self.held = None
        if self.held is not None:
            self.held |= more


@dataclass
class Removal:
    """Takes away points that are not base, and keeps count of where."""

    ground: Ground
    count: int = 0
    _seen: AnyArray = field(init=False)
    _removed: AnyArray = field(init=False)

    def __post_init__(self) -> None:
        self._seen, self._removed = np.zeros((2, self.ground.low.size), np.int32)

    def sift(self, stored: Stored) -> Stored:
        """Give the base of some points."""
        place = self.ground.place(stored)
        is_base = self.ground.holds(stored, place)
        lost = place[~is_base]
        np.add.at(self._seen, place, np.int32(1))
        np.add.at(self._removed, lost, np.int32(1))
        self.count += len(lost)
        return stored.keep(is_base) if len(lost) else stored

    def merge(self, other: "Removal") -> None:
        """Take in what was taken away elsewhere."""
        self.count += other.count
        self._seen += other._seen
        self._removed += other._removed

    def places(self) -> FloatArray:
        """Middles of squares that lost many of their points, (r, 2), m."""
        marked = np.flatnonzero((self._removed > 0) & (self._removed >= MARKED_SHARE * self._seen))
        factor = 1
        while len(middles := self.ground.middles(marked, factor=factor)) > MOST_MARKS:
            factor *= 2
        return middles


@dataclass
class BaseGatherer:
    """
    Gathers the points of the base in bins.

    `keeper` keeps those about marks, and `overlap` holds files against one another, base or not.
    """

    gathering: Gathering
    removal: Removal | None = None
    keeper: Keeper | None = None
    overlap: Overlap | None = None

    def take(self, stored: Stored, place: Place) -> None:
        """Gather points."""
        if self.keeper:
            self.keeper.watch(stored, place)
        if self.overlap:
            self.overlap.watch(stored, place[0])
        base = self.removal.sift(stored) if self.removal else stored
        self.gathering.add(base, place)

    def merge(self, other: "BaseGatherer") -> None:
        """Take in what was gathered elsewhere."""
        self.gathering.merge(other.gathering)
        if self.removal and other.removal:
            self.removal.merge(other.removal)
        if self.keeper and other.keeper:
            self.keeper.merge(other.keeper)
        if self.overlap and other.overlap:
            self.overlap.merge(other.overlap)

    def go_apart(self) -> None:
        """Gather what is to be sent."""
        self.gathering.go_apart()

    def close(self) -> None:
        """Leave nothing but bins, or points that are few."""
        self.gathering.close()
