"""Rings in plan: signed area, and rings as shapely polygons."""

import numpy as np
import shapely

from gradevol.geometry.curves import SAGITTA
from gradevol.ground.arrays import AnyArray, FloatArray
from gradevol.ground.errors import GeometryError


def ring_area(ring: FloatArray) -> float:
    """Signed plan area of a ring (m, 2), m²: positive counter-clockwise."""
    east, north = (ring - ring[0]).T  # the first corner is the origin: two products are nought
    return float(np.sum(east[:-1] * north[1:] - east[1:] * north[:-1]) / 2)


def open_ring(ring: FloatArray) -> FloatArray:
    """Drop corners (m, 2) that the next one repeats, the closing one too; the first stays first."""
    return ring[(ring != np.roll(ring, -1, axis=0)).any(axis=1)]


def circle(centre: FloatArray, diameter: float) -> FloatArray:
    """
    Ring of chords of a circle, within `SAGITTA` of it and of the circle's own area.

    Parameters
    ----------
    centre : (2,) array of float
        Easting, northing, m.
    diameter : float
        Diameter, m.

    Returns
    -------
    (m, 2) array of float
        Counter-clockwise corners. They stand a little outside the circle, so that the polygon has
        the circle's area exactly: m/2 r'² sin(2π/m) = π r².
    """
    radius = diameter / 2
    step = np.arccos(max(1 - SAGITTA / radius, 0.5))
    count = max(16, int(np.ceil(np.pi / step)))
    angle = 2 * np.pi * np.arange(count) / count
    outer = radius * np.sqrt(2 * np.pi / count / np.sin(2 * np.pi / count))
    return centre + outer * np.column_stack([np.cos(angle), np.sin(angle)])


def polygon(ring: FloatArray, *, what: str) -> shapely.Polygon:
    """
    Make a polygon of a ring, refusing one that crosses itself.

    Parameters
    ----------
    ring : (m, 2) array of float
        Corners, m.
    what : str
        What the ring is, for the message.

    Raises
    ------
    GeometryError
        If it has fewer than three corners, no area, or crosses itself; it says where.
    """
    if len(ring) < 3:
        raise GeometryError(f"{what} has {len(ring)} corners: it takes at least three.")
    made = shapely.Polygon(ring)
    if not made.is_valid:
        reason, _, where = shapely.is_valid_reason(made).partition("[")
        east, _, north = where.rstrip("]").partition(" ")
        raise GeometryError(
            f"{what} is not a plain outline ({reason.strip().lower()}): list its corners in order "
            "around it, each once.",
            place=(float(east), float(north)) if where else None,
        )
    if made.area <= 0:
        raise GeometryError(f"{what} has no area: check its corners.")
    return made


def polygons_of(area: shapely.Geometry) -> AnyArray:
    """Polygons of which an area is made; lines and points where two of them met are left out."""
    parts = shapely.get_parts(area)
    return parts[shapely.get_type_id(parts) == shapely.GeometryType.POLYGON]


def triangulate_polygon(area: shapely.Geometry) -> FloatArray:
    """
    Triangles of a polygon or several, using no corners but its own.

    Parameters
    ----------
    area : shapely polygon or multipolygon, or array of them
        Valid; may have holes.

    Returns
    -------
    (k, 3, 2) array of float
        Corners, counter-clockwise; they tile the polygon.
    """
    parts = [part for part in polygons_of(area) if part.area > 0]
    faces = shapely.get_parts(shapely.constrained_delaunay_triangles(parts))
    corners = shapely.get_coordinates(faces).reshape(-1, 4, 2)[:, :3].copy()
    along, off = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    is_clockwise = along[:, 0] * off[:, 1] < along[:, 1] * off[:, 0]
    corners[is_clockwise] = corners[is_clockwise][:, ::-1]
    return corners
