"""How the points of a LAZ file are packed, checked before the decoder makes room by its numbers.

References
----------
LASzip ``design/specification.rst`` and ``laszip.hpp`` (https://github.com/LASzip/LASzip) for the
record that says how points are packed and for the table of chunks.
"""

import struct
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, NoReturn

from gradevol.ground.errors import InputError

#: User and number of the record that says how points are packed.
PACKING = ("laszip encoded", 22204)

#: laszip.hpp: 2 is pointwise in chunks, for formats to 5; 3 layered in chunks, for those from 6. 1,
#: pointwise without chunks, is what the first releases wrote: `las_pointwise` reads it.
UNCHUNKED, _POINTWISE, _LAYERED = 1, 2, 3
#: Kinds of packed fields by point format, laszip.hpp: POINT10 6, GPSTIME11 7, RGB12 8, WAVEPACKET13
#: 9, POINT14 10, RGB14 11, RGBNIR14 12, WAVEPACKET14 13; extra bytes may follow, 0 or 14.
_FIELDS = (
    *((6,), (6, 7), (6, 8), (6, 7, 8), (6, 7, 9), (6, 7, 8, 9)),
    *((10,), (10, 11), (10, 12), (10, 13), (10, 12, 13)),
)
_EXTRA = (0, 14)
#: Layers of each kind that is packed in layers; extra bytes have one a byte.
_LAYERS = {10: 9, 11: 1, 12: 2, 13: 1}
_VARIABLE_CHUNKS = 2**32 - 1
#: Most memory that one chunk may unfold to, bytes; LASzip's own 50,000 points take 4 MB at most.
_LARGEST_CHUNK = 512 * 1024 * 1024

_DAMAGED = "The file is damaged or was cut short: copy or export it again"


@dataclass(frozen=True, slots=True)
class PackedPoints:
    """
    Where packed points lie in a file.

    Attributes
    ----------
    path : Path
        The file.
    size, start : int
        Bytes of the file, and of what comes before the points.
    count : int
        Points declared.
    point_format, point_size : int
        Format, 0 to 10, and bytes of one point, unpacked.
    """

    path: Path
    size: int
    start: int
    count: int
    point_format: int
    point_size: int


def refuse(path: Path, problem: str, remedy: str = _DAMAGED) -> NoReturn:
    """Refuse a file that is damaged, or that needs another remedy."""
    raise InputError(problem, remedy=remedy, path=path)


@contextmanager
def telling_damage(path: Path) -> Iterator[None]:
    """Tell of any way in which reading or unpacking points fails as of a damaged file."""
    import lazrs  # noqa: PLC0415

    known = (lazrs.LazrsError, OSError, ValueError, struct.error)
    try:
        yield
    except InputError:
        raise
    except BaseException as error:
        # a panic of the decoder is no Exception, and its class can't be imported
        if isinstance(error, known) or type(error).__module__ == "pyo3_runtime":
            what = str(error) or type(error).__name__
            raise InputError(
                f"its points cannot be read ({what})", remedy=_DAMAGED, path=path
            ) from error
        raise


def check_packing(
    points: PackedPoints, file: BinaryIO, packing: Sequence[bytes]
) -> list[tuple[int, int]]:
    """
    Hold what a LAZ file says of its packing against its size.

    Parameters
    ----------
    points : PackedPoints
        What the header says.
    file : BinaryIO
        The file, open.
    packing : sequence of bytes
        Contents of its records of `PACKING`; it takes one.

    Returns
    -------
    list of (int, int)
        Points and bytes of each chunk; where they are packed in chunks.

    Raises
    ------
    InputError
        If the points cannot be unpacked, or not as many as are declared.
    """
    path = points.path
    if len(packing) != 1 or len(packing[0]) < 34:
        refuse(path, f"{len(packing)} records say how the points are packed; it takes one")
    record = packing[0]
    compressor, coder = struct.unpack_from("<HH", record, 0)
    if compressor not in {UNCHUNKED, _POINTWISE, _LAYERED} or coder != 0:
        refuse(
            path,
            f"points packed by LASzip compressor {compressor}, coder {coder}, cannot be unpacked",
            "Unpack it to LAS with the program that made it, or export it as LAS",
        )
    n_fields = struct.unpack_from("<H", record, 32)[0]
    if len(record) < 34 + 6 * n_fields:
        refuse(path, f"{n_fields} packed fields do not fit their record")
    fields = [struct.unpack_from("<HH", record, 34 + 6 * field) for field in range(n_fields)]
    length = sum(size for _, size in fields)
    if length != points.point_size:
        refuse(path, f"packed points have {length} bytes, but the header says {points.point_size}")
    kinds = tuple(kind for kind, _ in fields if kind not in _EXTRA)
    if kinds != _FIELDS[points.point_format] or (compressor == _LAYERED) != (kinds[0] == 10):
        refuse(path, f"points are packed otherwise than in format {points.point_format}")

    if compressor == UNCHUNKED:
        # the first point stands unpacked; of the others only reading them tells that all are there
        if points.size - points.start < points.point_size or points.count >= _VARIABLE_CHUNKS:
            refuse(path, f"{points.count:,} points cannot be in {points.size:,} bytes")
        return []
    chunks = _read_chunks(points, file, record)
    if compressor == _LAYERED:
        n_layers = sum(_LAYERS.get(kind, size) for kind, size in fields)
        _check_layers(points, file, chunks, n_layers)
    return chunks


def _read_chunks(points: PackedPoints, file: BinaryIO, record: bytes) -> list[tuple[int, int]]:
    """Points and bytes of each chunk; all together they fit the file and the count."""
    import lazrs  # noqa: PLC0415

    path, start = points.path, points.start
    table = _read_number(points, file, "<q", start)
    if table == -1:  # written to a stream: the place stands at the very end instead
        table = _read_number(points, file, "<q", points.size - 8)
    n_chunks = _read_number(points, file, "<I", table + 4)
    room = table - start - 8
    # a chunk holds its first point unpacked, so it has at least that many bytes
    if room < 0 or n_chunks * points.point_size > room:
        refuse(path, f"a table of {n_chunks:,} chunks at byte {table} does not fit the file")
    file.seek(start)
    with telling_damage(path):
        chunks: list[tuple[int, int]] = lazrs.read_chunk_table(file, lazrs.LazVlr(record))
    packed = sum(length for _, length in chunks)
    if packed > room:
        refuse(path, f"{packed:,} bytes of packed points are declared, but {room:,} are there")

    chunk_size = struct.unpack_from("<I", record, 12)[0]
    count, held = points.count, sum(size for size, _ in chunks)
    if chunk_size == _VARIABLE_CHUNKS:
        if held != count:
            refuse(path, f"the header declares {count:,} points, but the chunks hold {held:,}")
    elif chunk_size == 0 or n_chunks != -(-count // chunk_size):
        refuse(path, f"{count:,} points do not make {n_chunks:,} chunks of {chunk_size:,}")
    largest = max(size for size, _ in chunks)
    if largest * points.point_size > _LARGEST_CHUNK:
        refuse(
            path,
            f"a chunk of {largest:,} points is too large to unpack",
            "Export it with chunks of 50,000 points, or as LAS",
        )
    return chunks


def _check_layers(
    points: PackedPoints, file: BinaryIO, chunks: Sequence[tuple[int, int]], n_layers: int
) -> None:
    """Hold what each chunk says of its layers and points against its bytes and the header.

    The decoder makes room for a layer before it reads it, and ends the program if it can't.
    """
    form = f"<{1 + n_layers}I"
    at, held = points.start + 8, 0
    for _, length in chunks:
        file.seek(at + points.point_size)
        head = file.read(struct.calcsize(form))
        taken = points.point_size + struct.calcsize(form)
        if taken > length or len(head) < struct.calcsize(form):
            refuse(points.path, f"a chunk of {length:,} bytes is too short")
        size, *layers = struct.unpack(form, head)
        if taken + sum(layers) > length:
            refuse(points.path, f"layers of {sum(layers):,} bytes do not fit a chunk of {length:,}")
        held += size
        at += length
    # lazrs counts a chunk's first point; the specification speaks of the remaining ones
    if points.count not in {held, held + len(chunks)}:
        refuse(
            points.path,
            f"the header declares {points.count:,} points, but the chunks hold {held:,}",
        )


def _read_number(points: PackedPoints, file: BinaryIO, form: str, place: int) -> int:
    length = struct.calcsize(form)
    if not points.start <= place <= points.size - length:
        refuse(points.path, "the table of chunks is missing")
    file.seek(place)
    return int(struct.unpack(form, file.read(length))[0])
