"""The points of a LAS or LAZ file, in chunks; of a cloud-optimised one, only those asked for."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np

from gradevol.files.clouds.chunks import Bounds, Chunk, check_degrees, meets, sift
from gradevol.files.clouds.copc import find_nodes
from gradevol.files.clouds.las_header import LasHeader, read_las_header
from gradevol.files.clouds.las_runs import (
    Run,
    find_runs,
    group_runs,
    part_marks,
    read_runs,
    read_unchunked,
)
from gradevol.files.clouds.stored import Steps, Stored
from gradevol.files.globe import FARTHEST
from gradevol.files.las_units import LasUnits
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.units import METRES

#: Points in a part of a file that is shared out.
_IN_PART = 5_000_000
#: Coordinates stored in coarser steps than this are no degrees: 1 m on the ground.
DEGREE_STEP = 1e-5
#: Of its stored steps a box may be off by so many, by rounding.
_STEPS = 1.5


@dataclass(frozen=True, slots=True)
class LasCloud:
    """A LAS or LAZ file whose header was checked; `metres` in its units of E, N, Z."""

    header: LasHeader
    metres: FloatArray

    @property
    def path(self) -> Path:
        """The file."""
        return self.header.path

    @property
    def has_classes(self) -> bool:
        """Every LAS file has them."""
        return True

    @property
    def whole(self) -> int | None:
        """Points of a cloud-optimised file."""
        return self.header.count if self.header.octree else None

    @property
    def notes(self) -> tuple[Note, ...]:
        """Where the file declares another unit for elevations than for the plan, a note of it."""
        units = self.header.units
        if units.elevation in {None, units.plan} or self.metres[0] == self.metres[2]:
            return ()
        plan = units.plan or next(name for name in METRES if METRES[name] == self.metres[0])
        text = f"The cloud says that it is in {plan} in plan and {units.elevation} in elevation."
        return (Note("cloud-units", text),)

    def note_box(self, ends: FloatArray) -> list[Note]:
        """Note that points with these ends (2, 3), m, lie beyond the box of the header."""
        if self.header.extent is None:
            return []
        low, high = np.array([self.header.low, self.header.high]) * self.metres
        step = np.abs(self.header.scale) * self.metres
        # some programs write the box in single precision
        fine = np.finfo(np.float32).eps * np.maximum(np.abs(low), np.abs(high))
        beyond = np.maximum(low - ends[0], ends[1] - high)
        beyond = beyond[(beyond > np.maximum(_STEPS * step, fine)) & (beyond < FARTHEST)]
        if len(beyond) == 0:
            return []
        text = (
            f"Points of {escape(self.path.name)} lie up to {{}} beyond the box that its header "
            "declares: it is damaged, or a tool has moved the points and not the header."
        )
        return [Note("cloud-beyond-box", text, (Measure(float(beyond.max()), Kind.LEVEL),))]

    @property
    def extent(self) -> Bounds | None:
        """Ends in plan that its header declares, m; None where they are none."""
        if self.header.extent is None:
            return None
        west, south, east, north = (float(end * self.metres[0]) for end in self.header.extent)
        return west, south, east, north

    @property
    def steps(self) -> Steps:
        """What its coordinates are whole numbers of."""
        east, north, level = self.metres.tolist()
        return Steps(self.header.scale, self.header.offset, (east, north, level))

    @property
    def parts(self) -> int:
        """Into how many parts its reading may be shared out."""
        return 1 if self.header.is_unchunked else -(-self.header.count // _IN_PART)

    def read(self, is_kept: BoolArray, bounds: Bounds | None) -> Iterator[Callable[[], Chunk]]:
        """Give what reads the points of kept classes within bounds, chunk by chunk."""
        header, done = self.header, 0
        if header.is_unchunked:  # one run can't be shared out
            for points in read_unchunked(header):
                done += len(points)
                yield partial(self._sift, points, is_kept, bounds, done / header.count)
            return
        if bounds is not None and header.octree:
            west, south, east, north = (float(end / self.metres[0]) for end in bounds)
            there = (west, south, east, north)
            runs = [run for run in find_nodes(header) if run.extent and meets(run.extent, there)]
        else:
            runs = find_runs(header)
        wanted = sum(run.count for run in runs)
        for group in group_runs(header, runs):
            done += sum(run.count for run in group)
            yield partial(self._read, group, is_kept, bounds, done / wanted)

    def check_ends(self, ends: FloatArray) -> None:
        """Refuse a file that declares no system and whose ends (2, 3), m, are those of degrees."""
        if self.header.units.plan is None and max(self.header.scale[:2]) <= DEGREE_STEP:
            low, high = ends[:, :2] / self.metres[:2]
            check_degrees(self.path, low, high)

    def _read(
        self, runs: list[Run], is_kept: BoolArray, bounds: Bounds | None, done: float
    ) -> Chunk:
        return self._sift(read_runs(self.header, runs), is_kept, bounds, done)

    def _sift(
        self, points: AnyArray, is_kept: BoolArray, bounds: Bounds | None, done: float
    ) -> Chunk:
        """Chunk of records of points."""
        classes, is_out = part_marks(self.header, points)
        is_out_any = bool(is_out.any())
        counted = classes[~is_out] if is_out_any else classes
        counts = count_classes(counted)
        east, north, level = (points[axis].astype(np.int64) for axis in "XYZ")
        stored = Stored((east, north, level), self.steps)
        if is_out_any or not is_kept[counts > 0].all():
            stored = stored.keep(is_kept[classes] & ~is_out)
        inside, ends = sift(self.path, stored, bounds)
        outside, left_out = len(stored) - len(inside), len(points) - len(counted)
        return Chunk(inside, len(points), left_out, outside, counts, ends, done)


def count_classes(classes: AnyArray) -> IntArray:
    """Points of each class, (256,)."""
    if len(classes) and (classes == classes[0]).all():  # as in most scans, and told at once
        counts = np.zeros(256, np.intp)
        counts[classes[0]] = len(classes)
        return counts
    return np.bincount(classes, minlength=256)


def open_las(path: Path, unit: str, *, ignores_unit: bool = False) -> LasCloud:
    """
    Read the header of a LAS or LAZ file, and take its units, or the job's where it has none.

    Where `ignores_unit`, the job's are taken whatever the file says of its own.

    Raises
    ------
    InputError
        If the file is damaged, in degrees, or in a unit that the job contradicts.
    """
    header = read_las_header(path)
    if ignores_unit:
        header = replace(header, units=LasUnits())
    declared = header.units.plan
    if declared is not None and declared != unit:
        raise InputError(
            f"the file says that its coordinates are in {declared}, the job that they are in "
            f"{unit}",
            remedy=f'If the file is right, write units = "{declared}" under [base]; if it is wrong '
            "about itself, ignore_file_unit = true",
            path=path,
        )
    if declared is None and header.extent is not None and max(header.scale[:2]) <= DEGREE_STEP:
        check_degrees(path, np.array(header.extent[:2]), np.array(header.extent[2:]))
    plan = METRES[declared or unit]
    elevation = METRES[header.units.elevation or declared or unit]
    return LasCloud(header, np.array([plan, plan, elevation]))
