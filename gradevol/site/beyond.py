"""Beyond the shots: what a surface is taken to be where nobody measured it."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.blends import Blend
from gradevol.geometry.covering import cover, find_overlap
from gradevol.geometry.nearest import (
    extend_rim,
    fill_gaps,
    find_nearest,
    nearest_level,
)
from gradevol.geometry.planes import level_in, shares_of_corners
from gradevol.geometry.prisms import plan_area, span_of_corners
from gradevol.geometry.profiles import cut_segments, places_on
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.site.surface import Surface

#: A top that bends less than this along a side of the rim is straight there, m.
_STRAIGHT = 1e-6


def extend_level(surface: Surface, outline: shapely.Geometry) -> Surface:
    """
    Hold a surface level beyond its rim, until it covers an outline.

    Parameters
    ----------
    surface : Surface
        As surveyed.
    outline : shapely polygon
        What must be covered, about the same origin, m.

    Returns
    -------
    Surface
        The same triangles and, flagged as not surveyed, those beyond: each place at the elevation
        of the nearest place on the surveyed surface.

    Raises
    ------
    GeometryError
        If faces from a file overlap in plan, or lie nowhere near the outline.
    """
    if surface.rim is not None:
        ring = surface.points[surface.rim, :2]
        if shapely.covers(shapely.Polygon(ring), outline):
            return surface
        west, south, east, north = shapely.total_bounds([outline, shapely.MultiPoint(ring)])
        reach = 1.1 * float(np.hypot(east - west, north - south))
        points, more, held = extend_rim(surface.points, surface.rim, reach)
        made = np.arange(len(surface.points), len(points))
        rests = Blend(made, held, np.ones(len(made)))
    else:
        step = float(np.sqrt(outline.area)) / 64
        is_near = _find_near(surface, outline)
        near = surface.corners[is_near]
        covered = cover(near)
        if abs(covered.area - plan_area(near).sum()) > 1e-6 * covered.area:
            at = find_overlap(near)
            raise GeometryError(
                "Faces of the surface overlap in plan: a base is one elevation at each place. "
                "Clean the surface, or give its points as shots.",
                place=None if at is None else (float(at[0]), float(at[1])),
            )
        beyond = fill_gaps(near, covered, outline, step=step)
        points = np.vstack([surface.points, beyond.reshape(-1, 3)])
        made = np.arange(len(surface.points), len(points))
        more = made.reshape(-1, 3)
        parent, foot = find_nearest(near, points[made, :2])
        rests = Blend(
            np.repeat(made, 3),
            surface.triangles[is_near][parent].ravel(),
            shares_of_corners(near[parent], foot[:, None]).ravel(),
        )
    return Surface(
        points,
        np.vstack([surface.triangles, more.astype(np.int32)]),
        np.concatenate([surface.is_surveyed, np.zeros(len(more), bool)]),
        rests=(*surface.rests, rests),
        delaunay=surface.delaunay,
    )


def hold_departure(bare: Surface, top: Surface, outline: shapely.Geometry) -> Surface:
    """
    Keep, beyond a surveyed base, the departure from the design that it has at its rim.

    Where the design is one thickness below the top, that is to keep the thickness: each place has
    that of the nearest place on the surveyed surface. A base that is graded to the drawing stays
    graded to it.

    Parameters
    ----------
    bare : Surface
        As surveyed.
    top : Surface
        The design top.
    outline : shapely polygon
        What must be covered, m.

    Raises
    ------
    GeometryError
        If faces from a file overlap in plan, or lie nowhere near the outline.
    """
    surface = extend_level(_bend_rim(bare, top, outline), outline)
    beyond = np.unique(surface.triangles[~surface.is_surveyed])
    if len(beyond) == 0:
        return surface
    foot = surface.points.copy()
    made = surface.rests[-1]  # each point beyond rests on the nearest place of the surface
    foot[np.unique(made.made), :2] = 0.0
    for axis in (0, 1):
        np.add.at(foot[:, axis], made.made, surface.points[made.of, axis] * made.share)
    held = np.zeros(len(surface.points))
    held[beyond] = nearest_level(top.corners, foot[beyond, :2]) - surface.points[beyond, 2]
    return replace(surface, held=held)


def _bend_rim(surface: Surface, top: Surface, outline: shapely.Geometry) -> Surface:
    """Part the sides of a rim where the top bends over them; the surface stays as it is."""
    ring = surface.rim
    if ring is None or shapely.covers(shapely.Polygon(surface.points[ring, :2]), outline):
        return surface
    ends = surface.points[ring], surface.points[np.roll(ring, -1)]
    side, at = _find_bends(top.corners, *ends)
    if len(at) == 0:
        return surface
    new = len(surface.points) + np.arange(len(at))
    start, end = (held[side] for held in ends)
    bends = Blend(
        np.repeat(new, 2),
        np.column_stack([ring[side], np.roll(ring, -1)[side]]).ravel(),
        np.column_stack([1 - at, at]).ravel(),
    )
    return replace(
        surface,
        points=np.vstack([surface.points, start + at[:, None] * (end - start)]),
        rim=np.insert(ring, side + 1, new),
        rests=(*surface.rests, bends),
    )


def _find_bends(
    corners: FloatArray, start: FloatArray, end: FloatArray
) -> tuple[IntArray, FloatArray]:
    """Sides, of (s, 3) starts and ends, over which triangles (t, 3, 3) bend; and where, shares."""
    side, triangle, share = cut_segments(corners, start[:, :2], end[:, :2])
    places = places_on(start[side, None], end[side, None], share)
    level = level_in(corners, triangle, places)
    slope = np.diff(level, axis=1)[:, 0] / np.diff(share, axis=1)[:, 0]
    inner, is_one = share[:-1, 1], side[1:] == side[:-1]
    turn = np.abs(np.diff(slope)) * np.minimum(inner, 1 - inner)
    is_bend = is_one & (turn > _STRAIGHT) & (inner > 1e-9) & (inner < 1 - 1e-9)
    side, at = side[:-1][is_bend], np.round(inner[is_bend], 12)
    order = np.lexsort((at, side))
    side, at = side[order], at[order]
    is_new = np.ones(len(at), bool)
    is_new[1:] = (np.diff(side) > 0) | (np.diff(at) > 0)
    return side[is_new], at[is_new]


def _find_near(surface: Surface, outline: shapely.Geometry) -> BoolArray:
    """Whether each triangle's box meets an outline's; refuses where none does."""
    corners = surface.corners
    west, south, east, north = outline.bounds
    low, high = span_of_corners(corners)
    is_near = (
        (high[:, 0] >= west) & (low[:, 0] <= east) & (high[:, 1] >= south) & (low[:, 1] <= north)
    )
    if not is_near.any():
        raise GeometryError("The surface and the slab do not meet: are both in one system?")
    return is_near
