"""Outer rows: shots that lie in line along the rim of a triangulation all belong to the rim.

A row that was laid out straight and measured to a hand's breadth lies a little in and out of its
line. Which of its shots are corners of the convex hull is then a matter of millimetres, and the
others would stand behind needles that leave them out of what lies beyond.
"""

import math
from dataclasses import dataclass

import numpy as np

from gradevol.geometry.blends import Blend
from gradevol.geometry.triangulation import FLAT, Triangulation, find_rim
from gradevol.ground.arrays import FloatArray, IntArray

#: A shot this near to the line of an outer row is one of it, m; but no farther off than a part of
#: the row's length. A row is paced or taped out: common practice, no source.
IN_LINE, _PART = 0.06, 1 / 50
#: A line of kept edges that ends this near to an outer row goes out to it, m (a foot), but no
#: farther off than a part of the row's length: the foot of a step and its edge are not shot to the
#: same hand's breadth. Common practice, no source.
_END, _PART_OF_END = 0.3048, 1 / 10


@dataclass(frozen=True, slots=True)
class Rows:
    """
    A triangulation whose outer rows are whole.

    Attributes
    ----------
    mesh : Triangulation
        Without the needles behind its outer rows.
    points : (q, 3) array of float
        The feet of the rows' shots on the line of the hull, at the shots' elevations, m.
    triangles : (t, 3) array of int
        Between the rows and the hull; the feet are numbered behind the given points.
    rim : (m,) array of int
        The hull's corners and the feet between them, counter-clockwise.
    rests : Blend
        How the feet rest on the shots.
    """

    mesh: Triangulation
    points: FloatArray
    triangles: IntArray
    rim: IntArray
    rests: Blend


def close_rows(points: FloatArray, mesh: Triangulation, edges: IntArray) -> Rows:
    """
    Make the shots in line with a side of the hull part of it.

    Parameters
    ----------
    points : (p, 3) array of float
        m.
    mesh : Triangulation
        Of their convex hull.
    edges : (m, 2) array of int
        Pairs that must stay joined.
    """
    plan, ring = points[:, :2], find_rim(mesh)
    kept = {frozenset(edge) for edge in edges.tolist()}
    joined, times = np.unique(edges, return_counts=True)
    line_ends = set(joined[times == 1].tolist())
    owner_of = _owners(mesh)
    dropped: set[int] = set()
    rim: list[int] = []
    feet: list[tuple[int, tuple[float, float]]] = []
    fill: list[tuple[int, int, int]] = []
    for first, last in zip(ring.tolist(), np.roll(ring, -1).tolist(), strict=True):
        chain = _peel_side(
            plan, mesh, owner_of, (first, last), kept=kept, line_ends=line_ends, dropped=dropped
        )
        if len(chain) > 2:
            below = [first]
            for shot in chain[1:-1]:
                below.append(len(points) + len(feet))
                feet.append((shot, _foot(plan[shot], plan[first], plan[last])))
            below.append(last)
            fill += _tile(chain, below)
            rim += below[:-1]
        else:
            rim.append(first)
    shots = np.array([shot for shot, _ in feet], np.intp)
    made = np.array([foot for _, foot in feet]).reshape(-1, 2)
    return Rows(
        mesh.without(np.array(sorted(dropped), np.intp)) if dropped else mesh,
        np.column_stack([made, points[shots, 2]]),
        np.array(fill, np.intp).reshape(-1, 3),
        np.array(rim),
        Blend(len(points) + np.arange(len(shots)), shots, np.ones(len(shots))),
    )


def _owners(mesh: Triangulation) -> dict[tuple[int, int], tuple[int, int]]:
    """Triangle and number of its side, for each side at the rim."""
    owner, side = np.nonzero(mesh.beside == -1)
    ends = mesh.triangles[owner[:, None], (side[:, None] + [0, 1]) % 3]
    held = zip(owner.tolist(), side.tolist(), strict=True)
    return dict(zip(map(tuple, ends.tolist()), held, strict=True))


def _peel_side(
    plan: FloatArray,
    mesh: Triangulation,
    owner_of: dict[tuple[int, int], tuple[int, int]],
    ends: tuple[int, int],
    *,
    kept: set[frozenset[int]],
    line_ends: set[int],
    dropped: set[int],
) -> list[int]:
    """
    Shots in line with a side of the hull, from end to end; the needles before them are dropped.

    None is dropped twice: two rows nearer to one another than to be told apart share theirs.
    """
    # one shot at a time: plain numbers are several times quicker than arrays of two
    (east, north), (far_east, far_north) = plan[ends[0]].tolist(), plan[ends[1]].tolist()
    along, across = far_east - east, far_north - north
    length = math.hypot(along, across)
    reach = min(IN_LINE, _PART * length)
    reach_of_end = min(_END, _PART_OF_END * length)

    def place(shot: int) -> tuple[float, float]:
        x, y = plan[shot].tolist()
        x, y = x - east, y - north
        return (x * along + y * across) / length, (along * y - across * x) / length

    def peel(one: int, other: int, owner: int, side: int) -> list[int]:
        corners = mesh.triangles[owner]
        middle = int(corners[(side + 2) % 3])
        station, height = place(middle)
        low, high = place(one)[0], place(other)[0]
        is_near = height <= (reach_of_end if middle in line_ends else reach)
        is_in_line = is_near and low + FLAT < station < high - FLAT
        if not is_in_line or frozenset((one, other)) in kept or owner in dropped:
            return [one]
        dropped.add(owner)
        made = []
        for step, (a, b) in ((1, (middle, other)), (2, (one, middle))):
            inner = int(mesh.beside[owner, (side + step) % 3])
            if inner < 0:
                made.append([a])
                continue
            back = int(np.flatnonzero(mesh.beside[inner] == owner)[0])
            made.append(peel(a, b, inner, back))
        return [*made[1], *made[0]]

    return [*peel(*ends, *owner_of[ends]), ends[1]]


def _foot(place: FloatArray, start: FloatArray, end: FloatArray) -> tuple[float, float]:
    along = end - start
    foot = start + float((place - start) @ along) / float(along @ along) * along
    return float(foot[0]), float(foot[1])


def _tile(chain: list[int], below: list[int]) -> list[tuple[int, int, int]]:
    """Triangles between a row and its feet on the hull, counter-clockwise."""
    made = []
    for at in range(len(chain) - 1):
        low, far_low, far, near = below[at], below[at + 1], chain[at + 1], chain[at]
        if low == near:
            made.append((low, far_low, far))
        elif far_low == far:
            made.append((low, far, near))
        else:
            made += [(low, far_low, far), (low, far, near)]
    return made
