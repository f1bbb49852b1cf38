"""Delaunay triangulation in plan, constrained edges kept."""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.groups import label_groups
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import ring_area
from gradevol.ground.arrays import FloatArray, IntArray, RowArray, count_up, order_by
from gradevol.ground.errors import GeometryError
from gradevol.ground.memory import MANY, give_back
from gradevol.ground.notes import Kind, Measure
from gradevol.ground.waiting import wait_for

#: Two points nearer than this in plan are one, m: a contract of the job file.
ONE_PLACE = 0.001
#: Squares that can be numbered, about: whole numbers have 63 bits.
_MOST_SQUARES = 2.0**60
#: A triangle at the rim lower than this is a line of shots that rounding has bent, m.
FLAT = 1e-7

_NO_EDGES = np.empty((0, 2), np.intp)


def merge_places(plan: FloatArray) -> IntArray:
    """
    Group points that stand at one place.

    Parameters
    ----------
    plan : (n, 2) array of float
        Easting, northing, m.

    Returns
    -------
    (n,) array of int
        Number of the place of each point, 0, 1, ... in the order of each place's first point.
        Points within `ONE_PLACE` belong together; a chain of such points is one place.
    """
    # Points within reach of each other stand in the same square of that side or in squares
    # that touch, so only those pairs are looked at.
    east, north = (((at - at.min()) / ONE_PLACE).astype(np.int64) for at in plan.T)
    if float(east.max()) * float(north.max()) > _MOST_SQUARES:  # a stray shot is far off both ways
        east, north = _close_up(east), _close_up(north)
    span = int(north.max()) + 3
    key = east * span + north
    order = order_by(key)
    ordered = key.take(order)
    pairs = [_pairs_within(ordered, *steps) for steps in ((0, 1), (span - 1, span + 1))]
    first, second = order[np.concatenate(pairs, axis=1)]
    is_one = np.hypot(*(plan[first] - plan[second]).T) <= ONE_PLACE
    if not is_one.any():
        return np.arange(len(plan))
    label = label_groups(len(plan), np.column_stack([first[is_one], second[is_one]]))
    # a group is named by its least member, so these stand in order
    return (np.cumsum(label == np.arange(len(label))) - 1)[label]


def _close_up(line: IntArray) -> IntArray:
    """Number lines of squares anew: those that touch still do, and others are two apart."""
    held, which = np.unique(line, return_inverse=True)
    return np.cumsum(np.minimum(np.diff(held, prepend=held[0]), 2))[which]


def _pairs_within(ordered: IntArray, least: int, most: int) -> IntArray:
    """Pairs (2, m) of rows of sorted square numbers, the second so much greater than the first."""
    index = np.arange(len(ordered))
    low = index + 1 if least == 0 else np.searchsorted(ordered, ordered + least, side="left")
    low_held = np.minimum(low, len(ordered) - 1)
    has_any = (low < len(ordered)) & (ordered[low_held] <= ordered + most)
    first, low = index[has_any], low[has_any]
    count = np.searchsorted(ordered, ordered[first] + most, side="right") - low
    owner, second = count_up(low, count)
    return np.stack([first[owner], second])


@dataclass(frozen=True, slots=True)
class Triangulation:
    """
    Triangles and what lies beside them.

    Attributes
    ----------
    triangles : (t, 3) array of int
        Corners, counter-clockwise.
    beside : (t, 3) array of int
        The triangle across the side from corner i to corner i + 1; -1 at the rim.
    """

    triangles: RowArray
    beside: RowArray

    def without(self, dropped: IntArray) -> "Triangulation":
        """Return what is left when some triangles are taken away."""
        number = np.zeros(len(self.triangles) + 1, np.int32)
        number[dropped] = -1
        is_kept = number[:-1] == 0
        number[:-1][is_kept] = np.arange(is_kept.sum())
        number[-1] = -1  # beside = -1 stays -1
        return Triangulation(self.triangles[is_kept], number[self.beside[is_kept]])


def triangulate(plan: FloatArray, edges: IntArray = _NO_EDGES) -> Triangulation:
    """
    Delaunay triangulation of distinct points, with edges kept.

    Parameters
    ----------
    plan : (n, 2) array of float
        Easting, northing about a local origin, m.
    edges : (m, 2) array of int
        Pairs of points that must be joined; they may meet at points but not cross.

    Returns
    -------
    Triangulation
        Triangles that tile the convex hull.

    Raises
    ------
    GeometryError
        If all points lie on one line, or kept edges cross.
    """
    if len(plan) < 3:
        places = "one place" if len(plan) == 1 else f"{len(plan)} places"
        raise GeometryError(
            f"All shots stand at {places} in plan, and a surface needs three at least: check the "
            "columns of easting and northing, and the unit (degrees are none)."
        )
    vertices, beside = wait_for(lambda: _join(plan, edges))
    if len(plan) > MANY:
        give_back()  # what joining so many took, in small pieces
    made = _peel(plan, Triangulation(vertices, beside), edges)
    if len(made.triangles) == 0:
        raise GeometryError("All shots lie on one line: a surface needs shots on both sides of it.")
    made = _make_convex(plan, made)
    is_used = np.zeros(len(plan), bool)
    is_used[made.triangles] = True
    within = ring_area(plan[find_rim(made)])
    tiled = float(plan_area(plan.take(made.triangles, axis=0)).sum())
    lost = int((~is_used).sum())
    if abs(tiled - within) > 1e-9 * within or lost:
        raise GeometryError(
            f"The triangles cover {{}} of {{}} and leave out {lost} points: the triangulation "
            "failed on these points; please report them."
        ).measuring(Measure(tiled, Kind.EXACT_AREA), Measure(within, Kind.EXACT_AREA))
    return made


def _join(plan: FloatArray, edges: IntArray) -> tuple[RowArray, RowArray]:
    """Triangles between points, and what lies beside each: far corners' slivers among them."""
    import pythoncdt as cdt  # noqa: PLC0415

    mesh = cdt.Triangulation(
        cdt.VertexInsertionOrder.AUTO, cdt.IntersectingConstraintEdges.NOT_ALLOWED, 0.0
    )
    # numpy's arrays are buffers, which its types say from Python 3.12 on only
    try:
        mesh.insert_vertices(np.ascontiguousarray(plan, dtype=np.float64))  # type: ignore[call-overload]
    except RuntimeError as error:
        raise GeometryError(
            f"No surface could be made of the {len(plan)} places: two of them are one ({error}). "
            "Take out the shots that stand twice, and report this, for it should not happen."
        ) from error
    if len(edges):
        try:
            mesh.insert_edges(np.ascontiguousarray(edges, dtype=np.uint32))  # type: ignore[call-overload]
        except RuntimeError as error:
            raise GeometryError(
                "Two breaklines cross, so that no surface holds both: give them a common point "
                "where they meet."
            ) from error
    mesh.erase_super_triangle()
    raw = mesh.triangles_array()
    beside = raw["neighbors"].astype(np.int32)
    beside[raw["neighbors"] == cdt.NO_NEIGHBOR] = -1
    return raw["vertices"].astype(np.int32), beside


def find_beside(triangles: IntArray) -> RowArray:
    """
    Triangles beside each side, as `Triangulation.beside` has them.

    Parameters
    ----------
    triangles : (t, 3) array of int
        Corners, counter-clockwise; a side may belong to two triangles at most.

    Returns
    -------
    (t, 3) array of int
        The triangle across each side; -1 at the rim.
    """
    held = triangles.astype(np.int64)  # products of two rows
    sides = np.stack([held, np.roll(held, -1, axis=1)], axis=2).reshape(-1, 2)
    span = int(triangles.max()) + 1 if len(triangles) else 1
    key = sides[:, 0] * span + sides[:, 1]
    back = sides[:, 1] * span + sides[:, 0]
    order = np.argsort(key)
    at = np.minimum(np.searchsorted(key[order], back), max(len(key) - 1, 0))
    found = order[at]
    return np.where(key[found] == back, found // 3, -1).reshape(-1, 3).astype(np.int32)


def _height_over(plan: FloatArray, corners: IntArray) -> FloatArray:
    """Height of the third of (n, 3) corners over the line of the first two, m."""
    first, second, third = (plan[corners[:, i]] for i in range(3))
    along = second - first
    off = third - first
    length = np.hypot(*along.T)
    return (along[:, 0] * off[:, 1] - along[:, 1] * off[:, 0]) / np.where(length > 0, length, 1)


def _peel(plan: FloatArray, mesh: Triangulation, edges: IntArray) -> Triangulation:
    """Take flat triangles off the rim: shots on a straight line, which rounding has bent."""
    kept = {frozenset(edge) for edge in edges.tolist()}
    while True:
        owner, side = np.nonzero(mesh.beside == -1)
        corners = mesh.triangles[owner[:, None], (side[:, None] + [0, 1, 2]) % 3]
        is_flat = _height_over(plan, corners) < FLAT
        if kept:  # a kept edge stays, however flat its triangle
            is_free = [frozenset(pair) not in kept for pair in corners[:, :2].tolist()]
            is_flat &= np.array(is_free, bool)  # of no rim at all, too
        if not is_flat.any():
            return mesh
        mesh = mesh.without(np.unique(owner[is_flat]))


def find_rim(mesh: Triangulation) -> IntArray:
    """
    Outer ring of triangles whose rim is one loop.

    Returns
    -------
    (m,) array of int
        Points around the rim, counter-clockwise.

    Raises
    ------
    GeometryError
        If the rim is not one loop.
    """
    owner, side = np.nonzero(mesh.beside == -1)
    start, end = mesh.triangles[owner, side], mesh.triangles[owner, (side + 1) % 3]
    after = dict(zip(start.tolist(), end.tolist(), strict=True))
    if len(after) != len(start):
        raise GeometryError("The surface touches itself at a point.")
    ring = [int(start.min())]
    while (following := after[ring[-1]]) != ring[0]:
        ring.append(following)
    if len(ring) != len(start):
        raise GeometryError("The surface has a hole, or falls in several parts.")
    return np.array(ring)


def _make_convex(plan: FloatArray, mesh: Triangulation) -> Triangulation:
    """Add what the triangulation's far corners left out of the hull."""
    ring = find_rim(mesh)
    added = []
    while True:
        ear = np.column_stack([np.roll(ring, 1), np.roll(ring, -1), ring])
        height = _height_over(plan, ear)  # positive: the point lies within the hull
        deepest = int(np.argmax(height))
        if height[deepest] <= FLAT:
            break
        added.append(ear[deepest])
        ring = np.delete(ring, deepest)
    if not added:
        return mesh
    triangles = np.vstack([mesh.triangles, *added]).astype(np.int32)
    return Triangulation(triangles, find_beside(triangles))
