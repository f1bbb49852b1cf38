"""How far apart places stand: the largest circle about a place of an outline that holds none."""

import numpy as np
import shapely

from gradevol.geometry.cells import circles_of
from gradevol.geometry.neighbours import ask_nearest
from gradevol.geometry.triangulation import merge_places, triangulate
from gradevol.ground.arrays import FloatArray, IntArray, RowArray
from gradevol.ground.errors import GeometryError

#: More places than this are not looked at as a whole: it would take seconds.
_MOST = 200_000
#: How near the distance along an outline is found, m.
_CLOSE = 1e-7
#: In how many stretches an outline is looked at first.
_STRETCHES = 400
#: Triangles that are worked through at a time.
_AT_ONCE = 100_000
_FIRST, _LAST = slice(None, -1), slice(1, None)


def find_widest_gap(
    places: FloatArray, outline: shapely.Geometry, *, triangles: IntArray | RowArray | None = None
) -> float:
    """
    Diameter of the largest circle centred in an outline that holds no place.

    Parameters
    ----------
    places : (n, 2 or more) array of float
        Not all on one line, m.
    outline : shapely polygon
        The slab, m.
    triangles : (t, 3) array of int, optional
        A Delaunay triangulation of the places, where there is one: none stand together then.

    Returns
    -------
    float
        m. Such a circle goes through the corners of a Delaunay triangle, or it is centred on the
        outline.
    """
    plan = np.ascontiguousarray(places[:, :2])
    if triangles is None:
        label = merge_places(plan)
        plan = plan[np.unique(label, return_index=True)[1]]
        triangles = triangulate(plan).triangles
    parts = np.array_split(triangles, -(-len(triangles) // _AT_ONCE))
    circles = [circles_of(plan.take(part, axis=0)) for part in parts]
    centres, radii = (np.concatenate(held) for held in zip(*circles, strict=True))
    # the widest that is centred inside: most needn't be looked at
    within, many, left = 0.0, 1000, np.arange(len(radii))
    while len(left) and within == 0:
        rest = max(len(left) - many, 0)
        left = left[np.argpartition(radii[left], rest)]
        left, tried, many = left[:rest], left[rest:], 4 * many
        inside = shapely.contains_xy(outline, centres[tried, 0], centres[tried, 1])
        within = float(radii[tried[inside]].max(initial=0.0))
    return 2 * _reach_of_outline(plan, outline, within)


def find_empty_circle(places: FloatArray) -> tuple[FloatArray, float] | None:
    """
    Find the largest circle without a place in it whose centre lies among the places.

    Parameters
    ----------
    places : (n, 2) array of float
        Distinct places, about a local origin.

    Returns
    -------
    centre : (2,) array of float
    diameter : float
        None where the places lie on one line, or are too many.
    """
    if not 3 <= len(places) <= _MOST:
        return None
    try:
        mesh = triangulate(places)
    except GeometryError:
        return None
    centres, radii = circles_of(places[mesh.triangles])
    inside = shapely.contains_xy(shapely.MultiPoint(places).convex_hull, centres)
    if not inside.any():
        return None
    at = int(np.argmax(np.where(inside, radii, 0)))
    return centres[at], 2 * float(radii[at])


def _reach_of_outline(plan: FloatArray, outline: shapely.Geometry, least: float) -> float:
    """
    How far a place of an outline's border is from the nearest of the places, at most, m.

    Notes
    -----
    No distance grows faster than the way along the border. So a stretch can't hold a place farther
    than half the sum of its ends' distances and its length; those that may hold the farthest are
    halved until that is known.
    """
    reach_of = ask_nearest(plan)
    rings = shapely.get_parts(shapely.segmentize(outline.boundary, outline.length / _STRETCHES))
    ends = [shapely.get_coordinates(ring) for ring in rings]
    start, end = (np.concatenate([ring[cut] for ring in ends]) for cut in (_FIRST, _LAST))
    near, far = reach_of(start), reach_of(end)
    best = max(least, float(near.max()))
    while True:
        most = (near + far + np.hypot(*(end - start).T)) / 2
        held = most > best + _CLOSE
        if not held.any():
            return best
        start, end, near, far = start[held], end[held], near[held], far[held]
        middle = (start + end) / 2
        reach = reach_of(middle)
        best = max(best, float(reach.max()))
        start, end = np.concatenate([start, middle]), np.concatenate([middle, end])
        near, far = np.concatenate([near, reach]), np.concatenate([reach, far])
