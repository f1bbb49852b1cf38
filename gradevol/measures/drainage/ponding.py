"""Ponding: where the top holds water, how deep, and what it would have to run over."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.flooding import Pools, find_pools
from gradevol.geometry.isolines import rings_above
from gradevol.geometry.prisms import area_above, plan_area, volume_above
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure
from gradevol.site.slab import Slab
from gradevol.site.tie_ins import TieIns

#: Shallower water is let be, m: far below what a finisher can strike, and what triangles for a
#: ruled top may be off (common practice, no source).
LEAST_DEPTH = 0.0005
#: Less than this a tape does not show, m: 1/8 in.
_SHALLOW = 0.0032
#: Ponds listed, those that hold most first.
LISTED = 20
#: Corners this near to the slab's border stand on it, m.
_ON_BORDER = 1e-5


@dataclass(frozen=True, slots=True)
class Pond:
    """
    One place that holds water.

    Attributes
    ----------
    rings : tuple of (n, 2) arrays of float
        Its shore, m: outer rings counter-clockwise, islands clockwise.
    area, volume : float
        Of the water, m², m³.
    depth : float
        The greatest, m.
    at : (float, float, float)
        Where that is: easting, northing, elevation of the top, m.
    sill : (float, float, float)
        Where it runs over when full, m; the elevation is that of the water.
    lowest_point, sill_point : str
        The measured points there, or near there, by their names; empty where there are none. To
        raise the first or to lower the second by `depth` would let the water out.
    """

    rings: tuple[FloatArray, ...]
    area: float
    volume: float
    depth: float
    at: tuple[float, float, float]
    sill: tuple[float, float, float]
    lowest_point: str
    sill_point: str

    @property
    def told_depth(self) -> Measure:
        """Its depth as it is told: in fine digits where a tape would read nought."""
        return Measure(self.depth, Kind.FINE if self.depth < _SHALLOW else Kind.THICKNESS)


def find_outlets(
    corners: FloatArray, lone: IntArray, slab: Slab, closed_sides: tuple[int, ...] = ()
) -> BoolArray:
    """
    Find where water leaves a top: over the slab's edge, and into its openings.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Triangles of the top, which tile the slab, m.
    lone : (m, 2) array of int
        Sides of triangles that have no neighbour (`find_lone_sides`).
    slab : Slab
    closed_sides : tuple of int
        Sides, counted from 1, over which no water leaves.

    Returns
    -------
    (t, 3) array of bool
        Corners of triangles over which water leaves.

    Raises
    ------
    GeometryError
        If a closed side is none of the slab's.
    """
    beyond = [side for side in closed_sides if side > len(slab.paths)]
    if beyond:
        raise GeometryError(
            f"top.closed_sides names side {beyond[0]}, but the slab has {len(slab.paths)} sides: "
            "side 1 runs from corner 1 to corner 2."
        )
    border = slab.outline.boundary
    if closed_sides:
        closed = [shapely.LineString(slab.paths[side - 1]) for side in closed_sides]
        walls = shapely.buffer(shapely.union_all(closed), _ON_BORDER / 100, cap_style="flat")
        border = shapely.difference(border, walls)
    is_out = np.zeros(corners.shape[:2], bool)
    rows, sides = np.repeat(lone[:, 0], 2), np.stack([lone[:, 1], (lone[:, 1] + 1) % 3], axis=1)
    places = corners[rows, sides.ravel(), :2]
    shapely.prepare(border)
    if not border.is_empty:
        on = shapely.dwithin(border, shapely.points(places), _ON_BORDER)
        is_out[rows[on], sides.ravel()[on]] = True
    return is_out


def find_ponds(
    corners: FloatArray, outlets: BoolArray, tie_ins: TieIns
) -> tuple[tuple[Pond, ...], int]:
    """
    Find the places of a top that hold water.

    Parameters
    ----------
    corners : (t, 3, 3) array of float
        Triangles of the top, m.
    outlets : (t, 3) array of bool
        Corners over which water leaves (`find_outlets`).
    tie_ins : TieIns
        Whose points are named.

    Returns
    -------
    tuple of Pond
        Those of `LEAST_DEPTH` or more, the one that holds most first.
    unlisted : int
        How many smaller ones there are beside them.

    Raises
    ------
    GeometryError
        If no water can leave at all.
    """
    area = plan_area(corners)
    pools = find_pools(corners, outlets)
    if not np.isfinite(pools.level).all():
        raise GeometryError(
            "No water can leave the top: top.closed_sides closes every side, and there is no "
            "opening. Name only the sides that hold water back."
        )
    wet = np.flatnonzero(pools.holder >= 0)
    depth = pools.level[pools.holder[wet]][:, None] - corners[wet, :, 2]
    deepest = np.zeros(len(pools.level))
    np.maximum.at(deepest, pools.holder[wet], depth.max(axis=1))
    held = np.bincount(
        pools.holder[wet], volume_above(area[wet], depth), minlength=len(pools.level)
    )
    order = np.argsort(-held, kind="stable")
    order = order[deepest[order] >= LEAST_DEPTH]
    ponds = []
    for number in order[:LISTED]:
        mine = pools.holder[wet] == number
        ponds.append(_pond(pools, int(number), corners[wet[mine]], depth[mine], tie_ins))
    return tuple(ponds), len(order) - len(ponds)


def _pond(
    pools: Pools, number: int, corners: FloatArray, depth: FloatArray, tie_ins: TieIns
) -> Pond:
    area = plan_area(corners)
    lowest = np.argwhere(depth >= depth.max() - 1e-9)
    places = corners[lowest[:, 0], lowest[:, 1]]
    at = places[np.lexsort((np.round(places[:, 1], 6), np.round(places[:, 0], 6)))[0]]
    sill = pools.sill[number]
    return Pond(
        rings=tuple(rings_above(corners[..., :2], depth)),
        area=float(area_above(area, depth).sum()),
        volume=float(volume_above(area, depth).sum()),
        depth=float(depth.max()),
        at=(float(at[0]), float(at[1]), float(at[2])),
        sill=(float(sill[0]), float(sill[1]), float(sill[2])),
        lowest_point=tie_ins.name_at(at),
        sill_point=tie_ins.name_at(sill),
    )
