"""Planes: through three points, by least squares, by fall and bearing; linear interpolation."""

import numpy as np

from gradevol.geometry.prisms import span_of_corners
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import GeometryError

#: Across a triangle lower than this rounding alone decides, m: coordinates hold some 1e-13.
_NEEDLE = 1e-6


def fit_plane(points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Plane through three points, or by least squares through more.

    Parameters
    ----------
    points : (n, 3) array of float
        Easting, northing, elevation, m.

    Returns
    -------
    coefficients : (3,) array of float
        c, a, b of ``z = c + a·e + b·n``.
    residuals : (n,) array of float
        Point less plane, m.

    Raises
    ------
    GeometryError
        If there are fewer than three points or they lie on one line in plan.
    """
    if len(points) < 3:
        raise GeometryError(f"{len(points)} points make no plane: it takes at least three.")
    middle = points.mean(axis=0)
    about = points - middle
    design = about[:, :2]
    spread = np.linalg.svd(design, compute_uv=False)
    if spread[-1] <= 1e-9 * max(spread[0], 1e-300):
        raise GeometryError("The points of the plane lie on one line: give one beside it.")
    slope = np.linalg.lstsq(design, about[:, 2], rcond=None)[0]
    constant = middle[2] - slope @ middle[:2]
    coefficients = np.array([constant, *slope])
    return coefficients, points[:, 2] - plane_level(coefficients, points[:, :2])


def plane_by_fall(through: FloatArray, fall: float, bearing: float) -> FloatArray:
    """
    Plane that falls towards a bearing.

    Parameters
    ----------
    through : (3,) array of float
        A point on it, m.
    fall : float
        Drop per run, ≥ 0.
    bearing : float
        Azimuth, degrees clockwise from north: the way water runs.

    Returns
    -------
    (3,) array of float
        c, a, b of ``z = c + a·e + b·n``.
    """
    azimuth = np.radians(bearing)
    slope = -fall * np.array([np.sin(azimuth), np.cos(azimuth)])
    return np.array([through[2] - slope @ through[:2], *slope])


def plane_level(coefficients: FloatArray, places: FloatArray) -> FloatArray:
    """Elevation of a plane (c, a, b) at places (..., 2), m."""
    return coefficients[0] + places[..., 0] * coefficients[1] + places[..., 1] * coefficients[2]


def shares_of_corners(triangles: FloatArray, places: FloatArray) -> FloatArray:
    """
    Barycentric coordinates of places in triangles, held to 0..1.

    Parameters
    ----------
    triangles : (n, 3, 2 or more) array of float
        Corners, m.
    places : (n, m, 2) array of float
        Places within them, m.

    Returns
    -------
    (n, m, 3) array of float
        Shares of the three corners; they add up to 1. Where a triangle has next to no area the
        shares are ill-determined, so they are held between 0 and 1: a place inside never takes a
        value beyond the corners'.
    """
    origin = triangles[:, None, 0, :2]
    u = triangles[:, None, 1, :2] - origin
    v = triangles[:, None, 2, :2] - origin
    w = places - origin
    twice = u[..., 0] * v[..., 1] - u[..., 1] * v[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        second = (w[..., 0] * v[..., 1] - w[..., 1] * v[..., 0]) / twice
        third = (u[..., 0] * w[..., 1] - u[..., 1] * w[..., 0]) / twice
    second = np.clip(np.nan_to_num(second, nan=1 / 3), 0, 1)
    third = np.clip(np.nan_to_num(third, nan=1 / 3), 0, 1 - second)
    return np.stack([1 - second - third, second, third], axis=-1)


def level_in(triangles: FloatArray, parent: IntArray, places: FloatArray) -> FloatArray:
    """
    Elevation at places, each within a triangle.

    Parameters
    ----------
    triangles : (t, 3, 3) array of float
        Corners with elevation, m.
    parent : (n,) array of int
        The triangle that holds each row of `places`.
    places : (n, m, 2) array of float
        Places, m.

    Returns
    -------
    (n, m) array of float
        Elevation, m.
    """
    if len(parent) < len(triangles):  # a few pieces of a large surface
        used, parent = np.unique(parent, return_inverse=True)
        triangles = triangles[used]
    u = triangles[:, 1] - triangles[:, 0]
    v = triangles[:, 2] - triangles[:, 0]
    twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    longest = np.sqrt(_squares_of_sides(triangles).max(axis=1))
    is_needle = np.abs(twice) < _NEEDLE * longest
    per_area = np.divide(1.0, twice, out=np.zeros_like(twice), where=~is_needle)
    by_east = (u[:, 2] * v[:, 1] - v[:, 2] * u[:, 1]) * per_area
    by_north = (v[:, 2] * u[:, 0] - u[:, 2] * v[:, 0]) * per_area
    # A place inside lies between its triangle's corners, however flat that triangle is.
    low, high = span_of_corners(triangles[..., 2])
    east = places[..., 0] - triangles[parent, 0, 0][:, None]
    north = places[..., 1] - triangles[parent, 0, 1][:, None]
    level = by_east[parent][:, None] * east + by_north[parent][:, None] * north
    level += triangles[parent, 0, 2][:, None]
    level = np.clip(level, low[parent][:, None], high[parent][:, None])
    if is_needle.any():
        held = is_needle[parent]
        level[held] = _level_along(triangles[parent[held]], places[held])
    return level


def _squares_of_sides(triangles: FloatArray) -> FloatArray:
    """Squared plan length of the side opposite each corner, (t, 3), m²."""
    after, before = np.roll(triangles, -1, axis=1), np.roll(triangles, 1, axis=1)
    return np.asarray(np.square(after[..., :2] - before[..., :2]).sum(axis=-1))


def _level_along(triangles: FloatArray, places: FloatArray) -> FloatArray:
    """
    Elevation at places (n, m, 2) in needles (n, 3, 3), from end to end by way of the third corner.

    Across a needle rounding alone decides; along it a place has its elevation to rounding.
    """
    third = np.argmax(_squares_of_sides(triangles), axis=1)
    rows = np.arange(len(triangles))
    middle, first, last = (triangles[rows, (third + step) % 3] for step in (0, 1, 2))
    along = (last - first)[:, :2]
    square = np.square(along).sum(axis=1)
    square[square == 0] = 1.0
    bend = (((middle - first)[:, :2] * along).sum(axis=1) / square).clip(0, 1)[:, None]
    share = ((places - first[:, None, :2]) * along[:, None]).sum(axis=-1) / square[:, None]
    share = share.clip(0, 1)
    low, mid, high = (corner[:, 2][:, None] for corner in (first, middle, last))
    before = low + (mid - low) * share / np.where(bend > 0, bend, 1.0)
    beyond = mid + (high - mid) * (share - bend) / np.where(bend < 1, 1 - bend, 1.0)
    return np.asarray(np.where(share < bend, before, beyond))
