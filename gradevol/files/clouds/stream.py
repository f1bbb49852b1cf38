"""The files of a cloud as one stream of points, which may run more than once."""

from collections.abc import Generator
from contextlib import closing
from copy import deepcopy
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from gradevol.files.clouds.chunks import NOWHERE, Bounds, Chunk, CloudFile
from gradevol.files.clouds.files import open_cloud_file
from gradevol.files.clouds.sinks import Place, Sink
from gradevol.files.clouds.stored import Packed, Stored
from gradevol.files.sources import Cloud
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray
from gradevol.ground.cluster import Cluster
from gradevol.ground.errors import InputError
from gradevol.ground.progress import Progress


@dataclass
class Tally:
    """What a reading met: points read, and of those withheld, outside the bounds, kept, by class.

    Files go by their numbers; `ends` are the lowest and highest coordinates of kept classes of
    each, (2, 3), m.
    """

    by_file: dict[int, int] = field(default_factory=dict)
    ends: dict[int, FloatArray] = field(default_factory=dict)
    withheld: int = 0
    outside: int = 0
    kept: int = 0
    classes: AnyArray = field(default_factory=lambda: np.zeros(256, np.intp))

    @property
    def read(self) -> int:
        """Points read of all files."""
        return sum(self.by_file.values())

    def add(self, number: int, chunk: Chunk) -> None:
        """Count a chunk of a file."""
        self._count(number, chunk.count, chunk.ends)
        self.withheld += chunk.withheld
        self.outside += chunk.outside
        self.kept += len(chunk.stored)
        self.classes += chunk.classes

    def merge(self, other: "Tally") -> None:
        """Count what was counted elsewhere."""
        for number, count in other.by_file.items():
            self._count(number, count, other.ends[number])
        self.withheld += other.withheld
        self.outside += other.outside
        self.kept += other.kept
        self.classes += other.classes

    def _count(self, number: int, count: int, ends: FloatArray) -> None:
        low, high = self.ends.get(number, NOWHERE)
        self.by_file[number] = self.by_file.get(number, 0) + count
        self.ends[number] = np.array([np.minimum(low, ends[0]), np.maximum(high, ends[1])])


@dataclass(frozen=True, slots=True)
class Reading:
    """
    One reading of the files of a cloud.

    Attributes
    ----------
    is_kept : (256,) array of bool
        Whether each class is kept.
    bounds : (float, float, float, float) or None
        West, south, east, north, m, that points are kept within.
    sink : Sink
        Takes the points.
    stops_at : int or None
        A class: once a point of it was met, no more are read.
    """

    is_kept: BoolArray
    bounds: Bounds | None
    sink: Sink
    stops_at: int | None = None

    def is_over(self, tally: Tally) -> bool:
        """Whether what was met is enough."""
        return self.stops_at is not None and bool(tally.classes[self.stops_at])


class CloudStream:
    """
    Points of several files, read one after the other, or by the workers of a cluster.

    Parameters
    ----------
    files : list of CloudFile
    cloud : Cloud
        What they are files of.
    progress : callable
        Told a label and the share that is done, which never goes back.
    cluster : Cluster, optional

    Attributes
    ----------
    tally : Tally
        Of the last reading.
    """

    def __init__(
        self,
        files: list[CloudFile],
        cloud: Cloud,
        progress: Progress,
        cluster: Cluster | None = None,
    ) -> None:
        self.tally = Tally()
        self._files, self._cloud, self._progress, self._cluster = files, cloud, progress, cluster
        self._told = 0.0

    def read(self, reading: Reading, span: tuple[float, float] = (0.0, 1.0)) -> None:
        """Read all files once; `span` is which part of the work that is."""
        self.tally = Tally()
        until = np.cumsum([0, *(file.path.stat().st_size for file in self._files)]).tolist()
        told = self._read_here(reading)
        if self._cluster is not None:
            told = self._read_there(reading, self._cluster)
        with closing(told):
            for number, done in told:
                before, after = until[number : number + 2]
                share = (before + (after - before) * done) / max(1, until[-1])
                label = f"reading {self._files[number].path.name}"
                self._tell(label, span[0] + (span[1] - span[0]) * share)
                if reading.is_over(self.tally):
                    return
        for number, file in enumerate(self._files):
            file.check_ends(self.tally.ends.get(number, NOWHERE))

    def _read_here(self, reading: Reading) -> Generator[tuple[int, float]]:
        for number, file in enumerate(self._files):
            for at, read in enumerate(file.read(reading.is_kept, reading.bounds)):
                chunk = read()
                reading.sink.take(chunk.stored, (number, at))
                self.tally.add(number, chunk)
                yield number, chunk.done

    def _read_there(self, reading: Reading, cluster: Cluster) -> Generator[tuple[int, float]]:
        paths = [file.path.absolute() for file in self._files]
        shares = [
            Share(number, path, part, file.parts)
            for number, (file, path) in enumerate(zip(self._files, paths, strict=True))
            for part in range(file.parts)
        ]
        with closing(cluster.run(read_share, (self._cloud, reading), shares)) as answers:
            for share, answer in zip(shares, answers, strict=True):
                try:
                    tally, sink = answer()
                except InputError as error:
                    path = self._files[share.number].path  # as it was given
                    raise (error.about(path) if error.path else error) from error
                self.tally.merge(tally)
                reading.sink.merge(sink)
                yield share.number, (share.part + 1) / share.of

    def read_again(
        self,
        held: dict[Place, Packed | Stored],
        sink: Sink,
        *,
        span: tuple[float, float],
    ) -> None:
        """Give a sink the points that another held of the last reading."""
        for place in sorted(held):  # each is let go of as it is given
            sink.take(held.pop(place).unpack(), place)
        self._tell(f"reading {self._files[-1].path.name}", span[1])

    def _tell(self, label: str, share: float) -> None:
        self._told = max(self._told, share)
        self._progress(label, self._told)


@dataclass(frozen=True, slots=True)
class Share:
    """Part of a file, of so many, that a worker reads; its number among the files, and its path."""

    number: int
    path: Path
    part: int
    of: int


def read_share(task: tuple[Cloud, Reading], share: Share) -> tuple[Tally, Sink]:
    """Read a share of a file: what was met, and a sink that took it."""
    cloud, reading = task
    # others of this process read for the same task
    sink, tally = deepcopy(reading.sink), Tally()
    sink.go_apart()
    calls = open_cloud_file(share.path, cloud).read(reading.is_kept, reading.bounds)
    if share.of > 1:
        listed = list(calls)
        start, end = (len(listed) * part // share.of for part in (share.part, share.part + 1))
        calls = iter(listed[start:end])
    for at, read in enumerate(calls):
        chunk = read()
        tally.add(share.number, chunk)
        sink.take(chunk.stored, (share.number, share.part, at))
        if reading.is_over(tally):
            break
    sink.close()
    return tally, sink
