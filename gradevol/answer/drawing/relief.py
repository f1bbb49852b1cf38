"""The relief: what the map of thickness is coloured by, and the lines upon it."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely

from gradevol.answer.drawing.bands import Bands
from gradevol.answer.drawing.sampling import average, faces_between, sample_nodes
from gradevol.answer.drawing.slab import rings_of
from gradevol.answer.result import Result
from gradevol.geometry.rings import ring_area
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import area_above, trace_level
from gradevol.measures.overlaid import outline_trenches
from gradevol.measures.spots import Spots
from gradevol.site.slab import Slab

#: Room for a map beside or above its key on letter paper, in: only the means hang on it.
_MAPS = ((6.0, 5.28), (3.5, 7.78), (8.5, 2.2))
#: Lines through the noise of dense shots can't be read, so means are drawn: over squares of this
#: side on paper, in, and of a walk over smaller ones, this many to the root of its area, or its
#: places would be lost in them.
_MEAN_OVER, _ACROSS = 0.1, 40
#: Triangles of the base smaller than this share of such a square are noise; samples along it.
_LEAST_TRIANGLE, _SAMPLES = 0.5, 16
#: Of the places of each kind, their rings.
Places: TypeAlias = tuple[tuple[FloatArray, ...], ...]
#: Rings through means with fewer corners than this are a square's noise.
_FEWEST_CORNERS = 7
#: Of a base graded to the drawing the line of the design thickness winds through noise all over:
#: through means it is drawn where it takes in such a share of the slab, or crosses it; and not at
#: all where it would be so many times as long as the slab's outline.
_LEAST_WITHIN, _MOST_ROUND = 0.01, 3.0


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
    design : tuple of (n, 2) arrays of float
        Lines of the design thickness.
    thin, high, low : tuple of tuple of (n, 2) arrays of float
        Rings of each place that is too thin, too high and too low, none closed.
    """

    corners: FloatArray
    thickness: FloatArray
    square: float | None
    levels: tuple[tuple[FloatArray, ...], ...]
    design: tuple[FloatArray, ...]
    thin: tuple[tuple[FloatArray, ...], ...]
    high: tuple[tuple[FloatArray, ...], ...]
    low: tuple[tuple[FloatArray, ...], ...]


def draw_relief(result: Result, bands: Bands) -> Relief:
    """Draw up the relief, of means where the base's triangles are too small to be seen."""
    field, slab = result.field, result.slab
    width, height = np.ptp(slab.edge, axis=0).tolist()
    scale = max(min(wide / width, high / height) for wide, high in _MAPS)
    over = min(_MEAN_OVER / scale, float(np.sqrt(slab.area)) / _ACROSS)
    triangle = np.sqrt(slab.area / np.count_nonzero(np.bincount(field.parent)))
    square = over if triangle < _LEAST_TRIANGLE * over else None
    if square is None:
        corners, thickness = field.corners, field.thickness
    else:
        fine = square / _SAMPLES
        image = sample_nodes(field.places, field.thickness_at, field.rows, cell=fine)
        corners, thickness = faces_between(average(image, _SAMPLES))

    def lines(level: float) -> tuple[FloatArray, ...]:
        return trace_level(corners, thickness, level)

    trenches = outline_trenches(slab)
    ground = slab.outline if trenches is None else shapely.difference(slab.outline, trenches)

    def places_of(
        spots: Spots | None, limit: float, side: int, fewest: int, within: shapely.Geometry
    ) -> Places:
        """Places on one side of a limit: 1 thicker, -1 thinner."""
        if spots is None:
            return ()
        if square is None:
            return tuple(spot.rings for spot in spots.listed)
        beyond = area_above(corners, side * thickness, side * limit)
        rings = rings_of(shapely.intersection(beyond, within))
        kept = tuple(ring for ring in rings if len(ring) >= fewest)
        return (kept,) if kept else ()

    highest = slab.thickness - (slab.base_high or 0.0)
    lowest = slab.thickness + (slab.base_low or 0.0)
    design = lines(slab.thickness)
    return Relief(
        corners=corners,
        thickness=thickness,
        square=square,
        levels=tuple(map(lines, bands.levels.tolist())),
        design=design if square is None else _drop_noise(design, slab),
        thin=places_of(result.thin, slab.least_thickness, -1, 0, slab.outline),
        high=places_of(result.high, highest, -1, _FEWEST_CORNERS, ground),
        low=places_of(result.low, lowest, 1, _FEWEST_CORNERS, ground),
    )


def _drop_noise(lines: tuple[FloatArray, ...], slab: Slab) -> tuple[FloatArray, ...]:
    """Lines that take in a good part of the slab, by themselves or with a chord, or cross it."""
    least = _LEAST_WITHIN * slab.area
    across = 4 * np.sqrt(least)
    kept = tuple(
        line
        for line in lines
        if abs(ring_area(line)) >= least or np.hypot(*(line[-1] - line[0])) >= across
    )
    length = sum(float(np.hypot(*np.diff(line, axis=0).T).sum()) for line in kept)
    return kept if length <= _MOST_ROUND * slab.outline.length else ()
