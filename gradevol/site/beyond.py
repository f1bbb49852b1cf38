"""Beyond the shots: what a surface is taken to be where nobody measured it."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.blends import Blend
from gradevol.geometry.nearest import (
    cover,
    extend_rim,
    fill_gaps,
    find_nearest,
    nearest_level,
)
from gradevol.geometry.planes import level_in, shares_of_corners
from gradevol.geometry.prisms import plan_area, span_of_corners
from gradevol.geometry.profiles import cut_segment, places_on
from gradevol.ground.arrays import BoolArray, FloatArray
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
            raise GeometryError(
                "Faces of the surface overlap in plan: a base is one elevation at each place. "
                "Clean the surface, or give its points as shots."
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
        np.vstack([surface.triangles, more]),
        np.concatenate([surface.is_surveyed, np.zeros(len(more), bool)]),
        rests=(*surface.rests, rests),
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
    corners = top.corners
    made, of, share, around = [], [], [], []
    points = [surface.points]
    count = len(surface.points)
    for one, other in zip(ring.tolist(), np.roll(ring, -1).tolist(), strict=True):
        start, end = surface.points[one], surface.points[other]
        at = _bends_of(corners, start, end)
        points.append(start + at[:, None] * (end - start))
        new = np.arange(count, count + len(at))
        around += [one, *new.tolist()]
        made.append(np.repeat(new, 2))
        of.append(np.tile([one, other], len(at)))
        share.append(np.column_stack([1 - at, at]).ravel())
        count += len(at)
    if count == len(surface.points):
        return surface
    bends = Blend(np.concatenate(made), np.concatenate(of), np.concatenate(share))
    return replace(
        surface, points=np.vstack(points), rim=np.array(around), rests=(*surface.rests, bends)
    )


def _bends_of(corners: FloatArray, start: FloatArray, end: FloatArray) -> FloatArray:
    """Shares of the way from one place to another at which triangles (t, 3, 3) bend."""
    triangle, share = cut_segment(corners, start[:2], end[:2])
    if len(triangle) < 2:
        return np.empty(0)
    level = level_in(corners, triangle, places_on(start, end, share))
    inner, slope = share[:-1, 1], np.diff(level, axis=1)[:, 0] / np.diff(share, axis=1)[:, 0]
    turn = np.abs(np.diff(slope)) * np.minimum(inner, 1 - inner)
    is_bend = (turn > _STRAIGHT) & (inner > 1e-9) & (inner < 1 - 1e-9)
    return np.unique(np.round(inner[is_bend], 12))


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
