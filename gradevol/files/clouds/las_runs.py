"""Runs of points of a LAS or LAZ file: each is read, and unpacked, by itself.

Of a LAZ a run is a chunk, of a cloud-optimised one (COPC) a node. Only the fields that are used are
unpacked, runs that are read at once on all cores.
"""

import io
import struct
import threading
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from io import BufferedReader

import numpy as np

from gradevol.files.clouds.chunks import Bounds
from gradevol.files.clouds.las_header import LasHeader
from gradevol.files.clouds.las_packing import refuse, telling_damage
from gradevol.files.clouds.las_pointwise import OneChunk
from gradevol.files.clouds.las_trial import LONGEST_BLANK, has_blanks, refuse_deadly
from gradevol.ground.arrays import AnyArray

#: Points read at once: few enough that what is worked out of them stays near the processor, and as
#: chunks that two, four or eight cores share evenly; and bytes that they may take.
_AT_ONCE, _BYTES_AT_ONCE = 400_000, 32 * 1024 * 1024

_rooms = threading.local()


@dataclass(frozen=True, slots=True)
class Run:
    """Bytes of a file and the points in them; of a node, its west, south, east, north, file's."""

    count: int
    at: int
    length: int
    extent: Bounds | None = None


def find_runs(header: LasHeader) -> list[Run]:
    """List the runs of all points of a file, in its order."""
    if not header.is_packed:
        counts = np.full(-(-header.count // _AT_ONCE), _AT_ONCE)
        counts[-1] = header.count - counts[:-1].sum()
        lengths = counts * header.point_size
        starts = header.start + np.cumsum(lengths) - lengths
    else:
        sizes, lengths = np.array(header.chunks, np.int64).T
        counts = np.minimum(sizes, header.count - (np.cumsum(sizes) - sizes))
        starts = header.start + 8 + np.cumsum(lengths) - lengths
    listed = zip(counts.tolist(), starts.tolist(), lengths.tolist(), strict=True)
    return [Run(count, at, length) for count, at, length in listed]


def group_runs(header: LasHeader, runs: Sequence[Run]) -> Iterator[list[Run]]:
    """Put runs together that are read at once."""
    most = min(_AT_ONCE, _BYTES_AT_ONCE // header.point_size)
    group: list[Run] = []
    for run in runs:
        if group and sum(each.count for each in group) + run.count > most:
            yield group
            group = []
        group.append(run)
    if group:
        yield group


def read_all(header: LasHeader, *, is_trial: bool = False) -> Iterator[AnyArray]:
    """Read all points of a file, some at a time; see `read_runs`."""
    if header.is_unchunked:
        yield from read_unchunked(header, is_trial=is_trial)
        return
    for runs in group_runs(header, find_runs(header)):
        yield read_runs(header, runs, is_trial=is_trial)


def read_runs(header: LasHeader, runs: Sequence[Run], *, is_trial: bool = False) -> AnyArray:
    """
    Read the points of runs.

    Parameters
    ----------
    header : LasHeader
    runs : sequence of Run
    is_trial : bool
        Whether packed bytes that look blanked are unpacked here, whatever comes of it.

    Returns
    -------
    array of records
        Whole numbers X, Y, Z, and what `part_marks` understands; in memory that the next to be read
        in this thread are put into.

    Raises
    ------
    InputError
        If they can't be unpacked.
    """
    points = _take_room(sum(run.count for run in runs) * header.point_size)
    parts = np.split(points, np.cumsum([run.count for run in runs])[:-1] * header.point_size)
    with telling_damage(header.path), header.path.open("rb") as file:
        content = [
            _read(header, file, run, part, is_trial=is_trial)
            for run, part in zip(runs, parts, strict=True)
        ]
        if header.is_packed:
            _unpack(header, runs, points, content)
    return points.view(_form(header))


def _take_room(size: int) -> AnyArray:
    """Memory of this thread: the system would clear what is made anew, page by page."""
    if size > _BYTES_AT_ONCE:
        return np.empty(size, np.uint8)
    held = getattr(_rooms, "held", None)
    if held is None or len(held) < size:
        held = _rooms.held = np.empty(size, np.uint8)
    return held[:size]


def _read(
    header: LasHeader, file: BufferedReader, run: Run, into: AnyArray, *, is_trial: bool
) -> bytes:
    """Read a run: its points into their place, or packed bytes.

    Packed ones that a disk has blanked are tried elsewhere first.
    """
    before = min(LONGEST_BLANK, run.at - header.start) if header.is_packed else 0
    file.seek(run.at - before)
    content = file.read(before + run.length) if header.is_packed else b""
    length = len(content) - before if header.is_packed else file.readinto(into.data)
    if length < run.length:
        refuse(header.path, "it became shorter while it was read")
    if header.is_packed and not is_trial and has_blanks(content):
        refuse_deadly(header.path)
    return content[before:]


def _unpack(
    header: LasHeader, runs: Sequence[Run], into: AnyArray, packed: Sequence[bytes]
) -> None:
    """Unpack the bytes of runs, one behind the other, as a file of their own."""
    import lazrs  # noqa: PLC0415

    table = io.BytesIO()
    chunks = [(run.count, run.length) for run in runs]
    lazrs.write_chunk_table(table, chunks, lazrs.LazVlr(header.packing))
    start = struct.pack("<q", 8 + sum(map(len, packed)))  # where the table stands
    source = io.BytesIO(b"".join([start, *packed, table.getvalue()]))
    # no decoder lets another thread of Python go on: this one is as quick as there are cores
    lazrs.ParLasZipDecompressor(source, header.packing, _selection()).decompress_many(into)


def read_unchunked(header: LasHeader, *, is_trial: bool = False) -> Iterator[AnyArray]:
    """Read the points of a LAZ that is packed in one run, in turn; see `read_runs`."""
    import lazrs  # noqa: PLC0415

    if not is_trial:
        _refuse_blanked(header)
    whole = OneChunk(header.path, start=header.start, count=header.count, packing=header.packing)
    with whole, telling_damage(header.path):
        whole.seek(header.start)
        decoder = lazrs.LasZipDecompressor(whole, whole.packing, _selection())
        for start in range(0, header.count, _AT_ONCE):
            points = bytearray(min(_AT_ONCE, header.count - start) * header.point_size)
            decoder.decompress_many(points)
            yield np.frombuffer(points, _form(header))


def _refuse_blanked(header: LasHeader) -> None:
    """Look at all packed points of a file before the first is unpacked."""
    with header.path.open("rb") as file:
        file.seek(header.start)
        tail = b""
        while block := file.read(1 << 22):
            if has_blanks(tail + block):
                refuse_deadly(header.path)
                return
            tail = block[-LONGEST_BLANK:]


def _selection() -> object:
    """What of a point is unpacked."""
    import lazrs  # noqa: PLC0415

    return lazrs.DecompressionSelection(
        lazrs.SELECTIVE_DECOMPRESS_XY_RETURNS_CHANNEL
        | lazrs.SELECTIVE_DECOMPRESS_Z
        | lazrs.SELECTIVE_DECOMPRESS_CLASSIFICATION
        | lazrs.SELECTIVE_DECOMPRESS_FLAGS
    )


def _form(header: LasHeader) -> "np.dtype[np.void]":
    """Records of points, LAS Specification 1.4 R15; to format 5 one byte has class and flags."""
    return np.dtype(
        {
            "names": ["X", "Y", "Z", "flags", "class"],
            "formats": ["<i4", "<i4", "<i4", "u1", "u1"],
            "offsets": [0, 4, 8, 15, 16 if header.point_format >= 6 else 15],
            "itemsize": header.point_size,
        }
    )


def part_marks(header: LasHeader, points: AnyArray) -> tuple[AnyArray, AnyArray]:
    """Class of each point of `read_runs`, and whether it is flagged as withheld."""
    if header.point_format >= 6:
        return points["class"].copy(), (points["flags"] & 0x04) != 0
    return points["class"] & 0x1F, (points["flags"] & 0x80) != 0
