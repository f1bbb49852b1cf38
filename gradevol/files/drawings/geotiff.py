"""GeoTIFF: a grid of elevations as a surface.

References
----------
OGC GeoTIFF 1.1 (19-008r4); no-data is GDAL's tag 42113, as the pages of its GeoTIFF driver say.
"""

import logging
import struct
import zlib
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from gradevol.files.drawings.geotiff_packing import DEFLATE, PACKINGS, is_ours, unpack_grid
from gradevol.files.drawings.geotiff_place import place_grid
from gradevol.files.drawings.geotiff_units import read_page_units
from gradevol.files.drawings.polygons import Polygons
from gradevol.files.globe import FARTHEST
from gradevol.files.sniff import File, say_damaged
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray
from gradevol.ground.errors import InputError

if TYPE_CHECKING:
    from tifffile import TiffPage

_NODATA = 42113
_MOST_PIXELS = 50_000_000
#: Four triangles a cell: a surface of 20 million, past which it no longer fits a plain computer.
_MOST_CELLS = 5_000_000
#: What programs write where there is no elevation; common practice, no source.
_USUAL_NODATA = (-9999.0, -99999.0, -32767.0, -32768.0)
_BROKEN = (
    ArithmeticError,
    AttributeError,
    ImportError,
    LookupError,
    OSError,
    RuntimeError,
    TypeError,
    ValueError,
    struct.error,
    zlib.error,
)
#: Keeps tifffile's remarks off standard error.
_QUIET = logging.NullHandler()


def parse_geotiff(file: File) -> Polygons:
    """
    Parse a grid of elevations: one band, one elevation a pixel.

    Returns
    -------
    Polygons
        Points are the centres of pixels, then the middles of cells. Each cell between four
        neighbouring centres with elevations is four triangles about its middle, at their mean, as
        a lattice of shots is.

    Raises
    ------
    InputError
        If the file is no such grid, is damaged, too large, turned, or in degrees.
    """
    import tifffile  # noqa: PLC0415

    logging.getLogger("tifffile").addHandler(_QUIET)
    path = file.path
    with file.stream() as stream:
        try:
            with tifffile.TiffFile(stream) as tiff:
                page = _choose_page(tiff, path)
                declared = read_page_units(page, path)
                _check_extents(page, path)
                place = place_grid({tag.code: tag.value for tag in page.tags.values()}, path)
                _refuse_bombs(page, path)
                elevations = unpack_grid(page, path) if is_ours(page) else page.asarray()
                is_valid = _find_valid(page, elevations, path)
        except (tifffile.TiffFileError, *_BROKEN) as error:
            raise _explain(error, path) from error
    points, triangles = _build_faces(elevations, is_valid, path)
    columns, rows, heights = points.T
    return Polygons(
        np.column_stack([*place(columns, rows), heights]),
        triangles.reshape(-1),
        np.full(len(triangles), 3, np.intp),
        (0.0, 0.0, _spacing(elevations, is_valid)),
        declared,
    )


def _explain(error: Exception, path: Path) -> InputError:
    said = " ".join(str(error).split())[:160]
    if "not a TIFF file" in said:
        remedy = "Give the grid of elevations as GeoTIFF"
        return InputError("it is not a TIFF file", remedy=remedy, path=path)
    return say_damaged(f"it cannot be read ({said})", path)


def _choose_page(tiff: Any, path: Path) -> "TiffPage":
    """The one picture at full size; smaller copies and masks (TIFF 6.0, tag 254) are passed by."""
    from tifffile import COMPRESSION  # noqa: PLC0415

    listed: dict[int, TiffPage] = {}
    for each in tiff.pages:
        if each.offset in listed:  # tifffile would follow it without an end
            problem = "the list of its pictures comes back to one that it has named"
            raise say_damaged(problem, path)
        listed[each.offset] = each
    pages = [page for page in listed.values() if not int(page.subfiletype) & 5]
    if len(pages) != 1:
        problem, remedy = f"it holds {len(pages)} pictures, and one is wanted", "Export one"
    elif (
        (page := pages[0]).samplesperpixel != 1
        or page.dtype is None
        or page.dtype.kind not in ("iuf")
    ):
        problem = (
            f"it has {page.samplesperpixel} bands of {page.dtype}, and one elevation is wanted"
        )
        remedy = "Export the elevations, not a picture of them"
    elif page.imagewidth * page.imagelength > _MOST_PIXELS:
        problem = f"it has {page.imagewidth:,} × {page.imagelength:,} pixels"
        remedy = f"Cut it to the slab, or make it coarser: {_MOST_PIXELS:,} are the most"
    elif page.imagewidth < 2 or page.imagelength < 2:
        problem = f"it has {page.imagewidth} × {page.imagelength} pixels, too few for a surface"
        remedy = "Check that this is the right file"
    elif page.compression not in PACKINGS:
        problem = f"it is packed by {COMPRESSION(page.compression).name}, which is not read"
        remedy = "Export it unpacked, or packed by Deflate or LZW"
    else:
        return page
    raise InputError(problem, remedy=remedy, path=path)


def _check_extents(page: "TiffPage", path: Path) -> None:
    """Refuse strips and tiles that lie beyond the file's end, or are missing."""
    size = page.parent.filehandle.size
    extents = list(zip(page.dataoffsets, page.databytecounts, strict=True))
    if not extents or any(offset + count > size for offset, count in extents):
        raise say_damaged("part of its grid lies beyond its end", path)
    if page.compression == 1 and sum(count for _, count in extents) < page.nbytes:
        if all(count for _, count in extents) or page.tags.get(_NODATA) is None:
            raise say_damaged("part of its grid is missing", path)
    elif not all(count for _, count in extents) and page.tags.get(_NODATA) is None:
        raise InputError(
            "parts of its grid are left out, and it names no no-data value",
            remedy="Export it whole",
            path=path,
        )


def _refuse_bombs(page: "TiffPage", path: Path) -> None:
    """Refuse tiles larger than any grid, and packed ones that unpack to more than they may."""
    least = int(np.prod(page.chunks)) * page.bitspersample // 8
    if least > _MOST_PIXELS * 8:
        raise say_damaged(f"its tiles are of {page.chunks} pixels", path)
    if page.compression not in DEFLATE:
        return
    for offset, count in zip(page.dataoffsets, page.databytecounts, strict=True):
        page.parent.filehandle.seek(offset)
        unpacker = zlib.decompressobj()
        unpacker.decompress(page.parent.filehandle.read(count), least + 1)
        if unpacker.unconsumed_tail:
            raise say_damaged(f"a tile unpacks to more than its {least:,} bytes", path)


def _find_valid(page: "TiffPage", elevations: AnyArray, path: Path) -> BoolArray:
    """Pixels that have an elevation."""
    if elevations.shape != (page.imagelength, page.imagewidth):
        raise say_damaged(f"its grid is {elevations.shape}", path)
    is_valid: BoolArray = np.isfinite(elevations)
    tag = page.tags.get(_NODATA)
    suspects: tuple[float, ...] = ()
    if tag is None:
        suspects = _USUAL_NODATA
    else:
        missing = float(str(tag.value).strip("\0 "))
        if elevations.dtype.kind == "f":
            with np.errstate(over="ignore"):  # one written for double precision
                missing = float(elevations.dtype.type(missing))
        is_valid &= elevations != missing
    odd = is_valid & (np.isin(elevations, suspects) | (np.abs(elevations) > FARTHEST))
    if odd.any():
        raise InputError(
            f"it has pixels of {elevations[odd][0]:g}, which looks like no elevation, but its "
            f"no-data value is {'not named' if tag is None else tag.value}",
            remedy="Have the no-data value declared in the file",
            path=path,
        )
    return is_valid


def _spacing(elevations: AnyArray, is_valid: BoolArray) -> float:
    """Smallest step that the grid's numbers can hold at its largest elevation, file's unit."""
    if elevations.dtype.kind != "f" or not is_valid.any():
        return 0.0
    return float(np.spacing(np.abs(elevations[is_valid]).max()))


def _build_faces(
    elevations: AnyArray, is_valid: BoolArray, path: Path
) -> tuple[FloatArray, IntArray]:
    """Points (column, row, elevation) and triangles of the cells that have four elevations."""
    is_cell = is_valid[:-1, :-1] & is_valid[:-1, 1:] & is_valid[1:, :-1] & is_valid[1:, 1:]
    rows, columns = np.nonzero(is_cell)
    if not 0 < len(rows) <= _MOST_CELLS:
        raise InputError(
            f"it has {len(rows):,} cells with an elevation at each corner"
            + f", and {_MOST_CELLS:,} are the most" * (len(rows) > 0),
            remedy="Cut it to the slab, or make it coarser"
            if len(rows)
            else "Check the no-data value, and that this is the right file",
            path=path,
        )
    around = [(0, 0), (1, 0), (1, 1), (0, 1)]  # down the left side first: counter-clockwise
    used = np.zeros(is_valid.shape, bool)
    for down, right in around:
        used[rows + down, columns + right] = True
    place = np.cumsum(used).reshape(used.shape) - 1
    corners = np.stack([place[rows + down, columns + right] for down, right in around], axis=1)

    pixel_rows, pixel_columns = np.nonzero(used)
    pixels = np.column_stack(
        [pixel_columns, pixel_rows, elevations[pixel_rows, pixel_columns].astype(np.float64)]
    )
    middles = pixels[corners].mean(axis=1)
    middle = np.broadcast_to((len(pixels) + np.arange(len(rows)))[:, None], corners.shape)
    triangles = np.stack([corners, np.roll(corners, -1, axis=1), middle], axis=2).reshape(-1, 3)
    return np.vstack([pixels, middles]), triangles.astype(np.intp)
