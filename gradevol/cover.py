"""Cover: the concrete that stands over a conduit or another item cast in."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from gradevol._types import FloatArray, IntArray
from gradevol.geometry.planes import shares_of_corners
from gradevol.geometry.profiles import cut_segment, places_on
from gradevol.slab import Slab, Void
from gradevol.thickness import ThicknessField

#: A piece with a smaller share of the line is rounding.
_HAIR = 1e-12


@dataclass(frozen=True, slots=True)
class Cover:
    """
    Concrete over one item along its line.

    Attributes
    ----------
    name : str
    least : float
        Least cover within the slab, m.
    at : (float, float)
        Where: easting, northing about the job's origin, m.
    required : float or None
        What must stand over it, m; None where none is stated.
    length : float
        Length of the line within the slab, m.
    short : float
        Length on which the cover is less than required, m.
    """

    name: str
    least: float
    at: tuple[float, float]
    required: float | None
    length: float
    short: float


def measure_cover(field: ThicknessField, slab: Slab) -> tuple[Cover, ...]:
    """
    Measure the cover over every void that has a line.

    Parameters
    ----------
    field : ThicknessField
    slab : Slab

    Returns
    -------
    tuple of Cover
        Exact along the line: cover is linear between the places where it enters a new piece.
        An item whose line carries no elevation lies on the base.
    """
    return tuple(
        cover
        for part in slab.voids
        if part.line is not None and (cover := _along(part, part.line, field)) is not None
    )


def _along(part: Void, line: FloatArray, field: ThicknessField) -> Cover | None:
    height = part.diameter or 0.0
    pieces = []
    for start, end in pairwise(line):
        piece, share = _once(*cut_segment(field.corners, start[:2], end[:2]))
        places = places_on(start, end, share)
        weights = shares_of_corners(field.corners[piece], places)
        thickness = np.einsum("nmc,nc->nm", weights, field.thickness[piece])
        if line.shape[1] == 3:
            base = np.einsum("nmc,nc->nm", weights, field.base[piece])
            axis = start[2] + share * (end[2] - start[2])
            over = base + thickness - (axis + height / 2)
        else:
            over = thickness - height
        length = (share[:, 1] - share[:, 0]) * np.hypot(*(end - start)[:2])
        pieces.append((over, places, length))
    over, places, length = (np.concatenate(part) for part in zip(*pieces, strict=True))
    if len(over) == 0:
        return None
    # among equals the first along the line, whatever the order of the shots
    least = tuple(np.argwhere(over <= over.min() + 1e-9)[0])
    east, north = places[least]
    short = 0.0
    if part.least_cover is not None:
        spare = over - part.least_cover
        low, high = spare.min(axis=1), spare.max(axis=1)
        with np.errstate(divide="ignore", invalid="ignore"):
            under = np.where(high <= 0, low < 0, np.where(low >= 0, 0.0, low / (low - high)))
        short = float((under * length).sum())
    return Cover(
        name=part.name,
        least=float(over[least]),
        at=(float(east), float(north)),
        required=part.least_cover,
        length=float(length.sum()),
        short=short,
    )


def _once(piece: IntArray, share: FloatArray) -> tuple[IntArray, FloatArray]:
    """Leave out what earlier pieces hold: a line along a side lies in both pieces beside it."""
    reached = np.concatenate([[0.0], np.maximum.accumulate(share[:, 1])])[: len(share)]
    share = np.column_stack([np.maximum(share[:, 0], reached), share[:, 1]])
    is_new = share[:, 1] - share[:, 0] > _HAIR
    return piece[is_new], share[is_new]
