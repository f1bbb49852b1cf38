"""The body of the slab: the solid between base and top as one closed mesh."""

from dataclasses import dataclass, replace
from itertools import chain

import numpy as np

from gradevol.geometry.loops import Loops, find_lone, share_corners, weld
from gradevol.geometry.nodes import number_used
from gradevol.geometry.prisms import plan_area, span_of_corners
from gradevol.geometry.skins import close_skin
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, number_rows
from gradevol.measures.field import ThicknessField

#: Corners and levels that differ by no more than this are one, m: rounding, and nothing else.
STEP = 1e-9


@dataclass(frozen=True, slots=True)
class Body:
    """
    A closed mesh.

    Attributes
    ----------
    vertices : (v, 3) array of float
        Easting, northing, elevation about the field's origin, m.
    faces : (f, 3) array of int
        Rows of `vertices`, counter-clockwise seen from without; each edge belongs to two
        (`close_skin` knows the exception).
    """

    vertices: FloatArray
    faces: IntArray

    def __post_init__(self) -> None:
        self.vertices.setflags(write=False)
        self.faces.setflags(write=False)


def build_body(field: ThicknessField, *, step: float = STEP) -> Body:
    """
    Build the body of the concrete over a base.

    Parameters
    ----------
    field : ThicknessField
    step : float
        Coordinates are put on whole multiples of this, m, before the body is closed: what a file
        of fewer digits would make one is one already. At least `STEP`.

    Returns
    -------
    Body
        Where the thickness is positive, with walls along the slab's edge, its openings, steps of
        the base or top, and nothing where the base stands above the top. A vertex lies within a
        few steps of where the field has it.
    """
    used, number = number_used(field.rows, len(field.places))
    corner = number[field.rows.ravel()]
    base, thickness = field.base_at[used], field.thickness_at[used]
    levels = np.column_stack([base + thickness, base]).take(corner, axis=0)
    place, where = weld(field.places[used], within=STEP)
    place = place[corner]
    loops = Loops(np.repeat(np.arange(len(field.area)), 3), place, levels).at(place)
    loops = loops.keep(np.repeat(_is_wide(where.take(loops.place.reshape(-1, 3), axis=0)), 3))
    loops = share_corners(loops, where, within=STEP)
    grid, number = number_rows(np.rint(where / step))
    loops = _set_levels(loops.at(number[loops.place]), len(grid), step)
    loops, grid = _clip(loops, grid)
    vertices, faces = close_skin(loops, grid)
    return Body(step * vertices, faces)


def close_plain(field: ThicknessField) -> Body:
    """
    Close the body of pieces that are thicker than nought all over, by the nodes that they share.

    Far quicker than `build_body`, and the same body where neighbours share their nodes. Where they
    don't, each has a wall of its own there: these stand back to back.
    """
    used, number = number_used(field.rows, len(field.places))
    rows = number[field.rows]
    lone = find_lone(rows)
    start, end = rows.ravel()[lone], np.roll(rows, -1, axis=1).ravel()[lone]
    base, places = field.base_at[used], field.places.take(used, axis=0)
    level = np.concatenate([base + field.thickness_at[used], base])
    under = np.int32(len(base))  # nodes of the base follow those of the top
    faces = [
        rows,
        rows[:, ::-1] + under,
        np.column_stack([start + under, end + under, end]),
        np.column_stack([start + under, end, start]),
    ]
    return Body(np.column_stack([np.tile(places, (2, 1)), level]), np.concatenate(faces))


def build_closed(field: ThicknessField, *, step: float) -> Body:
    """
    Build the body on a grid on which it is closed: slivers that rounding folds up may touch.

    Parameters
    ----------
    field : ThicknessField
    step : float
        The finest grid, m; it is doubled up to three times where an edge there is that of more
        faces than two.

    Returns
    -------
    Body
        On the finest grid where none does: parts that touch along a line by themselves.
    """
    bodies = (build_body(field, step=times * step) for times in (1, 2, 4, 8))
    finest = next(bodies)
    return next(filter(_is_closed, chain([finest], bodies)), finest)


def _is_closed(body: Body) -> bool:
    """Whether each edge is that of two faces where vertices at one place are one."""
    _, place = number_rows(body.vertices)
    faces = place[body.faces]
    low, high = (
        np.sort(np.stack([faces, np.roll(faces, -1, axis=1)], axis=2), axis=2).reshape(-1, 2).T
    )
    _, count = np.unique(low * (place.max(initial=0) + 1) + high, return_counts=True)
    return bool((count == 2).all())


def _is_wide(plan: FloatArray) -> BoolArray:
    """Whether triangles (n, 3, 2) are more than a line that rounding has bent."""
    sides = plan - np.roll(plan, -1, axis=1)
    longest = span_of_corners(np.hypot(sides[..., 0], sides[..., 1]))[1]
    return 2 * plan_area(plan) > STEP * longest


def _set_levels(loops: Loops, count: int, step: float) -> Loops:
    """
    Levels of top and base in whole steps, one for what is one at each of `count` places.

    Where the thickness is nought it becomes a step less: concrete that runs out along a line with
    more beyond it would touch itself there.
    """
    values = np.empty_like(loops.value)
    for column, level in enumerate(loops.value.T):
        low, high = np.full(count, np.inf), np.full(count, -np.inf)
        np.minimum.at(low, loops.place, level)
        np.maximum.at(high, loops.place, level)
        is_one = (high - low <= STEP)[loops.place]  # else the surface has a step there
        values[:, column] = np.rint(np.where(is_one, low[loops.place], level) / step)
    values[:, 1] += values[:, 0] == values[:, 1]
    return replace(loops, value=values)


def _clip(loops: Loops, grid: FloatArray) -> tuple[Loops, FloatArray]:
    """Leave what is thicker than nought; new corners stand where base and top meet."""
    thickness = loops.value[:, 0] - loops.value[:, 1]
    is_filled, after = thickness > 0, loops.after
    if is_filled.all():
        return loops, grid
    side = np.flatnonzero(is_filled != is_filled[after])
    at, top, along = _find_cuts(loops, grid, thickness, side)
    filled = np.where(is_filled[side], side, after[side])
    is_apart = (at != grid[loops.place[filled]]).any(axis=1)  # else that corner serves
    side, at, top, along = side[is_apart], at[is_apart], top[is_apart], along[is_apart]
    made = len(grid) + np.arange(len(side))
    # a neighbour whose levels are others has the corner too, so that the two share their sides
    twin = loops.find_twins()[side]
    also = np.flatnonzero((twin >= 0) & ~_is_met(at, side, twin, len(after)))
    over, back = twin[also], 1 - along[also]
    levels = _between(loops.value, over, after[over], back)

    marked = replace(loops, value=np.column_stack([loops.value, is_filled])).insert(
        np.concatenate([side, over]),
        np.concatenate([along, back]),
        np.concatenate([made, made[also]]),
        np.concatenate(
            [
                np.column_stack([top, top, np.ones(len(side))]),
                np.column_stack([levels, levels[:, 0] > levels[:, 1]]),
            ]
        ),
    )
    kept = marked.keep(marked.value[:, 2] > 0)
    grid, number = number_rows(np.concatenate([grid, at]))
    kept = kept.at(number[kept.place])
    return replace(kept, value=kept.value[:, :2]), grid


def _find_cuts(
    loops: Loops, grid: FloatArray, thickness: FloatArray, side: IntArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Where some sides lose their thickness: place (n, 2) and level (n, 1), share of the side."""
    after = loops.after
    is_back = loops.place[side] > loops.place[after[side]]  # both neighbours reckon one way
    one, other = np.where(is_back, [after[side], side], [side, after[side]])
    share = thickness[one] / (thickness[one] - thickness[other])
    at = _between(grid[loops.place], one, other, share)
    top = _between(loops.value[:, :1], one, other, share)
    return at, top, np.where(is_back, 1 - share, share)


def _between(value: FloatArray, one: IntArray, other: IntArray, share: FloatArray) -> FloatArray:
    """Whole steps between rows of values (n, v), a share of the way from one to another."""
    return np.rint(value[one] + share[:, None] * (value[other] - value[one]))


def _is_met(at: FloatArray, side: IntArray, twin: IntArray, count: int) -> BoolArray:
    """Whether the twin of each side is cut where the side is."""
    cut = np.full(count, -1)
    cut[side] = np.arange(len(side))
    there = cut[twin]
    return (there >= 0) & (at[there] == at).all(axis=1)
