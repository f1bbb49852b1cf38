"""Holes in a scan: ground that it shows nothing of, as under water or behind what stood there."""

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray

from gradevol.geometry.cells import circles_of
from gradevol.geometry.extent import measure_extent
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import BoolArray, FloatArray, RowArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.surface import Surface
from gradevol.site.survey import Survey

#: A circle without a point is of a hole from this radius on, m, or from so many sides of a square
#: or spacings of single points: in less no place worth work hides. Common practice, no source.
_LEAST, _SIDES = 0.5, 2.0
#: Where most of the slab lies between rows of points, from so many times the way from row to row
#: on: half as much again as a circle there has. But at most from this share of the largest circle
#: on the slab: a larger one is no row's, the scan shows the forms alone. Ours, no source.
_ROWS, _INNER = 0.75, 0.5
#: Triangles of one hole may meet at a corner alone: so near they are one, m.
_JOINED = 0.01


def part_holes(
    surface: Surface, survey: Survey, top: Surface, outline: shapely.Geometry
) -> tuple[Surface, tuple[Note, ...]]:
    """
    Take the triangles over holes in a scan for ground that was not surveyed.

    The base there runs as straight as the top from what the scan shows around.

    Parameters
    ----------
    surface : Surface
        Covers the slab (`hold_departure`).
    survey : Survey
        A cloud's; any other has no holes.
    top : Surface
    outline : shapely polygon
        The slab, m.

    Returns
    -------
    Surface
    tuple of Note
        Code ``scan-holes``, with what of the slab they take and how long and wide the largest is;
        its places are their middles, the largest first.
    """
    if survey.grain is None or surface.delaunay is None:
        return surface, ()
    plan = surface.points[:, :2]
    sides, area = _measure_sides(plan, surface.delaunay)
    apart = max(survey.grain.cell, float(np.sqrt(area.sum() / len(survey.points))))
    least = max(_LEAST, _SIDES * apart)
    if area[sides > least].sum() > area.sum() / 2:
        middles = plan[surface.delaunay].mean(axis=1)
        least = max(least, _allow_rows(middles, sides, area, outline))
    large = surface.delaunay[sides > least]
    centre, radius = circles_of(plan[large])
    is_wide = radius > least
    empty = shapely.union_all(shapely.buffer(shapely.points(centre[is_wide]), radius[is_wide]))
    # what lies in a wide circle is of the hole; also of what was made of its points
    is_beside = np.arange(len(plan)) > surface.delaunay.max()
    is_beside[large] = True
    near = np.flatnonzero(is_beside[surface.triangles].all(axis=1) & surface.is_surveyed)
    wide = near[shapely.contains_xy(empty, plan[surface.triangles[near]].mean(axis=1))]
    over = shapely.polygons(plan[surface.triangles[wide]])
    joined = shapely.union_all(shapely.buffer(over, _JOINED, join_style="mitre"))
    holes = shapely.get_parts(shapely.intersection(joined, outline))
    # at the rim the circles of slivers are wide, too
    holes = holes[~shapely.is_empty(shapely.buffer(holes, -least / 2))]
    if len(holes) == 0:
        return surface, ()
    holes = holes[np.argsort(-shapely.area(holes), kind="stable")]
    is_over = shapely.intersects(shapely.union_all(holes), over)
    is_hole = np.zeros(len(surface.triangles), bool)
    is_hole[wide[is_over]] = True
    taken = float(shapely.area(shapely.intersection(over[is_over], outline)).sum())
    return _let_go(surface, is_hole, top), (_note(holes, taken),)


def _allow_rows(
    middles: FloatArray, sides: FloatArray, area: FloatArray, outline: shapely.Geometry
) -> float:
    """Radius that a circle between rows of points may have, by triangles and their areas, m."""
    on = np.flatnonzero(shapely.contains_xy(outline, middles))
    on = on[np.argsort(sides[on], kind="stable")]
    reached = np.cumsum(area[on])
    if len(on) == 0:
        return 0.0
    across = float(sides[on[np.searchsorted(reached, reached[-1] / 2)]])
    inner = float(shapely.length(shapely.maximum_inscribed_circle(outline)))
    return min(_ROWS * across, _INNER * inner)


def _measure_sides(plan: FloatArray, triangles: RowArray) -> tuple[FloatArray, FloatArray]:
    """Longest sides of triangles, (t,), m, and their areas, (t,), m²."""
    (east, north), (first, second, third) = plan.T.copy(), triangles.T
    x, y = (
        [along.take(to) - along.take(first) for to in (second, third)] for along in (east, north)
    )
    squares = x[0] ** 2 + y[0] ** 2, x[1] ** 2 + y[1] ** 2, (x[1] - x[0]) ** 2 + (y[1] - y[0]) ** 2
    area = np.abs(x[0] * y[1] - x[1] * y[0]) / 2
    return np.sqrt(np.maximum.reduce(squares)), area


def _let_go(surface: Surface, is_hole: BoolArray, top: Surface) -> Surface:
    """Keep the departure from the top at the corners of triangles that are over holes."""
    beyond = np.unique(surface.triangles[~surface.is_surveyed])
    corners = np.setdiff1d(surface.triangles[is_hole], beyond)
    held = np.zeros(len(surface.points)) if surface.held is None else surface.held.copy()
    places = surface.points[corners]
    held[corners] = nearest_level(top.corners, places[:, :2]) - places[:, 2]
    return replace(surface, is_surveyed=surface.is_surveyed & ~is_hole, held=held)


def _note(holes: NDArray[np.object_], area: float) -> Note:
    length, width, _ = measure_extent(shapely.get_coordinates(holes[0]))
    largest = (
        "in {} by {}" if len(holes) == 1 else f"in {len(holes)} places, the largest {{}} by {{}}"
    )
    middles = shapely.get_coordinates(shapely.point_on_surface(holes))
    return Note(
        "scan-holes",
        f"The scan shows nothing of {{}} of the slab, {largest}: water, or a shadow? The base is "
        "taken to run on evenly there from what is around, and nothing there is listed to be done. "
        "Shoot it, or scan it again.",
        (
            Measure(area, Kind.AREA),
            Measure(length, Kind.TAPE),
            Measure(width, Kind.TAPE),
        ),
        places=tuple((float(east), float(north)) for east, north in middles),
    )
