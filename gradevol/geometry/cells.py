"""Cells of a triangulation whose corners lie on one circle, or nearly, as on a lattice."""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.groups import label_groups
from gradevol.geometry.triangulation import Triangulation
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, at_a_time

#: Points that are off a circle by less than this lie on it, m: coordinates of ten millions carry
#: 2e-9 m.
ON_CIRCLE = 1e-6
#: Up to here the diagonal of four points counts for more the farther they are off one circle, m:
#: a lattice that was staked, turned or rounded carries millimetres.
NEAR_CIRCLE = 0.01

_NO_EDGES = np.empty((0, 2), np.intp)


@dataclass(frozen=True, slots=True)
class Cells:
    """
    A triangulation parted into triangles, and cells where a diagonal is a matter of chance.

    Attributes
    ----------
    rest : (r, 3) array of int
        Triangles that belong to no cell.
    quads : (q, 4) array of int
        Corners of cells of two triangles, counter-clockwise, the first and third on the diagonal.
    chance : (q,) array of float
        How far that diagonal is one of two as good: 1 on one circle, 0 at `NEAR_CIRCLE` off it.
    rounds : list of (c, k) arrays of int
        Corners of cells of more triangles on one circle, those of k corners together.
    """

    rest: IntArray
    quads: IntArray
    chance: FloatArray
    rounds: list[IntArray]


def find_cells(plan: FloatArray, mesh: Triangulation, edges: IntArray = _NO_EDGES) -> Cells:
    """
    Find cells whose corners lie on one circle, or nearly: there a diagonal is a matter of chance.

    Parameters
    ----------
    plan : (n, 2) array of float
        Easting, northing, m.
    mesh : Triangulation
        A Delaunay triangulation of them.
    edges : (m, 2) array of int
        Kept edges, which no cell spans.
    """
    triangles = mesh.triangles
    pairs, off = _pairs_near_circle(plan, mesh, edges)
    label = label_groups(len(triangles), pairs[off <= ON_CIRCLE])
    size = np.bincount(label, minlength=len(triangles))[label]
    is_free = size <= 2
    rounds = []
    for count in np.unique(size[~is_free]):
        chosen = np.flatnonzero(size == count)
        chosen = chosen[np.argsort(label[chosen], kind="stable")]
        corners = _corners_around(plan, triangles[chosen].reshape(-1, count, 3))
        is_cell = _is_convex(plan, corners)
        rounds.append(corners[is_cell])
        is_free[chosen] = np.repeat(~is_cell, count)
    quads, chance, is_of_quad = _match(plan, triangles, pairs, off, is_free)
    held = [cell for cell in rounds if len(cell)]
    return Cells(triangles[is_free & ~is_of_quad], quads, chance, held)


def _match(
    plan: FloatArray, triangles: IntArray, pairs: IntArray, off: FloatArray, is_free: BoolArray
) -> tuple[IntArray, FloatArray, BoolArray]:
    """Pairs of free triangles that lie nearest to one circle with each other, as quads."""
    is_both = is_free[pairs].all(axis=1)
    pairs, off = pairs[is_both], off[is_both]
    least = np.full(len(triangles), np.inf)
    np.minimum.at(least, pairs.ravel(), np.repeat(off, 2))
    is_best = (off[:, None] <= least[pairs] + ON_CIRCLE).all(axis=1)
    pairs, off = pairs[is_best], off[is_best]
    once = np.bincount(pairs.ravel(), minlength=len(triangles)) == 1
    is_sole = once[pairs].all(axis=1)  # of several as near none is the best
    pairs, off = pairs[is_sole], off[is_sole]
    first, second = triangles[pairs[:, 0]], triangles[pairs[:, 1]]
    is_lone = ~(first[:, :, None] == second[:, None, :]).any(axis=2)
    side = is_lone.argmax(axis=1)
    rows = np.arange(len(first))
    apex, start, end = (first[rows, (side + step) % 3] for step in (0, 1, 2))
    quads = np.column_stack([start, second.sum(axis=1) - start - end, end, apex])
    is_quad = _is_convex(plan, quads)
    is_of_quad = np.zeros(len(triangles), bool)
    is_of_quad[pairs[is_quad]] = True
    return quads[is_quad], 1 - off[is_quad] / NEAR_CIRCLE, is_of_quad


def _pairs_near_circle(
    plan: FloatArray, mesh: Triangulation, edges: IntArray
) -> tuple[IntArray, FloatArray]:
    """Neighbours no kept edge parts, (m, 2), and how far their corners are off one circle, m."""
    triangles = mesh.triangles
    centre, radius = np.empty((len(triangles), 2)), np.empty(len(triangles))
    for part in at_a_time(len(triangles)):
        centre[part], radius[part] = circles_of(plan.take(triangles[part], axis=0))
    kept = np.sort(edges, axis=1) @ [len(plan), 1]
    total = triangles[:, 0] + triangles[:, 1] + triangles[:, 2]

    def measure_off(circle: IntArray, corner: IntArray) -> FloatArray:
        away = plan.take(corner, axis=0) - centre.take(circle, axis=0)
        with np.errstate(invalid="ignore"):
            gap = np.abs(np.sqrt(away[:, 0] ** 2 + away[:, 1] ** 2) - radius.take(circle))
        # a flat triangle's circle is no number: not on it
        return np.where(np.isfinite(gap), gap, np.inf)

    pairs, offs = [], []
    for side in range(3):
        owner = np.flatnonzero(mesh.beside[:, side] > np.arange(len(triangles)))
        across = mesh.beside[owner, side]
        start, end, near = (triangles[owner, (side + step) % 3] for step in range(3))
        off = measure_off(owner, total[across] - start - end)
        some = np.flatnonzero(off < NEAR_CIRCLE)  # few, so that the other circle is asked of few
        owner, across, start, end = owner[some], across[some], start[some], end[some]
        off = np.maximum(off[some], measure_off(across, near[some]))
        is_near = off < NEAR_CIRCLE
        if len(kept) and is_near.any():
            key = np.minimum(start, end).astype(np.int64) * len(plan) + np.maximum(start, end)
            is_near &= ~np.isin(key, kept)
        pairs.append(np.column_stack([owner[is_near], across[is_near]]))
        offs.append(off[is_near])
    return np.concatenate(pairs), np.concatenate(offs)


def _corners_around(plan: FloatArray, parts: IntArray) -> IntArray:
    """Corners of cells of t triangles (c, t, 3), each once, by angle: (c, t + 2)."""
    every = np.sort(parts.reshape(len(parts), -1), axis=1)
    is_first = np.ones(every.shape, bool)
    is_first[:, 1:] = every[:, 1:] != every[:, :-1]
    corners_count = parts.shape[1] + 2
    is_simple = is_first.sum(axis=1) == corners_count
    corners = np.full((len(parts), corners_count), -1)
    corners[is_simple] = every[is_simple][is_first[is_simple]].reshape(-1, corners_count)
    corners[~is_simple] = every[~is_simple][:, :corners_count]
    middle = plan[corners].mean(axis=1, keepdims=True)
    off = plan[corners] - middle
    order = np.argsort(np.arctan2(off[..., 1], off[..., 0]), axis=1)
    return np.take_along_axis(corners, order, axis=1)


def _is_convex(plan: FloatArray, corners: IntArray) -> BoolArray:
    """Whether (c, k) corners make a convex cell whose fan about the middle is all real area."""
    around = plan[corners]
    along = np.roll(around, -1, axis=1) - around
    onward = np.roll(along, -1, axis=1)
    turn = along[..., 0] * onward[..., 1] - along[..., 1] * onward[..., 0]
    longest = (along**2).sum(axis=2).max(axis=1)
    is_distinct = np.diff(np.sort(corners, axis=1), axis=1).all(axis=1)
    return (turn > 1e-12 * longest[:, None]).all(axis=1) & is_distinct


def circles_of(corners: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Centre (n, 2) and radius (n,) of the circles through (n, 3, 2) corners, m."""
    u = corners[:, 1] - corners[:, 0]
    v = corners[:, 2] - corners[:, 0]
    twice = 2 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
    uu, vv = u[:, 0] ** 2 + u[:, 1] ** 2, v[:, 0] ** 2 + v[:, 1] ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.column_stack(
            [(v[:, 1] * uu - u[:, 1] * vv) / twice, (u[:, 0] * vv - v[:, 0] * uu) / twice]
        )
    return corners[:, 0] + off, np.hypot(*off.T)
