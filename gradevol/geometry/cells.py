"""Cells of a triangulation whose corners lie on one circle, as on a lattice."""

import numpy as np

from gradevol.geometry.groups import label_groups
from gradevol.geometry.triangulation import Triangulation
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray

#: Four points whose fourth is off the circle of the three by less than this lie on one circle, m.
#: Coordinates of ten millions carry 2e-9 m; a lattice that was staked carries millimetres.
ON_CIRCLE = 1e-6

_NO_EDGES = np.empty((0, 2), np.intp)


def find_cells(
    plan: FloatArray, mesh: Triangulation, edges: IntArray = _NO_EDGES
) -> tuple[IntArray, list[IntArray]]:
    """
    Cells whose corners lie on one circle: there a diagonal is a matter of chance.

    Parameters
    ----------
    plan : (n, 2) array of float
        Easting, northing, m.
    mesh : Triangulation
        A Delaunay triangulation of them.
    edges : (m, 2) array of int
        Kept edges, which no cell spans.

    Returns
    -------
    rest : (r, 3) array of int
        Triangles that belong to no cell.
    cells : list of (c, k) arrays of int
        Corners of the cells counter-clockwise, those of k corners together in one array.
    """
    triangles = mesh.triangles
    pairs = _pairs_on_circle(plan, mesh, edges)
    if len(pairs) == 0:
        return triangles, []
    label = label_groups(len(triangles), pairs)
    member, size = np.unique(label, return_counts=True)
    size_of = np.zeros(len(triangles), np.intp)
    size_of[member] = size
    rest = [triangles[size_of[label] == 1]]
    cells = []
    for count in np.unique(size[size > 1]):
        chosen = np.flatnonzero(size_of[label] == count)
        chosen = chosen[np.argsort(label[chosen], kind="stable")]
        parts = triangles[chosen].reshape(-1, count, 3)
        corners = _corners_around(plan, parts)
        is_cell = _is_convex(plan, corners)
        cells.append(corners[is_cell])
        rest.append(parts[~is_cell].reshape(-1, 3))
    return np.vstack(rest), [cell for cell in cells if len(cell)]


def _pairs_on_circle(plan: FloatArray, mesh: Triangulation, edges: IntArray) -> IntArray:
    """Neighbouring triangles whose four corners lie on one circle, no kept edge between: (m, 2)."""
    triangles = mesh.triangles
    centre, radius = _circle_of(plan[triangles])
    kept = np.sort(edges, axis=1) @ [len(plan), 1]
    pairs = []
    for side in range(3):
        owner = np.flatnonzero(mesh.beside[:, side] > np.arange(len(triangles)))
        across = mesh.beside[owner, side]
        start, end = triangles[owner, side], triangles[owner, (side + 1) % 3]
        corners = triangles[across]
        opposite = plan[corners[:, 0] + corners[:, 1] + corners[:, 2] - start - end]
        off = opposite - centre[owner]
        with np.errstate(invalid="ignore"):  # a flat triangle's circle is no number: not on it
            is_on = np.abs(np.sqrt(off[:, 0] ** 2 + off[:, 1] ** 2) - radius[owner]) <= ON_CIRCLE
        if len(kept) and is_on.any():
            key = np.minimum(start, end) * len(plan) + np.maximum(start, end)
            is_on &= ~np.isin(key, kept)
        pairs.append(np.column_stack([owner[is_on], across[is_on]]))
    return np.concatenate(pairs)


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


def _circle_of(corners: FloatArray) -> tuple[FloatArray, FloatArray]:
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
