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
#: Places of a rim nearer to each other than this are one, m: between them rounding would turn its
#: side.
_ONE_PLACE = 1e-6
#: A top is asked for its level so far before and behind a step, and one at a shot, as a share of
#: that: what lies nearer may be of either side.
_BESIDE, _BESIDE_SHOT = 0.75, 1.5


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
    bent, aside = _bend_rim(bare, top, outline)
    surface = extend_level(bent, outline)
    beyond = np.unique(surface.triangles[~surface.is_surveyed])
    if len(beyond) == 0:
        return surface
    asked = surface.points[:, :2].copy()
    asked[len(bare.points) : len(bent.points)] += aside
    foot = asked.copy()
    made = surface.rests[-1]  # each point beyond rests on the nearest place of the surface
    foot[np.unique(made.made)] = 0.0
    np.add.at(foot, made.made, asked[made.of] * made.share[:, None])
    held = np.zeros(len(surface.points))
    held[beyond] = nearest_level(top.corners, foot[beyond]) - surface.points[beyond, 2]
    return replace(surface, held=held)


def _bend_rim(
    surface: Surface, top: Surface, outline: shapely.Geometry
) -> tuple[Surface, FloatArray]:
    """
    Part the sides of a rim where the top bends, steps or ends over them; the surface is the same.

    There are two places in one there; beside the surface is how far off them the top's level is to
    be asked for, (n, 2), m.
    """
    ring = surface.rim
    if ring is None or shapely.covers(shapely.Polygon(surface.points[ring, :2]), outline):
        return surface, np.empty((0, 2))
    ends = surface.points[ring], surface.points[np.roll(ring, -1)]
    side, at, off = _find_bends(top.corners, *ends)
    new = len(surface.points) + np.arange(len(at))
    start, end = (held[side] for held in ends)
    along = end - start
    if len(at) == 0:
        return surface, along[:, :2]
    bends = Blend(
        np.repeat(new, 2),
        np.column_stack([ring[side], np.roll(ring, -1)[side]]).ravel(),
        np.column_stack([1 - at, at]).ravel(),
    )
    parted = replace(
        surface,
        points=np.vstack([surface.points, start + at[:, None] * along]),
        rim=np.insert(ring, side + 1, new),
        rests=(*surface.rests, bends),
    )
    return parted, off[:, None] * along[:, :2]


def _find_bends(
    corners: FloatArray, start: FloatArray, end: FloatArray
) -> tuple[IntArray, FloatArray, FloatArray]:
    """
    Where triangles (t, 3, 3) bend, step or end over sides (s, 3) from start to end: side and share.

    Each place stands twice, to be asked for before and behind it: so far off it, as shares.
    """
    side, triangle, share = cut_segments(corners, start[:, :2], end[:, :2])
    near = _ONE_PLACE / np.linalg.norm(end - start, axis=1)
    kept = np.diff(share)[:, 0] > near[side]  # less is what rounding has put across a step
    side, triangle, share = side[kept], triangle[kept], share[kept]
    near = near[side]
    places = places_on(start[side, None], end[side, None], share)
    level = level_in(corners, triangle, places)
    slope = np.diff(level, axis=1)[:, 0] / np.diff(share, axis=1)[:, 0]

    goes_on = np.zeros(len(side) + 1, bool)  # whether the top does from the part before to each
    goes_on[1:-1] = (side[1:] == side[:-1]) & (share[1:, 0] - share[:-1, 1] < 2 * near[1:])
    after = np.flatnonzero(goes_on)
    before, inner = after - 1, (share[after, 0] + share[after - 1, 1]) / 2
    turn = np.abs(slope[after] - slope[before]) * np.minimum(inner, 1 - inner)
    step = np.abs(level[after, 0] - level[before, 1])
    is_bend = np.maximum(turn, step) > _STRAIGHT
    first, last = np.flatnonzero(~goes_on[:-1]), np.flatnonzero(~goes_on[1:])
    row = np.concatenate([after[is_bend], first, last])
    at = np.concatenate([inner[is_bend], share[first, 0], share[last, 1]])

    # where it steps at a shot, that is one place with the end of one side and the start of the next
    left, met = np.full((2, len(start)), np.nan)
    is_at_end, is_at_start = share[last, 1] > 1 - 2 * near[last], share[first, 0] < 2 * near[first]
    left[side[last]] = np.where(is_at_end, level[last, 1], np.nan)
    met[side[first[::-1]]] = np.where(is_at_start, level[first, 0], np.nan)[::-1]
    (ended,) = np.nonzero(np.abs(left - np.roll(met, -1)) > _STRAIGHT)

    order = np.lexsort((at, side[row]))
    side, at, near = side[row][order], at[order], near[row][order]
    is_new = (at > near) & (at < 1 - near)
    is_new[1:] &= (np.diff(side) > 0) | (np.diff(at) > near[1:])
    both = np.tile([-1, 1], is_new.sum() + len(ended))
    side = np.concatenate(
        [np.repeat(side[is_new], 2), np.column_stack([ended, (ended + 1) % len(start)]).ravel()]
    )
    at = np.concatenate([np.repeat(at[is_new], 2), np.tile([1.0, 0.0], len(ended))])
    order = np.lexsort((at, side))
    beside = np.repeat([_BESIDE, _BESIDE_SHOT], [2 * is_new.sum(), 2 * len(ended)])
    off = beside * both * _ONE_PLACE / np.linalg.norm((end - start)[side], axis=1)
    return side[order], at[order], off[order]


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
