"""Level lines of a linear function over triangles, and the outlines they close."""

import numpy as np
import shapely

from gradevol.geometry.clipping import clip_by_line
from gradevol.geometry.groups import label_groups
from gradevol.geometry.prisms import area_above, plan_area
from gradevol.geometry.rings import ring_area
from gradevol.ground.arrays import FloatArray, IntArray

#: Corners of neighbouring pieces agree to rounding; they are matched on squares of this side, m,
#: which are set off so that round coordinates don't fall on their borders.
_MATCH = 1e-6
_SET_OFF = 0.3819660112501051


def level_segments(corners: FloatArray, value: FloatArray) -> FloatArray:
    """
    Pieces of the zero line of a linear function on triangles.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        Triangles, m.
    value : (k, 3) array of float
        The function at the corners.

    Returns
    -------
    (m, 2, 2) array of float
        Ends of each piece, m.
    """
    is_up = value > 0
    crossing = np.flatnonzero(is_up.any(axis=1) & ~is_up.all(axis=1))
    value, corners, is_up = value[crossing], corners[crossing], is_up[crossing]
    # turn each triangle so that its lone corner comes first
    lone = np.where(is_up.sum(axis=1) == 1, is_up.argmax(axis=1), (~is_up).argmax(axis=1))
    turn = (lone[:, None] + [0, 1, 2]) % 3
    value = np.take_along_axis(value, turn, axis=1)
    corners = np.take_along_axis(corners, turn[..., None], axis=1)
    share = (value[:, :1] / (value[:, :1] - value[:, 1:]))[..., None]
    return corners[:, :1] + share * (corners[:, 1:] - corners[:, :1])


def number_nodes(places: FloatArray) -> IntArray:
    """Number places (..., 2), m: (...), the same number where they coincide."""
    low = places.reshape(-1, 2).min(axis=0, initial=0.0)
    square = np.floor((places - low) / _MATCH + _SET_OFF).astype(np.int64)
    key = square[..., 0] * (int(square[..., 1].max(initial=0)) + 1) + square[..., 1]
    return np.unique(key, return_inverse=True)[1].reshape(key.shape)


def group_above(corners: FloatArray, value: FloatArray, *, nothing: float = 0.0) -> IntArray:
    """
    Group triangles whose parts above zero hang together.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        Triangles that have a part above zero, edge to edge, m.
    value : (k, 3) array of float
        The function at the corners.
    nothing : float
        Values up to this are zero but for rounding: no side joins two triangles on them.

    Returns
    -------
    (k,) array of int
        Group of each triangle, 0, 1, ...
    """
    node = number_nodes(corners)
    ends = np.sort(np.stack([node, np.roll(node, -1, axis=1)], axis=2), axis=2).reshape(-1, 2)
    is_wet = np.maximum(value, np.roll(value, -1, axis=1)).reshape(-1) > nothing
    owner = np.repeat(np.arange(len(node)), 3)[is_wet]
    ends = ends[is_wet]
    key = ends[:, 0] * (int(node.max(initial=0)) + 1) + ends[:, 1]
    order = np.argsort(key, kind="stable")
    key, owner = key[order], owner[order]
    is_pair = key[1:] == key[:-1]
    pairs = np.column_stack([owner[:-1][is_pair], owner[1:][is_pair]])
    return np.unique(label_groups(len(node), pairs), return_inverse=True)[1]


def rings_above(corners: FloatArray, value: FloatArray) -> list[FloatArray]:
    """
    Rings around where a linear function on triangles is above zero.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        Triangles, counter-clockwise, edge to edge, m.
    value : (k, 3) array of float
        The function at the corners.

    Returns
    -------
    list of (n, 2) arrays of float
        Outer rings counter-clockwise, the rings of holes clockwise: the exact zero line and the
        triangles' outer sides.
    """
    parts, counts = clip_by_line(corners, np.full(len(corners), 3), value)
    node = number_nodes(parts)
    index = np.arange(parts.shape[1])
    after = np.where(index + 1 < counts[:, None], index + 1, 0)
    ends = np.stack([node, np.take_along_axis(node, after, axis=1)], axis=2)
    ends = ends[(index < counts[:, None]) & (counts[:, None] >= 3)]
    place = np.empty((int(node.max(initial=-1)) + 1, 2))
    place[node] = parts
    rings = _chain(_cancel(ends), place)
    area = sum(ring_area(ring) for ring in rings)
    meant = float(area_above(plan_area(corners), value).sum())
    if abs(area - meant) <= 1e-6 * meant:
        return rings
    return _rings_by_union(parts, counts)


def _cancel(ends: IntArray) -> IntArray:
    """Directed sides (m, 2) less those that are met by their opposite."""
    ends = ends[ends[:, 0] != ends[:, 1]]
    span = int(ends.max(initial=0)) + 1
    key, number = np.unique(ends.min(axis=1) * span + ends.max(axis=1), return_inverse=True)
    turns = np.bincount(number, np.where(ends[:, 0] < ends[:, 1], 1, -1), minlength=len(key))
    low, high = np.divmod(key, span)
    forward, backward = turns > 0, turns < 0
    return np.concatenate(
        [
            np.repeat(np.column_stack([low, high])[forward], turns[forward].astype(int), axis=0),
            np.repeat(np.column_stack([high, low])[backward], -turns[backward].astype(int), axis=0),
        ]
    )


def _chain(ends: IntArray, place: FloatArray) -> list[FloatArray]:
    """Rings of directed sides, straight corners left out."""
    onward: dict[int, list[int]] = {}
    for start, end in ends.tolist():
        onward.setdefault(start, []).append(end)
    rings = []
    while onward:
        start = next(iter(onward))
        ring = [start]
        while (at := ring[-1]) in onward:
            ring.append(onward[at].pop())
            if not onward[at]:
                del onward[at]
            if ring[-1] == start:
                break
        corners = place[ring[:-1]]
        before, behind = (
            corners - np.roll(corners, 1, axis=0),
            np.roll(corners, -1, axis=0) - corners,
        )
        turn = before[:, 0] * behind[:, 1] - before[:, 1] * behind[:, 0]
        length = np.hypot(*before.T) * np.hypot(*behind.T)
        kept = corners[np.abs(turn) > 1e-9 * length]
        if len(kept) >= 3:
            rings.append(kept)
    return rings


def _rings_by_union(parts: FloatArray, counts: IntArray) -> list[FloatArray]:
    """The same by joining polygons: slower, where sides do not match one to one."""
    pieces = np.concatenate(
        [shapely.polygons(parts[counts == sides][:, :sides]) for sides in (3, 4)]
    )
    joined = shapely.union_all(pieces[shapely.area(pieces) > 1e-12], grid_size=1e-7)
    return [
        shapely.get_coordinates(ring)[:-1]
        for part in shapely.get_parts(shapely.orient_polygons(shapely.simplify(joined, 1e-6)))
        for ring in shapely.get_rings(part)
    ]
