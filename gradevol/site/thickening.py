"""Edge beams, grade beams and pads: their shape as drawn, and their volume."""

from functools import lru_cache

import numpy as np
import shapely

from gradevol.geometry.rings import polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.site.slab import Slab, Thickening

#: Slices of the sloping side; Simpson's rule over them is exact while the outline of a slice
#: changes as a mitred offset does, so only where it meets the slab's edge is there a remainder.
_SLICES = 16
#: A line this near to the slab's edge runs along it, m.
_AT_EDGE = 0.02


@lru_cache(maxsize=256)  # a check asks a hundred times for some thirty
def outline_at(thickening: Thickening, slab: Slab, *, out: float) -> shapely.Geometry:
    """
    Outline of a thickening, widened by `out` beyond its bottom, within the slab.

    Parameters
    ----------
    thickening : Thickening
    slab : Slab
    out : float
        Distance beyond the bottom's outline, m; the side's full run gives the outermost outline.

    Raises
    ------
    GeometryError
        If its outline crosses itself, or it follows a side that the slab has not.
    """
    if thickening.outline is not None:
        bottom = polygon(thickening.outline, what=f"The outline of {thickening.name}")
        shape = shapely.buffer(bottom, out, join_style="mitre", mitre_limit=10)
    else:
        shape = shapely.union_all(
            [_strip(line, slab, thickening.width, out) for line in lines_of(thickening, slab)]
        )
    return shapely.intersection(shape, slab.outline)


def lines_of(thickening: Thickening, slab: Slab) -> list[FloatArray]:
    """Lines that a thickening follows, (n, 2) each, m; neighbouring sides are joined into one."""
    if thickening.along is not None:
        return [thickening.along]
    if thickening.outline is not None:
        return []
    count = len(slab.paths)
    for side in thickening.sides:
        if not 1 <= side <= count:
            raise GeometryError(
                f"{thickening.name} follows side {side}; the slab's edge has sides 1 to {count}."
            )
    sides = [shapely.LineString(slab.paths[side - 1]) for side in thickening.sides]
    merged = shapely.line_merge(shapely.union_all(sides))
    return [shapely.get_coordinates(part) for part in shapely.get_parts(merged)]


def _strip(line: FloatArray, slab: Slab, width: float, out: float) -> shapely.Geometry:
    path = shapely.LineString(line)
    is_at_edge = path.within(shapely.LinearRing(slab.edge).buffer(_AT_EDGE))
    # At the edge the strip goes inwards only: its outer half is cut away with the slab's outline.
    reach = (width if is_at_edge else width / 2) + out
    if reach == 0:
        return path  # a taper from the line itself: its bottom has no width
    return shapely.buffer(path, reach, cap_style="flat", join_style="mitre", mitre_limit=10)


def volume_as_drawn(
    thickening: Thickening, slab: Slab, *, within: shapely.Geometry | None = None
) -> float:
    """
    Volume of a thickening below the slab's design underside, as drawn.

    Parameters
    ----------
    thickening : Thickening
    slab : Slab
    within : shapely geometry, optional
        The part of the slab that is asked for; all of it where left out.

    Returns
    -------
    float
        m³. The prismoidal formula over horizontal slices of its side: exact for straight runs and
        mitred corners.

    Raises
    ------
    GeometryError
        If it does not lie within the slab.
    """
    slices = slices_of(thickening, slab)
    if slices[-1][0].area <= 0:
        raise GeometryError(
            f"{thickening.name} does not lie within the slab, or has no width: check its place."
        )
    if within is not None:
        slices = [(shapely.intersection(outline, within), depth) for outline, depth in slices]
    return float(sum(outline.area * depth for outline, depth in slices))


def slices_of(thickening: Thickening, slab: Slab) -> list[tuple[shapely.Geometry, float]]:
    """Outlines of horizontal slices of a thickening, widest last, and the depth each stands for."""
    run = thickening.side_slope * thickening.depth
    if run <= 0:
        return [(outline_at(thickening, slab, out=0.0), thickening.depth)]
    weights = np.ones(_SLICES + 1)
    weights[1:-1:2], weights[2:-1:2] = 4, 2
    depths = weights * thickening.depth / (3 * _SLICES)
    return [
        (outline_at(thickening, slab, out=run * step / _SLICES), float(depth))
        for step, depth in enumerate(depths)
    ]


def extra_depth(thickening: Thickening, slab: Slab, places: FloatArray) -> FloatArray:
    """
    Depth of a thickening's drawn bottom below the slab's design underside.

    Parameters
    ----------
    thickening : Thickening
    slab : Slab
    places : (n, 2) array of float
        Where it is asked for, m.

    Returns
    -------
    (n,) array of float
        Depth, m; 0 outside the thickening.
    """
    points = shapely.points(places)
    off = shapely.distance(outline_at(thickening, slab, out=0.0), points)
    run = thickening.side_slope * thickening.depth
    if run <= 0:
        return np.where(off <= 0, thickening.depth, 0.0)
    return thickening.depth * np.clip(1 - off / run, 0, 1)


def shown_depth(slab: Slab, places: FloatArray) -> FloatArray:
    """Depth of what the shots show as it is below the design underside, at (n, 2) places, m."""
    depth = np.zeros(len(places))
    for part in slab.thickenings:
        if part.surveyed == "yes":
            depth += extra_depth(part, slab, places)
    return depth
