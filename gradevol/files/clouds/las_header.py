"""The header of a LAS or LAZ file, checked before any library is let near its points.

A header can lie: ask for more memory than there is, keep a library busy for minutes, promise
points that are not there. So every count in it is held against the size of the file first.

References
----------
LAS Specification 1.4 R15 (ASPRS, 2019) for the header, the records before and after the points and
the lengths of point formats; COPC 1.0 (copc.io) for its record.
"""

import struct
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from gradevol.files.clouds.las_packing import (
    PACKING,
    UNCHUNKED,
    PackedPoints,
    check_packing,
    refuse,
)
from gradevol.files.las_units import LasUnits, find_units
from gradevol.ground.errors import InputError

#: Bytes of the header by minor version, and of a point by format, at least.
_HEADER_SIZES = (227, 227, 227, 235, 375)
_POINT_SIZES = (20, 28, 26, 34, 57, 63, 30, 36, 38, 59, 67)

#: A file without points has fewer bytes for them: where its chunks would be, if it is packed.
_EMPTY = 32

#: User and number of the record of a cloud-optimised file: COPC 1.0, copc.io, "info VLR".
_OCTREE = ("copc", 1)
_WKT_FLAG = 0x10
#: A record that carries a coordinate system is a few kilobytes; one past this is not read, bytes.
_LARGEST_RECORD = 1_000_000


@dataclass(frozen=True, slots=True)
class LasHeader:
    """
    What a LAS or LAZ file says of itself, checked.

    Attributes
    ----------
    path : Path
        The file.
    count : int
        Points declared.
    point_size : int
        Bytes of one point, unpacked.
    is_packed : bool
        True for LAZ.
    scale, offset : tuple of float
        A coordinate is its stored whole number times scale, plus offset; in the file's units.
    units : LasUnits
        Units that the file declares.
    start : int
        Byte where the points begin.
    extent : tuple of float or None
        West, south, east and north ends that the file declares, in its units; None where they are
        none.
    packing : bytes
        The record that says how points are packed; empty for LAS.
    chunks : sequence of (int, int)
        Points and bytes of each chunk of a LAZ; where all are of one size, the last too.
    octree : bytes
        The record that says where a cloud-optimised file (COPC) lists its nodes; empty for others.
    version : str
        ``1.4``.
    point_format : int
        0 to 10.
    low, high : tuple of float
        Least and greatest easting, northing and elevation that the file declares, in its units,
        whatever they are.
    """

    path: Path
    count: int
    point_size: int
    is_packed: bool
    scale: tuple[float, float, float]
    offset: tuple[float, float, float]
    units: LasUnits
    start: int = 0
    extent: tuple[float, float, float, float] | None = None
    packing: bytes = b""
    chunks: Sequence[tuple[int, int]] = ()
    octree: bytes = b""
    version: str = ""
    point_format: int = 0
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()

    @property
    def is_unchunked(self) -> bool:
        """Whether its points are packed in one run, without chunks."""
        return int.from_bytes(self.packing[:2], "little") == UNCHUNKED


def read_las_header(path: Path) -> LasHeader:
    """
    Read and check the header of a LAS or LAZ file.

    Raises
    ------
    InputError
        If the file is no LAS 1.0 to 1.4, or declares what it cannot hold.
    """
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            return _read_header(path, file, size)
    except OSError as error:
        raise InputError(
            f"the file cannot be read ({error.strerror})",
            remedy="Check its name and that you may read it",
            path=path,
        ) from error


def _read_header(path: Path, file: BinaryIO, size: int) -> LasHeader:
    head = file.read(_HEADER_SIZES[-1])
    if head[:4] != b"LASF":
        refuse(
            path,
            f"not a LAS or LAZ file: it begins with {head[:4]!r}, not b'LASF'",
            "Export the cloud as LAS or LAZ",
        )
    if len(head) < _HEADER_SIZES[0]:
        refuse(path, f"{len(head)} bytes are too few for a header of {_HEADER_SIZES[0]}")
    major, minor = head[24], head[25]
    if major != 1 or minor >= len(_HEADER_SIZES):
        refuse(path, f"LAS version {major}.{minor} is not known", "Export as LAS 1.2 or 1.4")
    header_size, start, n_records, kind, point_size = struct.unpack_from("<HIIBH", head, 94)
    if not _HEADER_SIZES[minor] <= header_size <= start <= size:
        refuse(
            path,
            f"a header of {header_size} bytes (at least {_HEADER_SIZES[minor]} in version "
            f"1.{minor}) and points from byte {start} do not fit a file of {size} bytes",
        )
    is_packed, point_format = kind & 0xC0 == 0x80, kind & 0x3F
    if kind & 0x40 or point_format >= len(_POINT_SIZES):
        refuse(path, f"point format {kind} is not known", "Export with a point format of 0 to 10")
    if point_size < _POINT_SIZES[point_format]:
        refuse(
            path,
            f"points of {point_size} bytes are too short for format {point_format}, which has "
            f"{_POINT_SIZES[point_format]}",
        )
    count = _read_count(path, head, minor, size - start)
    scale = struct.unpack_from("<3d", head, 131)
    offset = struct.unpack_from("<3d", head, 155)
    _check_scale(path, scale, offset)

    records = list(_walk_records(path, file, header_size, start, n_records))
    end = size
    if minor == 4:
        first, n_extended = struct.unpack_from("<QI", head, 235)
        if n_extended:
            records += _walk_records(path, file, first, size, n_extended, extended=True)
            end = first
    if minor >= 3 and (waveforms := struct.unpack_from("<Q", head, 227)[0]):
        end = min(end, waveforms)
    packing = [body for user, number, body in records if (user, number) == PACKING]
    chunks: list[tuple[int, int]] = []
    if is_packed:
        points = PackedPoints(path, size, start, count, point_format, point_size)
        chunks = check_packing(points, file, packing)
    elif count != (room := (end - start) // point_size):
        # less than declared: cut short; more: its writer stopped before it put the count right
        refuse(path, f"the header declares {count:,} points, but the file has room for {room:,}")
    flags = struct.unpack_from("<H", head, 6)[0]
    units = find_units(path, records, prefers_wkt=bool(flags & _WKT_FLAG))
    # the COPC specification has its record first, so that its place is known
    octree = records[0][2] if records and is_packed and records[0][:2] == _OCTREE else b""
    return LasHeader(
        *(path, count, point_size, is_packed, scale, offset, units, start),
        extent=_read_extent(head),
        packing=packing[0] if is_packed else b"",
        chunks=chunks,
        octree=octree,
        version=f"1.{minor}",
        point_format=point_format,
        low=struct.unpack_from("<6d", head, 179)[1::2],
        high=struct.unpack_from("<6d", head, 179)[::2],
    )


def _read_extent(head: bytes) -> tuple[float, float, float, float] | None:
    """West, south, east, north; None where a writer left them out or they can't be."""
    east, west, north, south = struct.unpack_from("<4d", head, 179)
    if not (west <= east and south <= north and max(map(abs, (east, west, north, south))) < 1e12):
        return None  # also where one is no number
    # a box without a width, zeros or not, was never filled in: the points themselves are asked
    return None if west == east or south == north else (west, south, east, north)


def _read_count(path: Path, head: bytes, minor: int, room: int) -> int:
    """Points declared, of a file with so many bytes for them; two fields of it must agree."""
    short = int(struct.unpack_from("<I", head, 107)[0])
    count = int(struct.unpack_from("<Q", head, 247)[0]) if minor == 4 else short
    if minor == 4 and short not in {0, count}:
        refuse(path, f"the header declares {short:,} points in one place and {count:,} in another")
    if count == 0:
        raise InputError(
            "the file declares no points",
            remedy="Check that this is the right file",
            path=path,
            code="no-points" if room < _EMPTY else "",
        )
    return count


def _check_scale(path: Path, scale: tuple[float, ...], offset: tuple[float, ...]) -> None:
    # the comparisons are false for NaN
    if not all(1e-12 < abs(value) < 1e6 for value in scale):
        shown = ", ".join(f"{value:g}" for value in scale)
        refuse(path, f"the scales of X, Y, Z ({shown}) give no coordinates")
    if not all(abs(value) < 1e12 for value in offset):
        shown = ", ".join(f"{value:g}" for value in offset)
        refuse(path, f"the offsets of X, Y, Z ({shown}) give no coordinates")


def _walk_records(
    path: Path, file: BinaryIO, at: int, end: int, n_records: int, *, extended: bool = False
) -> Iterator[tuple[str, int, bytes]]:
    """User, number and content of the records between two places of the file."""
    size, form = (60, "<2x16sHQ32x") if extended else (54, "<2x16sHH32x")
    if at + n_records * size > end:
        refuse(path, f"{n_records:,} records before or after the points do not fit the file")
    for _ in range(n_records):
        file.seek(at)
        head = file.read(size)
        if at + size > end or len(head) < size:
            refuse(path, "the records before or after the points run past their place")
        user, number, length = struct.unpack(form, head)
        at += size + length
        if at > end:
            refuse(path, f"a record of {length:,} bytes runs past its place in the file")
        content = file.read(length) if length <= _LARGEST_RECORD else b""
        yield user.split(b"\0")[0].decode("latin-1"), number, content
