"""Triangles cut by one another: the pieces on which two surfaces are both linear."""

from collections.abc import Callable

import numpy as np
import shapely

from gradevol.geometry.prisms import plan_area, span_of_corners, span_of_rows
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray, at_a_time

#: Pieces are cut this many pairs at a time, so that memory stays bounded.
_AT_ONCE = 200_000
#: Nearer than this two places are one but for rounding, m: coordinates about a local origin hold
#: some 1e-14, and a cut makes that a little more.
ROUNDING = 1e-12
#: Squares along the longer side of the sieve that finds triangles no outline touches.
_SIEVE = 512


def clip_by_line(
    polygons: FloatArray, counts: IntArray, side: FloatArray
) -> tuple[FloatArray, IntArray]:
    """
    Part of convex polygons where a linear function is positive or nought.

    Parameters
    ----------
    polygons : (n, m, 2) array of float
        Corners in order; only the first `counts` of each row are meant.
    counts : (n,) array of int
        Corners of each polygon.
    side : (n, m) array of float
        The function at the corners.

    Returns
    -------
    polygons : (n, m + 1 or more, 2) array of float
        The parts that are left.
    counts : (n,) array of int
        Corners of each; 0 where nothing is left.

    Notes
    -----
    Sutherland and Hodgman (1974), all polygons at once. A line crosses a convex polygon twice, but
    corners that rounding has put on both sides of it make it cross more often: all are kept.
    """
    m = side.shape[1]
    is_in = (side >= 0) & (np.arange(m) < counts[:, None])
    left = is_in.sum(axis=1)
    cut = np.flatnonzero((left > 0) & (left < counts))  # the others stay whole, or nothing of them
    pieces, left[cut] = _cut(polygons[cut], counts[cut], side[cut])
    parts = np.zeros((len(side), max(m + 1, pieces.shape[1]), 2))
    parts[:, :m] = polygons
    parts[cut, : pieces.shape[1]] = pieces
    return parts, left


def _cut(polygons: FloatArray, counts: IntArray, side: FloatArray) -> tuple[FloatArray, IntArray]:
    """Parts of the polygons that a line crosses, as `clip_by_line` has them."""
    index = np.arange(side.shape[1])
    is_meant = index < counts[:, None]
    following = np.where(index + 1 < counts[:, None], index + 1, 0)
    is_in = side >= 0
    crosses = is_meant & (is_in != np.take_along_axis(is_in, following, axis=1))
    row, at = np.nonzero(crosses)
    after = following[row, at]
    share = side[row, at] / (side[row, at] - side[row, after])
    points = np.stack([polygons, polygons], axis=2)
    points[row, at, 1] += share[:, None] * (polygons[row, after] - polygons[row, at])
    is_kept = np.stack([is_meant & is_in, crosses], axis=2)
    left = is_kept.sum(axis=(1, 2))
    parts = np.zeros((len(side), left.max(initial=0), 2))
    parts[np.arange(parts.shape[1]) < left[:, None]] = points[is_kept]
    return parts, left


def intersect_triangles(first: FloatArray, second: FloatArray) -> tuple[FloatArray, IntArray]:
    """
    Cut pairs of triangles to their common part.

    Parameters
    ----------
    first, second : (n, 3, 2) array of float
        Corners, counter-clockwise, m.

    Returns
    -------
    polygons : (n, 6 or more, 2) array of float
        Convex parts, counter-clockwise.
    counts : (n,) array of int
        Corners of each; 0 where the two don't meet.
    """
    polygons, counts = first, np.full(len(first), 3)
    for corner in range(3):
        start = second[:, corner]
        along = second[:, (corner + 1) % 3] - start
        off = polygons - start[:, None]
        side = along[:, None, 0] * off[..., 1] - along[:, None, 1] * off[..., 0]
        polygons, counts = clip_by_line(polygons, counts, side)
    return polygons, counts


def fan(polygons: FloatArray, counts: IntArray) -> tuple[FloatArray, IntArray]:
    """
    Triangles of convex polygons.

    Parameters
    ----------
    polygons : (n, m, 2) array of float
        Corners in order, the first `counts` of each row.
    counts : (n,) array of int
        Corners of each.

    Returns
    -------
    triangles : (k, 3, 2) array of float
        Those with an area beyond rounding.
    parent : (k,) array of int
        The polygon of each.
    """
    second = np.arange(1, polygons.shape[1] - 1)
    owner, at = np.nonzero(second + 1 < counts[:, None])
    at = second[at]
    triangles = np.stack([polygons[owner, 0], polygons[owner, at], polygons[owner, at + 1]], axis=1)
    has_area = _is_wider_than_rounding(triangles)
    return triangles[has_area], owner[has_area]


def _is_wider_than_rounding(triangles: FloatArray) -> BoolArray:
    """
    Whether triangles are more than what rounding leaves between two cuts.

    A side as short as rounding has no direction: what is cut by it may lie anywhere along the
    others. All that is left out together is less than rounding of the areas.
    """
    sides = triangles - np.roll(triangles, 1, axis=1)
    shortest, longest = span_of_corners(np.hypot(sides[..., 0], sides[..., 1]))
    return (shortest > ROUNDING) & (plan_area(triangles) > ROUNDING / 2 * longest)


def overlay(first: FloatArray, second: FloatArray) -> tuple[FloatArray, IntArray, IntArray]:
    """
    Cut two sets of triangles into pieces that lie in one triangle of each.

    Parameters
    ----------
    first : (a, 3, 2) array of float
        Triangles that don't overlap, counter-clockwise; usually the many.
    second : (b, 3, 2) array of float
        Likewise; usually the few, which tile the slab.

    Returns
    -------
    corners : (k, 3, 2) array of float
        The pieces, counter-clockwise; first those that are whole triangles of the first set.
    in_first, in_second : (k,) array of int
        The triangle of each set that holds the piece.
    """
    rows = np.arange(3 * len(first)).reshape(-1, 3)
    whole, cut, in_first, in_second = overlay_rows(first.reshape(-1, 2), rows, second)
    return np.concatenate([first[whole], cut]), in_first, in_second


def overlay_rows(
    places: FloatArray,
    rows: AnyArray,
    second: FloatArray,
    *,
    progress: Callable[[float], None] = lambda _: None,
) -> tuple[IntArray, FloatArray, IntArray, IntArray]:
    """
    Cut triangles that share their corners into pieces; memory is that of what is cut.

    Parameters
    ----------
    places : (p, 2) array of float
        Easting, northing of the corners, m.
    rows : (a, 3) array of int
        The places of each triangle's corners; the triangles are as `overlay` has its first.
    second : (b, 3, 2) array of float
        As of `overlay`.
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    whole : (w,) array of int
        Triangles of the first set that are pieces as they are: the first pieces.
    cut : (c, 3, 2) array of float
        The other pieces, counter-clockwise.
    in_first, in_second : (w + c,) array of int
        The triangle of each set that holds the piece.
    """
    is_whole, holder = _sieve(places, rows, second)
    whole = np.flatnonzero(is_whole & (holder >= 0)).astype(np.int32)
    cut, in_first, in_second = [np.empty((0, 3, 2))], [whole], [holder[whole]]

    touched = np.flatnonzero(~is_whole)
    tree = shapely.STRtree(_boxes(second))
    for start in range(0, len(touched), _AT_ONCE // 8):
        progress(start / len(touched))
        some = touched[start : start + _AT_ONCE // 8]
        near, other = tree.query(_boxes(places.take(rows[some], axis=0)))
        one = some[near]
        for begin in range(0, len(one), _AT_ONCE):
            end = begin + _AT_ONCE
            polygons, counts = intersect_triangles(
                places.take(rows[one[begin:end]], axis=0), second[other[begin:end]]
            )
            pieces, owner = fan(polygons, counts)
            cut.append(pieces)
            in_first.append(one[begin:end][owner].astype(np.int32))
            in_second.append(other[begin:end][owner].astype(np.int32))
    return whole, np.concatenate(cut), np.concatenate(in_first), np.concatenate(in_second)


def _boxes(triangles: FloatArray) -> FloatArray:
    low, high = span_of_corners(triangles)
    return shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])


def _sieve(
    corner_places: FloatArray, rows: AnyArray, second: FloatArray
) -> tuple[BoolArray, IntArray]:
    """
    Find triangles that no side of the second set touches, without looking at pairs.

    A grid is laid over the second set; squares that its sides touch, and their neighbours, are
    marked. A triangle whose box holds no marked square lies whole in one triangle of the second
    set, or outside all: any square of it tells which (-1: outside).
    """
    low = second.min(axis=(0, 1))
    extent = np.maximum(second.max(axis=(0, 1)) - low, 1e-9)
    along = _SIEVE if len(rows) > 20_000 else 64
    size = float(extent.max()) / along
    shape = np.ceil(extent / size).astype(int) + 5  # two squares of margin on each side
    low = low - 2.5 * size

    ends = np.stack([second, np.roll(second, -1, axis=1)], axis=2).reshape(-1, 2, 2)
    steps = int(np.ceil(np.hypot(*(ends[:, 1] - ends[:, 0]).T).max() / (0.5 * size))) + 1
    share = np.linspace(0, 1, steps + 1)[:, None, None]
    is_marked = np.zeros(shape, bool)
    for some in np.array_split(ends, max(1, len(ends) * steps // 2_000_000)):
        places = some[:, 0] + share * (some[:, 1] - some[:, 0])
        east, north = ((places.reshape(-1, 2) - low) / size).astype(int).T
        is_marked[east, north] = True
    is_marked[1:-1, 1:-1] = np.any(
        [is_marked[1 + i : shape[0] - 1 + i, 1 + j : shape[1] - 1 + j]
         for i in (-1, 0, 1) for j in (-1, 0, 1)],
        axis=0,
    )  # fmt: skip

    # from one clear square to the next no side is crossed: the first of a column's run tells
    is_first = ~is_marked
    is_first[:, 1:] &= is_marked[:, :-1]
    middles = low + (np.argwhere(is_first) + 0.5) * size
    tree = shapely.STRtree(shapely.polygons(np.concatenate([second, second[:, :1]], axis=1)))
    run, triangle = tree.query(shapely.points(middles), predicate="intersects")
    holder_of = np.full(len(middles), -1, np.int32)
    holder_of[run] = triangle
    holder = holder_of[np.cumsum(is_first).reshape(shape) - 1]  # means nothing where it is marked

    total = np.zeros(shape + 1, np.int64)
    total[1:, 1:] = is_marked.cumsum(axis=0).cumsum(axis=1)
    square = np.empty(corner_places.shape, np.int32)
    for axis, at in enumerate(corner_places.T):
        square[:, axis] = ((at - low[axis]) / size).clip(0, shape[axis] - 1)
    is_clear, held = np.empty(len(rows), bool), np.empty(len(rows), np.int32)
    for part in at_a_time(len(rows), _AT_ONCE):
        least, most = span_of_rows(square, rows[part])
        (east, north), (far_east, far_north) = least.T, most.T + 1
        marked = (
            total[far_east, far_north] - total[east, far_north]
            - total[far_east, north] + total[east, north]
        )  # fmt: skip
        is_clear[part], held[part] = marked == 0, holder[east, north]
    return is_clear, held
