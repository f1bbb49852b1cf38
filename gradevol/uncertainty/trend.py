"""What a base does all over: a plane, and a strip along the forms that is low or high."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.quadrature import spread_nodes
from gradevol.ground.arrays import FloatArray

#: Width of the strip along the forms that plates and rollers do not reach, 2 ft, m. Common
#: practice, no source.
STRIP = 0.61
#: Standard deviation of how far the base is off at the forms, where it is at all, 0.6 in, and the
#: chance that it is. Common practice, no source.
AT_FORMS, AT_FORMS_CHANCE = 0.015, 0.5
#: In its place where the base is not off at the forms, m.
NOT_AT_FORMS = 1e-5
#: Standard deviation of the plane's fall over half the extent, in units of the process' own.
FALL = 2.0
#: Points of the outer quadrature: more change the variance by less than 0.1 %.
_NODES = 300


@dataclass(frozen=True, slots=True)
class Trend:
    """
    A level, a fall either way, and what is off at the forms, falling off over the strip.

    Attributes
    ----------
    middle : (2,) array of float
    half : float
        Middle of what holds shots and outline, and radius of the circle about it, m.
    outline, inner : shapely geometry
        And what of it lies well beyond the strip.
    nodes : (k, 2) array of float
    area_of : (k,) array of float
        Points and weights over the outline, m and m².
    whole : (4,) array of float
        Each function's integral over the outline.
    """

    middle: FloatArray
    half: float
    outline: shapely.Geometry
    inner: shapely.Geometry
    nodes: FloatArray
    area_of: FloatArray
    whole: FloatArray

    def at(self, plan: FloatArray) -> FloatArray:
        """Give the functions at places (m, 2): (m, 4)."""
        strip = np.clip(1 - self.measure_from_forms(plan) / STRIP, 0, 1)
        return np.column_stack([np.ones(len(plan)), (plan - self.middle) / self.half, strip])

    def measure_from_forms(self, plan: FloatArray) -> FloatArray:
        """Distance of places (m, 2) from the forms, (m,), m; infinite well beyond the strip."""
        is_near = ~shapely.contains_xy(self.inner, *plan.T)
        away = np.full(len(plan), np.inf)
        away[is_near] = shapely.distance(self.outline.boundary, shapely.points(plan[is_near]))
        return away


def build_trend(places: FloatArray, outline: shapely.Geometry) -> Trend:
    """Build the trend of shots (n, 2) over an outline, m."""
    # a circle's, not a box's: coordinates may be turned
    hull = shapely.union(outline.convex_hull, shapely.MultiPoint(places).convex_hull).convex_hull
    middle = np.array(hull.centroid.coords[0])
    half = float(shapely.minimum_bounding_radius(hull))
    nodes, area_of = spread_nodes(outline, count=_NODES)
    # area nearer to the forms than a distance is quadratic in it, so Simpson's rule is exact
    near = [outline.area - outline.buffer(-STRIP * by, join_style="mitre").area for by in (0.5, 1)]
    fall = area_of @ ((nodes - middle) / half)
    whole = np.array([outline.area, *fall, (4 * near[0] + near[1]) / 6])
    inner = outline.buffer(-1.5 * STRIP)
    shapely.prepare(inner)
    return Trend(middle, half, outline, inner, nodes, area_of, whole)
