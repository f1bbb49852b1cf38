"""Flooding: where a surface of triangles holds water, exactly for the surface."""

import heapq
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.isolines import number_nodes
from gradevol.geometry.prisms import plan_area
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray

#: Corners at one place whose elevations differ by less are one, m: rounding, far below a step.
ONE_LEVEL = 1e-7
#: Sides of triangles nearer than this lie on one another, m, as corners do for level lines.
_MATCH = 1e-6


@dataclass(frozen=True, slots=True)
class Pools:
    """
    What stands on a surface after rain.

    Attributes
    ----------
    level : (p,) array of float
        Elevation of the water of each pool, m; infinite where no way leads out.
    sill : (p, 3) array of float
        The place that it runs over when full: easting, northing, elevation, m.
    holder : (t,) array of int
        The pool that wets each triangle; -1 where none does.
    """

    level: FloatArray
    sill: FloatArray
    holder: IntArray


@dataclass(frozen=True, slots=True)
class _Links:
    """Ways from one node to another, (m,), and the highest place (m, 3) on each."""

    first: IntArray
    second: IntArray
    sill: FloatArray


def find_wide(corners: FloatArray) -> BoolArray:
    """Whether triangles (t, 3, 2 or more), m, are wider than one place: their sides differ."""
    sides = np.roll(corners, -1, axis=1)[..., :2] - corners[..., :2]
    longest = np.hypot(sides[..., 0], sides[..., 1]).max(axis=1)
    return 2 * plan_area(corners) > _MATCH * longest


def find_lone_sides(corners: FloatArray) -> IntArray:
    """Sides of triangles (t, 3, 2 or more), m, that no other shares from corner to corner.

    Triangle and side, (m, 2): side k runs from corner k to the next.
    """
    count = _count_sides(number_nodes(corners[..., :2]))
    return np.argwhere(count == 1)


def _count_sides(place: IntArray) -> IntArray:
    """How many triangles share each side, (t, 3)."""
    key = _side_keys(place)
    _, number, count = np.unique(key, return_inverse=True, return_counts=True)
    return count[number].reshape(place.shape)


def _side_keys(place: IntArray) -> IntArray:
    after = np.roll(place, -1, axis=1)
    return np.minimum(place, after) * (int(place.max(initial=0)) + 1) + np.maximum(place, after)


def find_pools(corners: FloatArray, lets_out: BoolArray) -> Pools:
    """
    Find the pools of a surface: what would have to rise over a sill to leave it.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Triangles that do not overlap, in plan counter-clockwise, m. Sides need not meet corner to
        corner, and the surface may step at them.
    lets_out : (t, 3) array of bool
        Corners over which water leaves.

    Notes
    -----
    Water leaves by the way whose highest place is lowest. On triangles such a way may be bent to
    run over their corners, or across sides where triangles do not meet corner to corner or step;
    within a triangle it may run by way of its lowest corner without rising. So the corners, each
    joined to the lowest of its triangle, tell all. Every corner runs down to a lowest one; what
    runs down to one is a basin; the basins are flooded from outside in the order of their sills
    (Barnes, Lehman and Mulla 2014, priority-flood, doi:10.1016/j.cageo.2013.04.024, there for
    grids; from memory).
    """
    at = number_nodes(corners[..., :2])
    steps = _find_steps(at, corners[..., 2])
    own = int(at.max()) + 1 + np.arange(at.size).reshape(at.shape)
    node = np.unique(np.where(steps, own, at), return_inverse=True)[1].reshape(at.shape)
    level, place = np.empty(int(node.max()) + 1), np.empty((int(node.max()) + 1, 3))
    level[node] = corners[..., 2]
    place[node] = corners
    rank = np.empty(len(level), np.intp)
    rank[np.argsort(level, kind="stable")] = np.arange(len(level))
    lowest = np.take_along_axis(node, rank[node].argmin(axis=1)[:, None], axis=1)[:, 0]
    is_out = np.zeros(len(level), bool)
    is_out[node[lets_out]] = True
    basin = _basins(node, lowest, rank, is_out)
    joints = _joints(corners, lowest, (_count_sides(at) == 1) | steps | np.roll(steps, -1, axis=1))
    links = _Links(
        np.concatenate([node.ravel(), joints.first]),
        np.concatenate([np.repeat(lowest, 3), joints.second]),
        np.concatenate([place[node.ravel()], joints.sill]),
    )
    full, pool, sill = _flood(*_between_basins(links, basin), int(basin.max()) + 1)
    wet = full[basin[lowest]] > level[lowest]
    holder = np.where(wet, pool[basin[lowest]], -1)
    kept, number = np.unique(holder[wet], return_inverse=True)
    holder[wet] = number
    return Pools(sill[kept, 2], sill[kept], holder)


def _find_steps(place: IntArray, level: FloatArray) -> BoolArray:
    """Corners (t, 3) at whose place the surface steps."""
    low, high = np.full(int(place.max()) + 1, np.inf), np.full(int(place.max()) + 1, -np.inf)
    np.minimum.at(low, place, level)
    np.maximum.at(high, place, level)
    return (high - low > ONE_LEVEL)[place]


def _basins(node: IntArray, lowest: IntArray, rank: IntArray, is_out: BoolArray) -> IntArray:
    """Basin of each node: 0 for what runs out without rising, then 1, 2, ..."""
    order = np.argsort(rank)
    below = np.arange(len(rank))  # among ranks
    np.minimum.at(below, rank[node], rank[lowest][:, None])
    outlets = rank[is_out]
    below[outlets] = outlets
    while not np.array_equal(further := below[below], below):
        below = further
    root = np.where(is_out[order[below]], -1, below)
    return np.unique(np.append(root, -1), return_inverse=True)[1][:-1][rank]


def _joints(corners: FloatArray, lowest: IntArray, is_looked_at: BoolArray) -> _Links:
    """
    Ways across sides (t, 3) that lie on one another without sharing their nodes.

    The highest place on the way is the lowest place of the upper one of the two sides.
    """
    after = np.roll(corners, -1, axis=1)
    looked = np.argwhere(is_looked_at)
    start = corners[looked[:, 0], looked[:, 1]]
    end = after[looked[:, 0], looked[:, 1]]
    lines = shapely.linestrings(np.stack([start[:, :2], end[:, :2]], axis=1))
    one, other = shapely.STRtree(lines).query(lines, predicate="dwithin", distance=_MATCH)
    is_pair = (one < other) & (looked[one, 0] != looked[other, 0])
    one, other = one[is_pair], other[is_pair]
    along = end[one] - start[one]
    length = np.hypot(along[:, 0], along[:, 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        share, off = _stations(start[one], along, length, (start[other], end[other]))
        low = np.maximum(share.min(axis=1), 0)
        high = np.minimum(share.max(axis=1), 1)
        is_met = (off <= _MATCH) & ((high - low) * length > _MATCH)
    one, other, low, high = one[is_met], other[is_met], low[is_met], high[is_met]
    along, share = along[is_met], share[is_met]
    ends = np.stack([low, high], axis=1)
    own = start[one, 2][:, None] + ends * along[:, 2][:, None]
    span = (share[:, 1] - share[:, 0])[:, None]
    rise = (end[other, 2] - start[other, 2])[:, None]
    met = start[other, 2][:, None] + (ends - share[:, :1]) / span * rise
    at, height = _lowest_of_upper(own, met)
    where = low + at * (high - low)
    sill = start[one] + where[:, None] * along
    sill[:, 2] = height
    return _Links(lowest[looked[one, 0]], lowest[looked[other, 0]], sill)


def _stations(
    start: FloatArray, along: FloatArray, length: FloatArray, ends: tuple[FloatArray, FloatArray]
) -> tuple[FloatArray, FloatArray]:
    """Shares of a line's length (m, 2) of two ends, and how far they lie off it at most, m."""
    shares, off = [], np.zeros(len(start))
    for end in ends:
        away = end - start
        shares.append((away[:, :2] * along[:, :2]).sum(axis=1) / length**2)
        cross = along[:, 0] * away[:, 1] - along[:, 1] * away[:, 0]
        off = np.maximum(off, np.abs(cross) / length)
    return np.stack(shares, axis=1), off


def _lowest_of_upper(own: FloatArray, met: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Lowest place of the upper of two lines given by their ends (m, 2): share, elevation."""
    upper = np.maximum(own, met)
    at = np.where(upper[:, 0] <= upper[:, 1], 0.0, 1.0)
    height = upper.min(axis=1)
    gap = own - met
    crosses = gap[:, 0] * gap[:, 1] < 0
    share = np.divide(gap[:, 0], gap[:, 0] - gap[:, 1], out=np.zeros(len(gap)), where=crosses)
    level = own[:, 0] + share * (own[:, 1] - own[:, 0])
    is_lower = crosses & (level < height)
    return np.where(is_lower, share, at), np.where(is_lower, level, height)


def _between_basins(links: _Links, basin: IntArray) -> tuple[IntArray, FloatArray]:
    """Pairs of basins that touch, (m, 2), and the lowest sill (m, 3) between the two of each."""
    pair = np.sort(np.stack([basin[links.first], basin[links.second]], axis=1), axis=1)
    is_way = pair[:, 0] != pair[:, 1]
    pair, sill = pair[is_way], links.sill[is_way]
    # among equals the south-west one, so that the order of triangles does not matter
    order = np.lexsort((sill[:, 1], sill[:, 0], sill[:, 2], pair[:, 1], pair[:, 0]))
    pair, sill = pair[order], sill[order]
    is_first = np.ones(len(pair), bool)
    is_first[1:] = (pair[1:] != pair[:-1]).any(axis=1)
    return pair[is_first], sill[is_first]


def _flood(
    pairs: IntArray, sills: FloatArray, count: int
) -> tuple[FloatArray, IntArray, FloatArray]:
    """
    Fill basins from the outside, number 0.

    Returns
    -------
    level : (count,) array of float
        Elevation that each fills to.
    pool : (count,) array of int
        Of the basins that fill as one, that which the water leaves by.
    sill : (count, 3) array of float
        Of the basins that are their pool's.
    """
    ways: list[list[tuple[int, int]]] = [[] for _ in range(count)]
    for way, (one, other) in enumerate(pairs.tolist()):
        ways[one].append((way, other))
        ways[other].append((way, one))
    height = sills[:, 2].tolist()
    level, pool = [np.inf] * count, list(range(count))
    sill = np.full((count, 3), np.inf)
    level[0] = -np.inf
    # of equal levels the lower way first: what is joined under water is one pool
    queue = [(height[way], height[way], way, 0, other) for way, other in ways[0]]
    heapq.heapify(queue)
    done = [True] + [False] * (count - 1)
    while queue:
        full, _, way, behind, basin = heapq.heappop(queue)
        if done[basin]:
            continue
        done[basin] = True
        level[basin] = full
        is_drowned = height[way] < level[behind]
        pool[basin] = pool[behind] if is_drowned else basin
        if not is_drowned:
            sill[basin] = sills[way]
        for onward, other in ways[basin]:
            if not done[other]:
                above = height[onward]
                heapq.heappush(queue, (max(full, above), above, onward, basin, other))
    return np.array(level), np.array(pool), sill
