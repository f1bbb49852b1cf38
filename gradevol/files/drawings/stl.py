"""STL: triangles, each with its own corners.

Read by hand, as PLY and OBJ are: of a text that was cut short trimesh takes what is there. The
tests hold this reader against it on whole files.

References
----------
The layout is common knowledge, no standard: binary is 80 bytes of header, a count, and 50 bytes a
facet (normal, three corners, each three single-precision numbers; two spare bytes).
"""

import re
import struct
from decimal import Decimal
from pathlib import Path

import numpy as np

from gradevol.files.drawings.polygons import Polygons, join_corners
from gradevol.files.sniff import File, say_damaged
from gradevol.ground.arrays import FloatArray

_HEADER = 84
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
_WORD = re.compile(r"\S+")


def parse_stl(file: File) -> Polygons:
    """
    Parse the triangles of an STL file, binary or text; elevations are its third coordinate.

    Raises
    ------
    InputError
        If the file is damaged.
    """
    corners, steps = _parse_corners(file.read(), file.path)
    return join_corners(corners, np.full(len(corners) // 3, 3, np.intp), steps=steps)


def _parse_corners(content: bytes, path: Path) -> tuple[FloatArray, tuple[float, float, float]]:
    """Corners (3 t, 3) of the triangles, and the smallest difference of each axis."""
    count = struct.unpack_from("<I", content, 80)[0] if len(content) >= _HEADER else -1
    if len(content) == _HEADER + _FACET.itemsize * count:
        return _read_binary(content)
    if content.lstrip()[:5].lower() == b"solid" and b"\0" not in content:
        return _read_text(content, path)
    promised = f"{_HEADER + _FACET.itemsize * count:,} bytes for {count:,} triangles"
    raise say_damaged(
        "it is no STL: too short"
        if count < 0
        else f"it is no STL text, and as binary STL it would have {promised}, but it has "
        f"{len(content):,}",
        path,
    )


def _read_binary(content: bytes) -> tuple[FloatArray, tuple[float, float, float]]:
    """Corners, and the spacing of single precision at the largest coordinate of each axis."""
    corners = np.frombuffer(content, _FACET, offset=_HEADER)["corners"].reshape(-1, 3)
    with np.errstate(invalid="ignore"):  # a nan that signals is refused as any other
        exact = corners.astype(np.float64)
    largest = np.abs(corners).max(axis=0, initial=0)
    finite = np.where(np.isfinite(largest), largest, 0).astype(np.float32)
    east, north, up = np.spacing(finite).astype(float)
    return exact, (east, north, up)


def _read_text(content: bytes, path: Path) -> tuple[FloatArray, tuple[float, float, float]]:
    """Corners, and the worth of the last digit of numbers written with a power of ten."""
    corners: list[tuple[float, float, float]] = []
    steps = [0.0, 0.0, 0.0]
    n_facets = n_ends = 0
    keyword = ""
    for line, text in enumerate(content.decode("utf-8", "replace").splitlines(), start=1):
        words = _WORD.findall(text)
        if not words:
            continue
        keyword = words[0].lower()
        n_facets += keyword == "facet"
        if keyword == "endfacet":
            n_ends += 1
            if len(corners) != 3 * n_ends:
                raise say_damaged(f"facet {n_ends} has not three corners", path, line=line)
        if keyword != "vertex":
            continue
        try:
            east, north, up = map(float, words[1:])
        except ValueError as error:
            raise say_damaged(f"no corner in {text.strip()[:60]!r}", path, line=line) from error
        corners.append((east, north, up))
        steps = [max(step, _step(word)) for step, word in zip(steps, words[1:], strict=True)]
    if keyword != "endsolid" or n_facets != n_ends or len(corners) != 3 * n_ends:
        raise say_damaged(f"its text breaks off: {n_facets} facets begin and {n_ends} end", path)
    return np.array(corners, np.float64).reshape(-1, 3), (steps[0], steps[1], steps[2])


def _step(word: str) -> float:
    """Worth of the last digit of ``2.01235e+06``, 10; 0 for a number written out."""
    if "e" not in word.lower():
        return 0.0
    exponent = Decimal(word).as_tuple().exponent
    return 10.0**exponent if isinstance(exponent, int) and abs(exponent) < 300 else 0.0
