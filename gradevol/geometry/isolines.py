"""Level lines of a linear function over triangles, and the outlines they close."""

import numpy as np
import shapely

from gradevol._types import FloatArray, IntArray
from gradevol.geometry.clipping import clip_by_line
from gradevol.geometry.triangulation import label_groups

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


def number_nodes(corners: FloatArray) -> IntArray:
    """
    Number the distinct corners of triangles.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        m.

    Returns
    -------
    (k, 3) array of int
        The same number where corners coincide.
    """
    flat = corners.reshape(-1, 2)
    low = flat.min(axis=0, initial=0.0)
    square = np.floor((flat - low) / _MATCH + _SET_OFF).astype(np.int64)
    key = square[:, 0] * (int(square[:, 1].max(initial=0)) + 1) + square[:, 1]
    return np.unique(key, return_inverse=True)[1].reshape(-1, 3)


def group_above(corners: FloatArray, value: FloatArray) -> IntArray:
    """
    Group triangles whose parts above zero hang together.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        Triangles that have a part above zero, edge to edge, m.
    value : (k, 3) array of float
        The function at the corners.

    Returns
    -------
    (k,) array of int
        Group of each triangle, 0, 1, ...
    """
    node = number_nodes(corners)
    ends = np.sort(np.stack([node, np.roll(node, -1, axis=1)], axis=2), axis=2).reshape(-1, 2)
    is_wet = np.maximum(value, np.roll(value, -1, axis=1)).reshape(-1) > 0
    owner = np.repeat(np.arange(len(node)), 3)[is_wet]
    ends = ends[is_wet]
    key = ends[:, 0] * (int(node.max(initial=0)) + 1) + ends[:, 1]
    order = np.argsort(key, kind="stable")
    key, owner = key[order], owner[order]
    is_pair = key[1:] == key[:-1]
    pairs = np.column_stack([owner[:-1][is_pair], owner[1:][is_pair]])
    return np.unique(label_groups(len(node), pairs), return_inverse=True)[1]


def outline_above(corners: FloatArray, value: FloatArray) -> shapely.Geometry:
    """
    Outline of where a linear function on triangles is above zero.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        Triangles, counter-clockwise, m.
    value : (k, 3) array of float
        The function at the corners.

    Returns
    -------
    shapely polygon or multipolygon
        Its border is the exact zero line and the triangles' outer sides.
    """
    parts, counts = clip_by_line(corners, np.full(len(corners), 3), value)
    rings = []
    for sides in (3, 4):
        rings.append(shapely.polygons(parts[counts == sides][:, :sides]))
    pieces = np.concatenate(rings)
    pieces = pieces[shapely.area(pieces) > 1e-12]
    # snapped to a nanometre's grid, so that borders computed from either side are one
    joined = shapely.union_all(pieces, grid_size=1e-7)
    return shapely.simplify(joined, 1e-6)
