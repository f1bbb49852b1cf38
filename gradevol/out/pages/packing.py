"""Numbers packed for a page: whole numbers, little-endian, in base64."""

import json
from base64 import b64encode
from collections.abc import Mapping
from typing import Any

import numpy as np

from gradevol.answer.drawing.field import DrawnField
from gradevol.answer.drawing.sampling import sample
from gradevol.answer.rounding import LENGTH
from gradevol.ground.arrays import AnyArray, FloatArray, IntArray, at_a_time, number_rows
from gradevol.ground.errors import InputError

#: Units of the packed numbers, m. Plan: far below what a finger can touch. Elevation and
#: thickness: an eighth of an inch is a whole number of them, so no flat slab reads an eighth less.
PLAN, LEVEL = 1e-5, 1e-6
#: So many times as large are they where numbers would not fit 32 bits: 3175 micrometres, an eighth
#: of an inch, is a whole number of each.
_COARSER = (1, 5, 25, 127, 635, 3175)
_MOST = 2**31 - 1
#: Pieces of a field that a page holds as they are; of more, it holds a grid.
MOST_PIECES = 20_000
#: Cells of that grid, about.
MOST_CELLS = 200_000
#: A cell without concrete, in the grid.
_OUTSIDE = -32_768
_RANGE = 32_000


def choose_unit(unit: float, *values: FloatArray) -> float:
    """
    Choose the unit of packed numbers: that given, or a coarser one in which the largest fits.

    Raises
    ------
    InputError
        If none does: a page without its numbers would be blank.
    """
    largest = max((float(np.abs(held).max(initial=0.0)) for held in values), default=0.0)
    for times in _COARSER:
        if largest / (times * unit) < _MOST:
            return times * unit
    raise InputError(
        f"a number of {largest:.3g} m is too large to be drawn",
        remedy="Look for a slip of the decimal point or the exponent in the shots and the top",
    )


def pack_field(
    field: DrawnField, *, most: int = MOST_PIECES, plan: float = PLAN, level: float = LEVEL
) -> dict[str, Any]:
    """
    Pack what a page reads the thickness from.

    Parameters
    ----------
    field : DrawnField
    most : int
        Most pieces that are packed as they are.
    plan, level : float
        Units of the packed numbers (`choose_unit`), m.

    Returns
    -------
    dict
        ``kind`` is ``exact``: corners (easting, northing, thickness, base) and triangles of the
        field itself, so that a place reads as the figures do; ``triangles`` counts those of the
        base. Or ``grid``: thickness and base at the middles of square cells.
    """
    if len(field.rows) <= most:
        return _pack_pieces(field, plan, level)
    return _pack_grid(field)


def _pack_pieces(field: DrawnField, plan: float, level: float) -> dict[str, Any]:
    heights = np.stack([field.thickness, field.base], axis=-1) / level
    packed = np.concatenate([field.corners / plan, heights], axis=-1)
    rows = np.round(packed).astype("<i4").reshape(-1, 4)
    nodes, faces = number_rows(rows)
    wide = len(nodes) > np.iinfo(np.uint16).max
    return {
        "kind": "exact",
        "nodes": encode(nodes),
        "faces": encode(faces.astype("<u4" if wide else "<u2")),
        "wide": wide,
        "flags": encode(_flags(field)),
        "triangles": len(np.unique(field.parent)),
    }


def _flags(field: DrawnField) -> AnyArray:
    """1 where the base was surveyed, 2 within a thickening that was shot."""
    return (field.is_surveyed + 2 * field.is_trench).astype(np.uint8)


def _pack_grid(field: DrawnField) -> dict[str, Any]:
    cell = float(np.sqrt(np.prod([np.ptp(at) for at in field.places.T]) / MOST_CELLS))
    held = _near_middles(field, cell)
    number = np.repeat(np.arange(len(held), dtype=float)[:, None], 3, axis=1)
    image = sample(field.places[field.rows[held]], number, cell=cell)
    row, column = np.nonzero(np.isfinite(image.thickness))
    piece = held[np.rint(image.thickness[row, column]).astype(np.intp)]
    places = np.column_stack([image.west + (column + 0.5) * cell, image.south + (row + 0.5) * cell])
    corners_of = field.rows[piece]
    share = _shares(field.places[corners_of], places)
    flags = np.zeros(image.thickness.shape, np.uint8)
    flags[row, column] = _flags(field)[piece]
    rows, columns = image.thickness.shape
    packed = {"kind": "grid", "cell": cell, "rows": rows, "columns": columns}
    packed |= {"west": image.west, "south": image.south, "flags": encode(flags)}
    for name, values in (("thickness", field.thickness_at), ("base", field.base_at)):
        found = (values[corners_of] * share).sum(axis=1)
        least = float(found.min())
        # finer than can be measured, and coarser only where it would not fit
        unit = max(1e-4, float(np.ptp(found)) / _RANGE)
        grid = np.full((rows, columns), _OUTSIDE, "<i2")
        grid[row, column] = np.rint((found - least) / unit)
        packed[name] = {"least": least, "unit": unit, "values": encode(grid)}
    return packed


def _near_middles(field: DrawnField, cell: float) -> IntArray:
    """Pieces whose box holds the middle of a cell, and those that the grid is counted from."""
    is_held = np.ones(len(field.rows), bool)
    for at in field.places.T:
        off = at - at.min()
        for some in at_a_time(len(field.rows)):
            at_corners = off.take(field.rows[some].T)
            first = np.ceil(at_corners.min(axis=0) / cell - 0.5 - 1e-9)
            is_held[some] &= first <= np.floor(at_corners.max(axis=0) / cell - 0.5 + 1e-9)
    ends = [end(at) for at in field.places.T for end in (np.argmin, np.argmax)]
    is_held |= np.isin(field.rows, ends).any(axis=1)
    return np.flatnonzero(is_held)


def _shares(corners: FloatArray, places: FloatArray) -> FloatArray:
    """Weights of the corners (n, 3, 2) that make places (n, 2), (n, 3), within the triangle."""
    one, other = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    off = places - corners[:, 0]
    twice = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    twice = np.where(np.abs(twice) > 0, twice, np.inf)  # a piece without area: any corner will do
    second = (off[:, 0] * other[:, 1] - off[:, 1] * other[:, 0]) / twice
    third = (one[:, 0] * off[:, 1] - one[:, 1] * off[:, 0]) / twice
    shares = np.clip(np.column_stack([1 - second - third, second, third]), 0, 1)
    return np.asarray(shares / shares.sum(axis=1, keepdims=True))


def round_places(places: FloatArray) -> list[list[float]]:
    """Places (n, 2), m, as lists of numbers without needless digits."""
    return [[round(x, LENGTH) for x in place] for place in places.tolist()]


def encode(values: AnyArray) -> str:
    """Encode the bytes of an array in base64."""
    return b64encode(np.ascontiguousarray(values).tobytes()).decode("ascii")


def embed(data: Mapping[str, Any]) -> str:
    """Data as JSON that can't end the element that holds it."""
    text = json.dumps(data, separators=(",", ":"), ensure_ascii=True, allow_nan=False)
    return text.replace("<", "\\u003c").replace(">", "\\u003e").replace("&", "\\u0026")
