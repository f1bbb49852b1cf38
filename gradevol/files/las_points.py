"""The points of a LAS or LAZ file, in chunks; of a cloud-optimised one, only those asked for."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from gradevol.files.cloud_chunks import (
    Bounds,
    Chunk,
    check_degrees,
    check_place,
    find_within,
    meets,
)
from gradevol.files.copc import Node, find_nodes, unpack_nodes
from gradevol.files.las_header import LasHeader, read_las_header
from gradevol.files.las_packing import telling_damage
from gradevol.files.las_pointwise import OneChunk
from gradevol.files.las_trial import refuse_blanked
from gradevol.files.las_units import LasUnits
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note
from gradevol.ground.units import METRES

#: Points read at once, and bytes that they may take.
_CHUNK, _CHUNK_BYTES = 1_000_000, 128 * 1024 * 1024
#: Coordinates stored in coarser steps than this are no degrees: 1 m on the ground.
DEGREE_STEP = 1e-5


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

    @property
    def extent(self) -> Bounds | None:
        """Ends in plan that its header declares, m; None where they are none."""
        if self.header.extent is None:
            return None
        west, south, east, north = (float(end * self.metres[0]) for end in self.header.extent)
        return west, south, east, north

    def read(self, is_kept: BoolArray, bounds: Bounds | None) -> Iterator[Chunk]:
        """Read the points of kept classes within bounds; as many as are declared."""
        header, nodes = self.header, None
        low, high = np.full(3, np.inf), np.full(3, -np.inf)
        if bounds is not None and header.octree:
            west, south, east, north = (float(end / self.metres[0]) for end in bounds)
            there = (west, south, east, north)
            nodes = [node for node in find_nodes(header) if meets(node.extent, there)]
        for record, done in read_records(header, nodes):
            chunk, ends = self._sift(record, is_kept, bounds, done)
            low, high = np.minimum(low, ends[0]), np.maximum(high, ends[1])
            yield chunk
        if header.units.plan is None and max(header.scale[:2]) <= DEGREE_STEP:
            check_degrees(header.path, low[:2], high[:2])

    def _sift(
        self, record: Any, is_kept: BoolArray, bounds: Bounds | None, done: float
    ) -> tuple[Chunk, FloatArray]:
        """Chunk of a record of points, and the lowest and highest of kept classes, as written."""
        header = self.header
        is_withheld = np.asarray(record.withheld, bool)
        classes = np.asarray(record.classification)
        mask = is_kept[classes] & ~is_withheld
        stored = [record.array[axis][mask] for axis in "XYZ"]
        scale, offset = np.array(header.scale), np.array(header.offset)
        ends = np.array([[np.inf] * 3, [-np.inf] * 3])
        if len(stored[0]):
            ends = np.array([(axis.min(), axis.max()) for axis in stored], float).T
            ends = np.sort(ends * scale + offset, axis=0)
            check_place(header.path, ends * self.metres)
        points = np.empty((len(stored[0]), 3))
        for axis, values in enumerate(stored):
            points[:, axis] = (values * scale[axis] + offset[axis]) * self.metres[axis]
        outside = 0
        if bounds is not None:
            is_in = find_within(points, bounds)
            outside = len(points) - int(is_in.sum())
            points = points[is_in] if outside else points
        counts = np.bincount(classes[~is_withheld], minlength=256)
        return Chunk(points, len(mask), int(is_withheld.sum()), outside, counts, done), ends


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


def read_records(header: LasHeader, nodes: list[Node] | None = None) -> Iterator[tuple[Any, float]]:
    """
    Read the points of a file, or of some nodes of it, record by record, and which share is done.

    Parameters
    ----------
    header : LasHeader
    nodes : list of Node, optional
        Of a cloud-optimised file, those that are wanted.

    Raises
    ------
    InputError
        If it is damaged, or holds fewer points than it declares.
    """
    if header.is_packed:
        refuse_blanked(header.path, header.start)
    yield from unpack_records(header, nodes)


def unpack_records(
    header: LasHeader, nodes: list[Node] | None = None
) -> Iterator[tuple[Any, float]]:
    """Read the points of a file in this process, whatever its bytes; see `read_records`."""
    wanted = header.count if nodes is None else sum(node.count for node in nodes)
    count = 0
    with telling_damage(header.path):
        for record in _read_all(header) if nodes is None else _read_nodes(header, nodes):
            count += len(record)
            yield record, count / max(wanted, 1)
    if count != wanted:
        raise InputError(
            f"the header declares {wanted:,} points, but {count:,} could be read",
            remedy="The file was cut short: copy or export it again",
            path=header.path,
        )


def _read_all(header: LasHeader) -> Iterator[Any]:
    """Records of all points."""
    import laspy  # noqa: PLC0415

    source: Path | OneChunk = header.path
    backend = laspy.LazBackend.LazrsParallel
    if header.is_unchunked:  # one run can't be shared out
        source = OneChunk(
            header.path, start=header.start, count=header.count, packing=header.packing
        )
        backend = laspy.LazBackend.Lazrs
    with laspy.open(
        source,
        laz_backend=backend,
        decompression_selection=_selection(),
        read_evlrs=False,
    ) as reader:
        at_once = max(1, min(_CHUNK, _CHUNK_BYTES // header.point_size))
        yield from reader.chunk_iterator(at_once)


def _read_nodes(header: LasHeader, nodes: list[Node]) -> Iterator[Any]:
    """Records of the points of nodes."""
    import laspy  # noqa: PLC0415

    with laspy.open(header.path, read_evlrs=False) as reader:
        form = reader.header.point_format
    for points in unpack_nodes(header, nodes, _selection().to_lazrs()):
        yield laspy.PackedPointRecord.from_buffer(points, form)


def _selection() -> Any:
    """What of a point is unpacked."""
    import laspy  # noqa: PLC0415

    wanted = laspy.DecompressionSelection
    return wanted.base() | wanted.Z | wanted.CLASSIFICATION | wanted.FLAGS
