"""The relief: what the map of thickness is coloured by, and the lines upon it."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.drawing.bands import Bands
from gradevol.answer.drawing.sampling import average, faces_between, sample
from gradevol.answer.drawing.slab import rings_of
from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import area_above, trace_level
from gradevol.measures.spots import Spots

#: Room for a map beside or above its key on letter paper, in: only the means hang on it.
_MAPS = ((6.0, 5.28), (3.5, 7.78), (8.5, 2.2))
#: Triangles smaller than this on paper make lines that can't be read: means are drawn, in.
_LEAST_TRIANGLE = 0.05
#: Side of the squares of those means, in, and samples along it.
_MEAN_OVER, _SAMPLES = 0.1, 16
#: Lines through means with fewer corners than this are a square's noise.
_FEWEST_CORNERS = 7


@dataclass(frozen=True, slots=True)
class Relief:
    """
    The thickness as a map shows it, about the survey's origin, m.

    Attributes
    ----------
    corners : (k, 3, 2) array of float
        Triangles: the field's own, or those between means where its own are too small to be seen.
    thickness : (k, 3) array of float
        At their corners.
    square : float or None
        Side of the squares of the means; None where the field's own triangles are drawn.
    levels : tuple of tuple of (n, 2) arrays of float
        Lines of each level of the bands, longest first.
    design, high, low : tuple of (n, 2) arrays of float
        Lines of the design thickness, and around what is beyond the tolerances.
    thin : tuple of tuple of (n, 2) arrays of float
        Rings of each thin place, none closed.
    """

    corners: FloatArray
    thickness: FloatArray
    square: float | None
    levels: tuple[tuple[FloatArray, ...], ...]
    design: tuple[FloatArray, ...]
    high: tuple[FloatArray, ...]
    low: tuple[FloatArray, ...]
    thin: tuple[tuple[FloatArray, ...], ...]


def draw_relief(result: Result, bands: Bands) -> Relief:
    """Draw up the relief, of means where the triangles are too small to be seen."""
    field, slab = result.field, result.slab
    width, height = np.ptp(slab.edge, axis=0).tolist()
    scale = max(min(wide / width, high / height) for wide, high in _MAPS)
    is_fine = np.sqrt(slab.area / len(field.area)) * scale < _LEAST_TRIANGLE
    square = _MEAN_OVER / scale if is_fine else None
    corners, thickness = field.corners, field.thickness
    if square is not None:
        image = sample(corners, thickness, cell=square / _SAMPLES)
        corners, thickness = faces_between(average(image, _SAMPLES))

    def lines(level: float) -> tuple[FloatArray, ...]:
        return trace_level(corners, thickness, level)

    def lines_around(spots: Spots | None, limit: float) -> tuple[FloatArray, ...]:
        if spots is None:
            return ()
        if square is not None:
            return tuple(line for line in lines(limit) if len(line) >= _FEWEST_CORNERS)
        return tuple(np.vstack([ring, ring[:1]]) for spot in spots.listed for ring in spot.rings)

    thin = tuple(spot.rings for spot in result.thin.listed)
    if square is not None:
        under = area_above(corners, -thickness, -slab.least_thickness)
        thin = (rings_of(shapely.intersection(under, slab.outline)),)
    return Relief(
        corners=corners,
        thickness=thickness,
        square=square,
        levels=tuple(map(lines, bands.levels.tolist())),
        design=lines(slab.thickness),
        high=lines_around(result.high, slab.thickness - (slab.base_high or 0.0)),
        low=lines_around(result.low, slab.thickness + (slab.base_low or 0.0)),
        thin=tuple(rings for rings in thin if rings),
    )
