"""Meshes of a result in the job's own coordinates and unit, for files that other programs read."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.answer.rounding import LENGTH
from gradevol.geometry.prisms import plan_area
from gradevol.ground.arrays import FloatArray, IntArray, number_rows
from gradevol.ground.units import METRES
from gradevol.measures.body import build_closed

#: Rings that touch may cross by their rounding, in any unit.
_TOUCH = 1e-5


@dataclass(frozen=True, slots=True)
class Mesh:
    """
    Points and triangles, as they are written.

    Attributes
    ----------
    points : (p, 3) array of float
        Easting, northing, elevation in the job's unit of length, rounded as every number of the
        result is.
    triangles : (t, 3) array of int
        Rows of `points`, counter-clockwise seen from above, or from outside a body; every point
        is a corner of one.
    thickness : (p,) array of float or None
        Of the concrete above each point, in the same unit; None where it is not known.
    """

    points: FloatArray
    triangles: IntArray
    thickness: FloatArray | None = None


def put_places(places: FloatArray, result: Result) -> FloatArray:
    """Places (..., 2 or 3), m, in the job's own coordinates and unit, rounded as its numbers."""
    metres = METRES[result.units.length]
    placed = (places + result.survey.origin[: places.shape[-1]]) / metres
    return np.round(placed, LENGTH) + 0.0  # no number reads -0.0


def mesh_base(result: Result) -> Mesh:
    """
    Mesh the base as surveyed: all of it, also beyond the slab, but nothing that is assumed.

    The surface is the one that the volume rests on. Trench shots of a thickening stand in it at
    the slab's underside, raised by the thickening's drawn depth.

    Raises
    ------
    ValueError
        If the result was made without its base.
    """
    if result.base is None:
        raise ValueError("this result does not hold the surface of its base")
    kept = result.base.triangles[result.base.is_surveyed]
    points = put_places(result.base.points, result)
    _, number = number_rows(points)
    first = np.empty(len(points), np.intp)
    first[number[::-1]] = np.arange(len(points))[::-1]  # points keep their order, as shots have it
    return Mesh(*_leave_wide(points, first[number[kept]]))


def mesh_top(result: Result) -> Mesh:
    """Mesh the design top over the slab."""
    surface = result.top.surface
    points, triangles = _join(put_places(surface.corners, result))
    return Mesh(points, triangles)


def mesh_slab(result: Result) -> Mesh:
    """Mesh the base under the slab, also where it is assumed, with the thickness there."""
    field = result.field
    corners = put_places(np.dstack([field.corners, field.base]), result)
    thickness = np.round(field.thickness / METRES[result.units.length], LENGTH) + 0.0
    points, triangles = _join(np.dstack([corners, thickness]))
    return Mesh(points[:, :3].copy(), triangles, points[:, 3].copy())


def mesh_body(result: Result, *, is_single: bool = False) -> Mesh | None:
    """
    Mesh the body of the slab: the concrete between base and top as one closed solid.

    Parameters
    ----------
    result : Result
    is_single : bool
        Whether the file holds single precision, about `find_origin`.

    Returns
    -------
    Mesh or None
        Points that the file's digits would make one are one, so that it is closed as written.
        None where there is no concrete.
    """
    field, metres = result.field, METRES[result.units.length]
    apart = 10.0**-LENGTH
    if is_single:  # of 24 bits; in metres or another unit alike
        spread = np.ptp(field.corners.reshape(-1, 2), axis=0).max() / metres
        apart += float(spread + 1) * 2.0**-23
    body = build_closed(field, step=2 * apart * metres)
    return Mesh(put_places(body.vertices, result), body.faces) if len(body.faces) else None


def _join(corners: FloatArray) -> tuple[FloatArray, IntArray]:
    """Rows that are alike become one; triangles that rounding has made lines are left out."""
    points, rows = number_rows(corners.reshape(-1, corners.shape[-1]))
    return _leave_wide(points, rows.reshape(-1, 3))


def _leave_wide(points: FloatArray, triangles: IntArray) -> tuple[FloatArray, IntArray]:
    """Leave triangles that are more than lines, and the points that they use."""
    triangles = triangles[plan_area(points[triangles][..., :2]) > 0]
    used, rows = np.unique(triangles, return_inverse=True)
    return points[used], rows.reshape(-1, 3)


def nest_rings(rings: tuple[FloatArray, ...]) -> list[list[FloatArray]]:
    """
    Put the holes of an outline with the rings that hold them.

    Parameters
    ----------
    rings : tuple of (n, 2) arrays of float
        Outer rings counter-clockwise, holes clockwise, in any unit.

    Returns
    -------
    list of list of (n, 2) arrays of float
        Of each polygon the outer ring and its holes, as they were given; one that touches or
        crosses itself, as outlines through the noise of a cloud do, in parts that don't.
    """
    polygons = [[ring] for ring in rings if shapely.is_ccw(shapely.LinearRing(ring))]
    shapes = [shapely.Polygon(outer) for (outer,) in polygons]
    for ring in rings:
        hole = shapely.Polygon(ring)
        if shapes and not shapely.is_ccw(hole.exterior):
            # of rings one within the other, the smallest that holds it; they may touch
            holds = [shape.buffer(_TOUCH).covers(hole) for shape in shapes]
            order = [(not held, shape.area) for held, shape in zip(holds, shapes, strict=True)]
            polygons[order.index(min(order))].append(ring)
    return [rings for polygon in polygons for rings in _untangle(polygon)]


def _untangle(polygon: list[FloatArray]) -> list[list[FloatArray]]:
    """Split a polygon that touches or crosses itself into parts that don't."""
    outer, *holes = polygon
    area = shapely.Polygon(outer, holes)
    if area.is_valid:
        return [polygon]
    sound = shapely.make_valid(area, method="structure", keep_collapsed=False)
    return [
        [
            np.round(shapely.get_coordinates(ring)[:-1], LENGTH) + 0.0
            for ring in shapely.get_rings(part)
        ]
        for part in shapely.get_parts(shapely.orient_polygons(sound))
        if part.area > 0
    ]


def find_origin(mesh: Mesh) -> FloatArray:
    """Whole units near a mesh's middle, (3,): what is taken off for single precision."""
    return np.round((mesh.points.min(axis=0) + mesh.points.max(axis=0)) / 2) + 0.0
