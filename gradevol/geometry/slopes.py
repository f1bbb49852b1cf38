"""Slopes of triangles, and the way that water runs on them."""

import numpy as np

from gradevol.ground.arrays import FloatArray

#: A triangle lower than this has no fall that rounding would leave standing, m.
_FLAT_SHAPE = 1e-6


def slopes_of(corners: FloatArray) -> FloatArray:
    """
    Slope of triangles.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Counter-clockwise in plan, m.

    Returns
    -------
    (t, 2) array of float
        Rise per run towards the east and the north; not a number for a triangle too thin to have
        a slope that rounding would leave standing.
    """
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    w = v - u
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    longest = np.maximum(
        np.maximum(np.hypot(*u[:, :2].T), np.hypot(*v[:, :2].T)), np.hypot(*w[:, :2].T)
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        east = (u[:, 2] * v[:, 1] - v[:, 2] * u[:, 1]) / twice
        north = (v[:, 2] * u[:, 0] - u[:, 2] * v[:, 0]) / twice
    is_thin = twice <= _FLAT_SHAPE * longest
    return np.where(is_thin[:, None], np.nan, np.stack([east, north], axis=1))


def bearing_of(slope: FloatArray) -> float:
    """Way that water runs on a slope (2,), degrees clockwise from north."""
    return float(np.degrees(np.arctan2(-slope[0], -slope[1])) % 360)
