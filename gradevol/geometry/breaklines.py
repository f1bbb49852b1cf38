"""Breaklines: edges a triangulation must keep, led through every point that stands on them."""

import numpy as np
import shapely

from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import FloatArray, IntArray


def split_edges(plan: FloatArray, edges: IntArray) -> IntArray:
    """
    Split edges at the points that stand on them, within `ONE_PLACE`.

    Without it a shot on a breakline, which rounding puts a hair to one side, would stand on a
    cliff as high as it lies off the line between the breakline's ends.

    Parameters
    ----------
    plan : (n, 2) array of float
        Easting, northing of distinct points, m.
    edges : (m, 2) array of int
        Pairs of points.

    Returns
    -------
    (k, 2) array of int
        The parts, each once, its lower number first; edges from a point to itself are gone.
    """
    edges = edges[edges[:, 0] != edges[:, 1]]
    if len(edges) == 0:
        return edges
    places = shapely.STRtree(shapely.points(plan))
    owner, point = places.query(
        shapely.linestrings(plan[edges]), predicate="dwithin", distance=ONE_PLACE
    )
    start, line = plan[edges[owner, 0]], plan[edges[owner, 1]] - plan[edges[owner, 0]]
    along = np.einsum("ij,ij->i", plan[point] - start, line) / np.einsum("ij,ij->i", line, line)
    is_end = (point == edges[owner, 0]) | (point == edges[owner, 1])
    is_on = is_end | ((along > 0) & (along < 1))
    owner, point, along = owner[is_on], point[is_on], along[is_on]
    order = np.lexsort([along, owner])
    owner, point = owner[order], point[order]
    is_joined = owner[:-1] == owner[1:]
    parts = np.column_stack([point[:-1][is_joined], point[1:][is_joined]])
    return np.unique(np.sort(parts, axis=1), axis=0)
