"""Edge beams, grade beams and pads: their shape as drawn, and their volume."""

from collections.abc import Container
from functools import lru_cache
from itertools import pairwise, takewhile
from typing import get_args

import numpy as np
import shapely

from gradevol.geometry.rings import polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.site.slab import Slab, Surveyed, Thickening

#: Slices of the sloping side; Simpson's rule over them is exact while the outline of a slice
#: changes as a mitred offset does, so only where it meets the slab's edge is there a remainder.
_SLICES = 16
#: A line this near to an edge of the slab or of an opening runs along it, m.
_AT_EDGE = 0.02
#: Thickenings share part of the plan from this share of one on: rounding, below it.
_SHARED = 1e-9


@lru_cache(maxsize=256)  # a check asks a hundred times for some thirty
def outline_at(thickening: Thickening, slab: Slab, *, out: float) -> shapely.Geometry:
    """
    Outline of a thickening, widened by `out` beyond its bottom, within the slab.

    Parameters
    ----------
    thickening : Thickening
    slab : Slab
    out : float
        Distance beyond the bottom's outline, m; the side's full run gives the outermost outline.

    Raises
    ------
    GeometryError
        If its outline crosses itself, or it follows a side that the slab has not.
    """
    if thickening.outline is not None:
        bottom = polygon(thickening.outline, what=f"The outline of {thickening.name}")
        shape = shapely.buffer(bottom, out, join_style="mitre", mitre_limit=10)
    else:
        shape = shapely.union_all(
            [_strip(line, slab, thickening.width, out) for line in lines_of(thickening, slab)]
        )
    return shapely.intersection(shape, slab.outline)


def lines_of(thickening: Thickening, slab: Slab) -> list[FloatArray]:
    """Lines that a thickening follows, (n, 2) each, m; neighbouring sides are joined into one."""
    if thickening.along is not None:
        return [thickening.along]
    if thickening.outline is not None:
        return []
    count = len(slab.paths)
    for side in thickening.sides:
        if not 1 <= side <= count:
            raise GeometryError(
                f"{thickening.name} follows side {side}; the slab's edge has sides 1 to {count}."
            )
    sides = [shapely.LineString(slab.paths[side - 1]) for side in thickening.sides]
    merged = shapely.line_merge(shapely.union_all(sides))
    return [shapely.get_coordinates(part) for part in shapely.get_parts(merged)]


def _strip(line: FloatArray, slab: Slab, width: float, out: float) -> shapely.Geometry:
    path = shapely.LineString(line)
    edges = [shapely.LinearRing(ring) for ring in (slab.edge, *slab.openings)]
    is_at_edge = path.within(shapely.MultiLineString(edges).buffer(_AT_EDGE))
    # There the strip goes into the slab only: its other half is cut away with the outline.
    reach = (width if is_at_edge else width / 2) + out
    if reach == 0:
        return path  # a taper from the line itself: its bottom has no width
    return shapely.buffer(path, reach, cap_style="flat", join_style="mitre", mitre_limit=10)


def volume_as_drawn(
    thickening: Thickening, slab: Slab, *, within: shapely.Geometry | None = None
) -> float:
    """
    Volume of a thickening below the slab's design underside, as drawn.

    Parameters
    ----------
    thickening : Thickening
    slab : Slab
        What its other thickenings hold of this one already is not counted again (`slices_of`).
    within : shapely geometry, optional
        The part of the slab that is asked for; all of it where left out.

    Returns
    -------
    float
        m³. The prismoidal formula over horizontal slices of its side: exact for straight runs and
        mitred corners, and where upright sides meet.

    Raises
    ------
    GeometryError
        If it does not lie within the slab.
    """
    if _outermost(thickening, slab).area <= 0:
        raise GeometryError(
            f"{thickening.name} does not lie within the slab, or has no width: check its place."
        )
    slices = slices_of(thickening, slab)
    if within is not None:
        slices = tuple((shapely.intersection(outline, within), depth) for outline, depth in slices)
    return float(sum(outline.area * depth for outline, depth in slices))


@lru_cache(maxsize=64)  # each front of a pour asks for those that it crosses
def slices_of(thickening: Thickening, slab: Slab) -> tuple[tuple[shapely.Geometry, float], ...]:
    """
    Outlines of horizontal slices of a thickening, and the depth each stands for, m.

    Where thickenings of a slab share part of its plan, one hole is dug: what is shared belongs to
    the one that the shots show, then to the one that is listed first.
    """
    others = counted_before(thickening, slab)
    levels = {0.0, thickening.depth, *(min(part.depth, thickening.depth) for part in others)}
    slices = []
    for upper, lower in pairwise(sorted(levels)):
        there = [part for part in others if part.depth >= lower]
        is_upright = all(part.side_slope <= 0 for part in (thickening, *there))
        for level, depth in _divide(upper, lower, count=1 if is_upright else _SLICES):
            outline = _outline_below(thickening, slab, level)
            if there:
                held = shapely.union_all([_outline_below(part, slab, level) for part in there])
                outline = shapely.difference(outline, held)
            slices.append((outline, depth))
    return tuple(slices)


def counted_before(thickening: Thickening, slab: Slab) -> list[Thickening]:
    """Return the thickenings that share part of its plan, and that what is shared belongs to."""
    in_turn = sorted(slab.thickenings, key=lambda part: part.surveyed != "yes")
    before = takewhile(lambda part: part is not thickening, in_turn)
    own = _outermost(thickening, slab)
    return [
        part
        for part in before
        if shapely.intersection(own, _outermost(part, slab)).area > _SHARED * own.area
    ]


def _outermost(thickening: Thickening, slab: Slab) -> shapely.Geometry:
    """Outline of a thickening at the slab's design underside."""
    return _outline_below(thickening, slab, 0.0)


def _outline_below(thickening: Thickening, slab: Slab, level: float) -> shapely.Geometry:
    """Outline of a thickening at a depth below the slab's design underside, m."""
    return outline_at(thickening, slab, out=thickening.side_slope * (thickening.depth - level))


def _divide(upper: float, lower: float, *, count: int) -> list[tuple[float, float]]:
    """Depths from `upper` to `lower`, and the depth that each stands for by Simpson's rule, m."""
    if count == 1:
        return [(lower, lower - upper)]
    weights = np.ones(count + 1)
    weights[1:-1:2], weights[2:-1:2] = 4, 2
    levels, depths = np.linspace(upper, lower, count + 1), weights * (lower - upper) / (3 * count)
    return list(zip(levels.tolist(), depths.tolist(), strict=True))


def extra_depth(thickening: Thickening, slab: Slab, places: FloatArray) -> FloatArray:
    """
    Depth of a thickening's drawn bottom below the slab's design underside.

    Parameters
    ----------
    thickening : Thickening
    slab : Slab
    places : (n, 2) array of float
        Where it is asked for, m.

    Returns
    -------
    (n,) array of float
        Depth, m; 0 outside the thickening.
    """
    points = shapely.points(places)
    off = shapely.distance(outline_at(thickening, slab, out=0.0), points)
    run = thickening.side_slope * thickening.depth
    if run <= 0:
        return np.where(off <= 0, thickening.depth, 0.0)
    return thickening.depth * np.clip(1 - off / run, 0, 1)


def drawn_depth(
    slab: Slab, places: FloatArray, *, of: Container[Surveyed] = get_args(Surveyed)
) -> FloatArray:
    """
    Depth of the deepest thickening at each place below the slab's design underside.

    Parameters
    ----------
    slab : Slab
    places : (n, 2) array of float
        m.
    of : container of str, optional
        How the shots see the thickenings that are asked for; left out, all of them.

    Returns
    -------
    (n,) array of float
        As drawn, m; 0 outside them.
    """
    depth = np.zeros(len(places))
    for part in slab.thickenings:
        if part.surveyed in of:
            depth = np.maximum(depth, extra_depth(part, slab, places))
    return depth
