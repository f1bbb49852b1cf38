"""Outlines of fewer corners, for work that grows with them and does not need each."""

import numpy as np
import shapely

#: The first tolerance, m: an arc is kept to it, so that a side of many short chords goes first.
_FIRST = 0.001
#: Nothing is coarsened by more than this share of the outline's width.
_WIDEST = 1 / 16
#: So many times as many corners as are wanted: they are not simplified before holes are filled.
_MANY = 10


def coarsen(area: shapely.Geometry, *, most: int) -> shapely.Geometry:
    """
    Take corners off an outline until it has no more than so many.

    Parameters
    ----------
    area : shapely polygon or multipolygon
        m; may have holes.
    most : int
        Corners that are no trouble.

    Returns
    -------
    shapely polygon or multipolygon
        The outline itself where it has no more; else sides moved, and holes and parts left out,
        by a tolerance that is doubled until it is enough. The whole without holes at the last.
    """
    tolerance, widest = _FIRST, _WIDEST * float(np.sqrt(area.area))
    coarse = area
    while shapely.get_num_coordinates(coarse) > most and tolerance < widest:
        tolerance *= 2
        kept = [_fill(part, tolerance) for part in shapely.get_parts(area)]
        kept = [part for part in kept if part.area > tolerance**2]
        coarse = shapely.union_all(kept)
        if shapely.get_num_coordinates(coarse) <= _MANY * most:  # simplifying more takes minutes
            coarse = shapely.simplify(coarse, tolerance)
    return coarse if shapely.get_num_coordinates(coarse) <= most else area.convex_hull


def _fill(part: shapely.Polygon, width: float) -> shapely.Polygon:
    """Fill the holes of a polygon that are smaller than a square of some width."""
    holes = [ring for ring in part.interiors if shapely.Polygon(ring).area > width**2]
    return shapely.Polygon(part.exterior, holes)
