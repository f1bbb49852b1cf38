"""What triangles cover in plan, and where they lie over one another."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray


def cover(corners: FloatArray) -> shapely.Geometry:
    """
    Outline of what triangles cover in plan.

    Parameters
    ----------
    corners : (t, 3, 2 or more) array of float
        Triangles, m.

    Returns
    -------
    shapely polygon or multipolygon
        Its area is less than the triangles' where they overlap.
    """
    faces = shapely.polygons(corners[..., :2])
    try:
        covered = shapely.coverage_union_all(faces)  # quick, but only where corners meet corners
    except shapely.errors.GEOSException:
        return shapely.union_all(faces)
    return covered if covered.is_valid else shapely.union_all(faces)


def find_overlap(corners: FloatArray) -> FloatArray | None:
    """
    Find a place where triangles lie over one another in plan.

    Parameters
    ----------
    corners : (t, 3, 2 or more) array of float
        Triangles, m.

    Returns
    -------
    (2,) array of float or None
        Middle of one that lies within another too; None where they overlap elsewhere, or nowhere.
    """
    middles = corners[..., :2].mean(axis=1)
    tree = shapely.STRtree(shapely.polygons(corners[..., :2]))
    within, _ = tree.query(shapely.points(middles), predicate="within")
    twice = np.flatnonzero(np.bincount(within, minlength=len(middles)) > 1)
    return middles[twice[0]] if len(twice) else None
