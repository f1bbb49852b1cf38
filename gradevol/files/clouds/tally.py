"""A point cloud read once, in chunks, and nothing of it kept but counts and a sample."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from gradevol.files.clouds.las_header import LasHeader
from gradevol.files.clouds.las_runs import part_marks, read_all
from gradevol.files.clouds.survey import NOISE
from gradevol.files.clouds.text import TextCloud
from gradevol.files.tables.cells import Fault
from gradevol.ground.arrays import AnyArray, FloatArray

#: Told which share of a file is read.
Tell: TypeAlias = Callable[[float], None]

#: Points held in memory that are counted at once.
_CHUNK = 1_000_000

#: Points kept, noise left out, to tell where most of them lie; at most twice as many.
_SAMPLED = 200_000
#: Sampled points in each of the cells that the area they cover is counted in, if they cover all.
_IN_CELL = 30


@dataclass(slots=True)
class PointTally:
    """What was counted so far; it grows chunk by chunk while a file is read."""

    low: FloatArray = field(default_factory=lambda: np.full(3, np.inf))
    high: FloatArray = field(default_factory=lambda: np.full(3, -np.inf))
    count: int = 0
    withheld: int = 0
    counts: AnyArray = field(default_factory=lambda: np.zeros(256, np.intp))
    lows: FloatArray = field(default_factory=lambda: np.full(256, np.inf))
    highs: FloatArray = field(default_factory=lambda: np.full(256, -np.inf))
    every: int = 1
    _sampled: list[FloatArray] = field(default_factory=list)
    _held: int = 0

    def add(
        self, places: FloatArray, classes: AnyArray | None = None, withheld: AnyArray | None = None
    ) -> None:
        """Count points (n, 3), in the file's own unit; their classes 0 where it has none."""
        if len(places) == 0:
            return
        self.low = np.minimum(self.low, places.min(axis=0))
        self.high = np.maximum(self.high, places.max(axis=0))
        classes = np.zeros(len(places), np.uint8) if classes is None else classes
        level = places[:, 2]
        for number in np.unique(classes):
            own = level[classes == number]
            self.counts[number] += len(own)
            self.lows[number] = min(self.lows[number], own.min())
            self.highs[number] = max(self.highs[number], own.max())
        if withheld is not None:
            self.withheld += int(withheld.astype(bool).sum())
        self.count += len(places)
        self._sample(places[~np.isin(classes, NOISE)])

    def _sample(self, places: FloatArray) -> None:
        """Keep one point in `every`, spread evenly, but not in step with rows of a scan."""
        wanted = -(-len(places) // self.every)
        if wanted < len(places):
            # fractions of multiples of the golden ratio fill an interval evenly
            shares = np.arange(wanted) * ((np.sqrt(5) - 1) / 2) % 1
            places = places[(shares * len(places)).astype(np.intp)]
        self._sampled.append(places)
        self._held += len(places)
        if self._held > 2 * _SAMPLED:
            every = -(-self._held // _SAMPLED)
            shares = np.arange(self._held // every) * ((np.sqrt(5) - 1) / 2) % 1
            whole = np.concatenate(self._sampled)
            self._sampled = [whole[(shares * self._held).astype(np.intp)]]
            self._held = len(self._sampled[0])
            self.every *= every

    @property
    def box(self) -> FloatArray:
        """Lowest and highest coordinates, (2, 3)."""
        return np.array([self.low, self.high])

    @property
    def most(self) -> FloatArray:
        """Elevations between which all but 2 % of a sample lie, noise left out; else empty."""
        level = self.sampled[:, 2]
        return np.quantile(level, [0.01, 0.99]) if len(level) else level

    @property
    def sampled(self) -> FloatArray:
        """Some of the points, (k, 3), noise left out."""
        return np.concatenate(self._sampled) if self._sampled else np.empty((0, 3))


def tally_las(header: LasHeader, tell: Tell) -> PointTally:
    """Count the points of a LAS or LAZ file; as many as are declared, or it is refused."""
    tally = PointTally()
    for points in read_all(header):
        stored = np.column_stack([points[axis] for axis in "XYZ"])
        tally.add(stored * header.scale + header.offset, *part_marks(header, points))
        tell(tally.count / header.count)
    return tally


def tally_text(cloud: TextCloud, tell: Tell) -> tuple[PointTally, list[Fault]]:
    """Count the points of a cloud as text; the rows that are none come back with what is wrong."""
    faults: list[Fault] = []
    return _tally(cloud.read_blocks(faults), tell), faults


def tally_held(points: FloatArray, tell: Tell) -> PointTally:
    """Count points (n, 3) that are in memory already."""
    starts = range(0, len(points), _CHUNK)
    blocks = ((points[at : at + _CHUNK], min(1.0, (at + _CHUNK) / len(points))) for at in starts)
    return _tally(blocks, tell)


def _tally(blocks: Iterable[tuple[FloatArray, float]], tell: Tell) -> PointTally:
    tally = PointTally()
    for points, done in blocks:
        tally.add(points)
        tell(done)
    return tally


def find_share(tally: PointTally) -> float:
    """Share of the rectangle around the points that they cover, 0 to 1; 0 where it has no area."""
    places, low = tally.sampled[:, :2], tally.low[:2]
    span = tally.high[:2] - low
    if len(places) == 0 or not (span > 0).all():
        return 0.0
    side = max(1, int(np.sqrt(len(places) / _IN_CELL)))
    at = np.clip(np.floor((places - low) / span * side), 0, side - 1).astype(np.intp)
    return float(len(np.unique(at[:, 0] * side + at[:, 1])) / side**2)
