"""Packings of GeoTIFF that tifffile leaves to a library of codecs: LZW and the float predictor.

Programs write both without being asked, so that many a grid has them.

References
----------
TIFF 6.0 (1992), sections 13 (LZW) and 14 (predictor 2); Adobe Photoshop TIFF Technical Note 3
(2005): predictor 3.
"""

import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from gradevol.files.sniff import say_damaged
from gradevol.ground.arrays import AnyArray
from gradevol.ground.errors import InputError

if TYPE_CHECKING:
    from tifffile import TiffPage

LZW = 5  # TIFF, tag 259
DEFLATE = (8, 32946)
_PLAIN = 1
#: With PackBits. Others unpack without a bound, or only with what some Pythons and libraries bring.
PACKINGS = (_PLAIN, LZW, *DEFLATE, 32773)
_DIFFERENCES, _FLOAT = 2, 3  # tag 317
_CLEAR, _END, _FIRST = 256, 257, 258
_LARGEST_CODES = 1 << 12


def is_ours(page: "TiffPage") -> bool:
    """Whether the page is packed by LZW, or has the float predictor."""
    return page.compression == LZW or (
        page.predictor == _FLOAT and page.compression in {_PLAIN, *DEFLATE}
    )


def unpack_grid(page: "TiffPage", path: Path) -> AnyArray:
    """
    Unpack a page of one band, strips or tiles.

    Parameters
    ----------
    page : TiffPage
        One that `is_ours`, whose tiles lie within the file.
    path : Path
        For messages.

    Returns
    -------
    (imagelength, imagewidth) array
        Its numbers; where a tile is left out, the no-data value.

    Raises
    ------
    InputError
        If a tile does not unpack to its size.
    """
    if page.dtype is None or page.bitspersample != page.dtype.itemsize * 8 or page.fillorder != 1:
        raise InputError(
            f"its numbers are packed {page.bitspersample} bits each",
            remedy="Export it in single or double precision",
            path=path,
        )
    dtype = np.dtype(page.dtype).newbyteorder(page.parent.byteorder)
    height, width = (page.tilelength, page.tilewidth) if page.is_tiled else page.chunks[:2]
    across = -(-page.imagewidth // width)
    grid = np.full((page.imagelength, page.imagewidth), page.nodata, dtype.newbyteorder("="))
    for number, (offset, count) in enumerate(
        zip(page.dataoffsets, page.databytecounts, strict=True)
    ):
        top, left = number // across * height, number % across * width
        if count == 0 or top >= page.imagelength:
            continue
        rows = height if page.is_tiled else min(height, page.imagelength - top)
        page.parent.filehandle.seek(offset)
        packed = page.parent.filehandle.read(count)
        content = _unpack(packed, page.compression, rows * width * dtype.itemsize, path)
        tile = _add_up(content, page.predictor, (rows, width), dtype)
        part = grid[top : top + rows, left : left + width]
        part[...] = tile[: part.shape[0], : part.shape[1]]
    return grid


def _unpack(packed: bytes, compression: int, size: int, path: Path) -> bytes:
    """Contents of a tile, of just that size."""
    if compression == LZW:
        content = decode_lzw(packed, size)
    elif compression in DEFLATE:
        content = zlib.decompressobj().decompress(packed, size)
    else:
        content = packed[:size]
    if len(content) != size:
        raise say_damaged(
            f"a tile unpacks to {len(content):,} bytes, and it must be {size:,}", path
        )
    return content


def decode_lzw(packed: bytes, size: int) -> bytes:
    """
    Decode LZW as TIFF has it: codes of 9 to 12 bits, the highest bit first.

    Parameters
    ----------
    packed : bytes
    size : int
        Bytes wanted; decoding stops there.

    Returns
    -------
    bytes
        `size` of them, or fewer where the codes end before.

    Raises
    ------
    ValueError
        If a code is met before what it stands for.
    """
    table = [*(bytes([value]) for value in range(256)), b"", b""]
    pieces: list[bytes] = []
    last = b""
    bits, held, width, found = 0, 0, 9, 0
    for byte in packed:
        held = (held << 8) | byte
        bits += 8
        if bits < width:
            continue
        bits -= width
        code = held >> bits
        held &= (1 << bits) - 1
        if code == _CLEAR:
            del table[_FIRST:]
            width, last = 9, b""
            continue
        if code == _END or found >= size:
            break
        if code < len(table):
            piece = table[code]
        elif last and code == len(table):
            piece = last + last[:1]
        else:
            raise ValueError(f"LZW code {code} stands for nothing yet")
        pieces.append(piece)
        found += len(piece)
        if last and len(table) < _LARGEST_CODES:
            table.append(last + piece[:1])
        last = piece
        # one code before the table needs it, as TIFF's writers do (section 13)
        width = min(12, max(9, (len(table) + 1).bit_length()))
    return b"".join(pieces)[:size]


def _add_up(
    content: bytes, predictor: int, shape: tuple[int, int], dtype: np.dtype[Any]
) -> AnyArray:
    """Numbers of a tile whose rows hold differences, or bytes of floats apart."""
    rows, width = shape
    if predictor == _DIFFERENCES:  # of the bits as whole numbers, floats too
        whole = np.dtype(f"u{dtype.itemsize}").newbyteorder(dtype.byteorder)
        steps = np.frombuffer(content, whole).reshape(shape).astype(whole.newbyteorder("="))
        return np.cumsum(steps, axis=1, dtype=steps.dtype).view(dtype.newbyteorder("="))
    if predictor == _FLOAT:  # the highest bytes of a row first, whatever the file's order
        steps = np.frombuffer(content, np.uint8).reshape(rows, width * dtype.itemsize)
        planes = np.cumsum(steps, axis=1, dtype=np.uint8).reshape(rows, dtype.itemsize, width)
        together = np.ascontiguousarray(planes.transpose(0, 2, 1))
        return together.view(dtype.newbyteorder(">"))[..., 0]
    return np.frombuffer(content, dtype).reshape(shape)
