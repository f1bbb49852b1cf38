"""How thick the slab comes out: mean, spread and extremes of a field's thickness."""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.places import first_by_place
from gradevol.geometry.prisms import integral, integral_of_square
from gradevol.measures.field import EQUAL, ThicknessField, each_piece, split_field


@dataclass(frozen=True, slots=True)
class Moments:
    """
    Thickness over the plan area, m: area-weighted, exact for the surface.

    Attributes
    ----------
    min_at, max_at : (float, float)
        Easting, northing.
    """

    mean: float
    sd: float
    min: float
    max: float
    min_at: tuple[float, float]
    max_at: tuple[float, float]


def measure_thickness(field: ThicknessField) -> Moments:
    """
    Mean, spread and extremes of the thickness.

    Returns
    -------
    Moments
        The spread is taken about the mean before it is squared, so thick slabs lose no digits. Of
        several places with the least or the greatest thickness one within the survey is named, of
        those the southernmost, then the westernmost: the order of the shots does not matter.
    """
    total = field.area.sum()
    mean = each_piece(field, lambda part: integral(part.area, part.thickness)).sum() / total
    parts = split_field(field)
    squares = sum(integral_of_square(part.area, part.thickness - mean).sum() for part in parts)
    least, least_at = _extreme(field, sign=-1)
    most, most_at = _extreme(field, sign=1)
    return Moments(
        mean=float(mean),
        sd=float(np.sqrt(squares / total)),
        min=least,
        max=most,
        min_at=least_at,
        max_at=most_at,
    )


def _extreme(field: ThicknessField, *, sign: int) -> tuple[float, tuple[float, float]]:
    """Least (-1) or greatest (1) thickness, m, and the first place by place that has it."""
    thickness = sign * field.thickness_at
    value = max(float(thickness[node].max()) for node in field.rows.T)
    has_it = (thickness >= value - EQUAL)[field.rows]
    is_seen = has_it & field.is_surveyed[:, np.newaxis]
    places = field.places[field.rows[is_seen if is_seen.any() else has_it]]
    east, north = places[first_by_place(places)]
    return sign * value, (float(east), float(north))
