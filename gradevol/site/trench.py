"""Trench shots: taken in a thickening, they speak of the slab's base by their departure."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from gradevol.geometry.blends import Blend
from gradevol.geometry.planes import level_in
from gradevol.geometry.profiles import cut_segment, places_on, station_and_offset
from gradevol.geometry.triangulation import merge_places
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.site.slab import Slab, Surveyed
from gradevol.site.surface import Surface, level_beside
from gradevol.site.thickening import drawn_depth, lines_of, outline_at

#: A thickening no deeper than this may be dug so badly that its bottom stands half as high, m: 3
#: in. Common practice, no source.
_SHALLOW = 0.0762
#: Shots along a thickening that are no farther apart than this stand in one cross-section, m.
_HAND = 0.1
#: Thickenings in which shots are of the trench.
_SHOT: tuple[Surveyed, ...] = ("departure", "yes")


def lift_trench_shots(points: FloatArray, slab: Slab, top: Surface) -> tuple[FloatArray, IntArray]:
    """
    Raise trench shots by the drawn depth of their thickening, and join them along it.

    A shot in a thickening whose `surveyed` is ``departure`` is a shot on the thickening's bottom.
    What it stands above or below the drawn bottom, it says of the slab's underside above: it is
    raised by the drawn extra depth, and between neighbouring trench shots the departure is
    interpolated along the thickening, so that a few are enough.

    Parameters
    ----------
    points : (p, 3) array of float
        Shots, one a place, m.
    slab : Slab
    top : Surface
        The design top.

    Returns
    -------
    points : (p + q, 3) array of float
        The same shots, raised, and behind them places between them where the top bends.
    edges : (m, 2) array of int
        Pairs of points to be joined: the trench shots along each thickening.
    """
    raised = dug_at(points, top, slab, of=["departure"])
    extra: list[FloatArray] = []
    edges: list[tuple[int, int]] = []
    is_chained = np.zeros(len(points), bool)
    count = len(points)
    lifted = points + np.column_stack([np.zeros((len(points), 2)), raised])
    for part in slab.thickenings:
        if part.surveyed != "departure":
            continue
        bottom = outline_at(part, slab, out=0.0)
        on_bottom = shapely.intersects_xy(bottom, points[:, 0], points[:, 1]) & ~is_chained
        within = np.flatnonzero(on_bottom & (raised > 0))
        is_chained |= on_bottom
        lines = lines_of(part, slab)
        away = [station_and_offset(line, points[within, :2])[1] for line in lines]
        for line, off in zip(lines, away, strict=True):
            # a strip's shots are chained along its own line, not along another's
            beside = within[off <= np.min(away, axis=0)]
            for one, other in pairwise(_chain(line, points, beside)):
                between = _bends_between(lifted[one], lifted[other], top)
                edges += pairwise([one, *range(count, count + len(between)), other])
                extra.append(between)
                count += len(between)
    joined = np.array(edges, dtype=np.intp).reshape(-1, 2)
    return _keep_one_a_place(np.vstack([lifted, *extra]), joined, len(points))


def _keep_one_a_place(
    points: FloatArray, edges: IntArray, count: int
) -> tuple[FloatArray, IntArray]:
    """Leave out places made where a shot, or another such place, stands: chains that meet."""
    if len(points) == count:
        return points, edges
    place = merge_places(points[:, :2])
    first = np.unique(place, return_index=True)[1]
    is_kept = np.arange(len(points)) < count
    is_kept[first] = True
    number = np.cumsum(is_kept) - 1
    stands = np.where(is_kept, np.arange(len(points)), first[place])
    edges = number[stands[edges]]
    return points[is_kept], edges[edges[:, 0] != edges[:, 1]]


def blend_of_bends(points: FloatArray, edges: IntArray, count: int) -> Blend:
    """
    How places between trench shots rest on them.

    Parameters
    ----------
    points : (p + q, 3) array of float
        From `lift_trench_shots`, m.
    edges : (m, 2) array of int
        Likewise.
    count : int
        Shots among the points, p.

    Returns
    -------
    Blend
        Each place by its share of the way from one trench shot to the next.
    """
    made, of, share = [], [], []
    one = 0
    chain: list[int] = []
    for start, end in edges.tolist():
        if start < count:
            one, chain = start, []
        if end >= count:
            chain.append(end)
            continue
        whole = float(np.hypot(*(points[end] - points[one])[:2]))
        for between in chain:
            way = float(np.hypot(*(points[between] - points[one])[:2])) / whole
            made += [between, between]
            of += [one, end]
            share += [1 - way, way]
    return Blend(np.array(made, np.intp), np.array(of, np.intp), np.array(share, float))


def raised_at(places: FloatArray, slab: Slab) -> FloatArray:
    """By how much trench shots are raised at places (n, 2), m: (n,), m; 0 outside thickenings."""
    return drawn_depth(slab, places, of=["departure"])


def find_underside(points: FloatArray, top: Surface, slab: Slab) -> FloatArray:
    """Find the slab's drawn underside at shots (n, 3): (n,), m; at a step, that of their side."""
    like = points[:, 2] + raised_at(points[:, :2], slab) + slab.thickness
    return level_beside(top, points[:, :2], like) - slab.thickness


def over_design(points: FloatArray, top: Surface, slab: Slab) -> FloatArray:
    """Height of shots (n, 3) over the design base, and of those of a trench over its bottom, m."""
    underside = find_underside(points, top, slab)
    return points[:, 2] + _raised_of(points, underside, slab, of=_SHOT) - underside


def dug_at(
    points: FloatArray, top: Surface, slab: Slab, *, of: Sequence[Surveyed] = _SHOT
) -> FloatArray:
    """How deep below the slab's underside the trench is drawn that shots (n, 3) are of: (n,), m."""
    if not any(part.surveyed in of for part in slab.thickenings):
        return np.zeros(len(points))
    return _raised_of(points, find_underside(points, top, slab), slab, of=of)


def _raised_of(
    points: FloatArray, underside: FloatArray, slab: Slab, *, of: Sequence[Surveyed]
) -> FloatArray:
    """
    By how much shots (n, 3) over a drawn underside (n,) are raised as trench shots: (n,), m.

    0 of shots outside, and of those that stand too high.
    """
    depth = drawn_depth(slab, points[:, :2], of=of)
    return np.where(stand_too_high(points[:, 2], underside, depth), 0.0, depth)


def stand_too_high(level: FloatArray, underside: FloatArray, depth: FloatArray) -> BoolArray:
    """Whether shots in plan of a thickening stand too high to be of its trench; all (n,), m.

    Those nearer to the slab's drawn underside than to the drawn bottom, `depth` below it: shots of
    the base, from before it was dug or from its rim. Of a shallow one it can't be told.
    """
    return (depth > _SHALLOW) & (level > underside - depth / 2)


def _chain(line: FloatArray, points: FloatArray, within: IntArray) -> IntArray:
    """Shots along a line in the order of their stations, one a cross-section."""
    station, offset = station_and_offset(line, points[within, :2])
    order = np.argsort(station, kind="stable")
    section = np.cumsum(np.diff(station[order], prepend=station.min(initial=0)) > _HAND)
    best = np.lexsort((offset[order], section))
    is_first = np.diff(section[best], prepend=-1) > 0
    return within[order][best][is_first]


def _bends_between(one: FloatArray, other: FloatArray, top: Surface) -> FloatArray:
    """
    Places between two shots where the top bends, at the interpolated departure: (k, 3), m.

    At a step it is that from midway between the two levels, so that neither side is taken for both.
    """
    corners = top.corners
    triangle, share = cut_segment(corners, one[:2], other[:2])
    is_part = np.diff(share, axis=1)[:, 0] > 1e-6
    triangle, share = triangle[is_part], share[is_part]
    if len(triangle) == 0:
        return np.empty((0, 3))
    level = level_in(corners, triangle, places_on(one, other, share))
    at = share[:-1, 1]
    first, last = one[2] - level[0, 0], other[2] - level[-1, 1]
    step = level[1:, 0] - level[:-1, 1]
    slope = np.diff(level, axis=1)[:, 0] / np.diff(share, axis=1)[:, 0]
    turn = np.diff(slope) * np.minimum(at, 1 - at)
    is_bend = (np.maximum(np.abs(step), np.abs(turn)) > 1e-6) & (at > 1e-6) & (at < 1 - 1e-6)
    bends = level[:-1, 1] + step / 2 + first + at * (last - first)
    return np.column_stack([places_on(one, other, at), bends])[is_bend]
