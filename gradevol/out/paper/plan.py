"""The ground of the sheet's plan: what is off, what is cast in, the edge; lines only."""

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import join_rings, outline_beyond
from gradevol.measures.spots import Spots
from gradevol.out.pictures.bands import choose_bands
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.sides import draw_edge
from gradevol.site.thickening import outline_at

#: From one line of a hatch, or dot, to the next, in.
HIGH_HATCH, THIN_HATCH, LOW_DOTS = 0.095, 0.07, 0.105
#: Greys of what numbers stand on: light enough for them to be read.
HIGH_GREY, LOW_GREY, THIN_GREY = "0.52", "0.45", "0.41"
#: Width of a side that meets what stands there, and dashes, points.
FLUSH = 5.5
BEYOND_DASH, THICKENING_DASH = (1.2, 2.0), (9.0, 3.0)
#: A spot smaller than this on paper can't be seen, in².
_LEAST_SPOT = 0.002


def open_plan(sheet: Sheet, result: Result, *, scale: float, corner: tuple[float, float]) -> Chart:
    """Open a chart of the exact triangles, at inches to a metre, from a corner, in."""
    return Chart(
        sheet=sheet,
        result=result,
        bands=choose_bands(result),
        scale=scale,
        corner=np.array(corner),
        origin=result.slab.edge.min(axis=0),
        corners=result.field.corners,
        value=result.field.thickness,
        is_mean=False,
    )


def draw_ground(chart: Chart) -> float | None:
    """
    Draw what lies below the marks: spots, what is cast in, the slab's edge.

    Returns
    -------
    float or None
        Spacing of the ticks along the sides, m; None where no side is long enough for any.
    """
    _draw_beyond(chart)
    _draw_spots(chart)
    _draw_cast_in(chart)
    tick = draw_edge(chart)
    _draw_flush(chart)
    return tick


def hatch_lines(area: shapely.Geometry, spacing: float, *, is_rising: bool) -> list[FloatArray]:
    """Slanting lines across an area on paper, in."""
    if area.is_empty:
        return []
    west, south, east, north = area.bounds
    reach = north - south
    step = spacing * np.sqrt(2)
    starts = np.arange(np.floor((west - reach) / step) * step, east, step)
    low, high = (south, north) if is_rising else (north, south)
    ends = np.array([[(start, low), (start + reach, high)] for start in starts])
    cut = shapely.intersection(shapely.multilinestrings(ends), area)
    return [shapely.get_coordinates(line) for line in shapely.get_parts(cut) if line.length > 0.01]


def dots_in(area: shapely.Geometry, spacing: float) -> FloatArray:
    """Places of a staggered texture of dots in an area on paper, (n, 2), in."""
    west, south, east, north = area.bounds
    across = np.arange(np.floor(west / spacing) * spacing, east, spacing)
    up = np.arange(np.floor(south / spacing) * spacing, north, spacing / 2)
    x, y = np.meshgrid(across, up)
    x[np.round(y[:, 0] / spacing * 2).astype(int) % 2 == 1] += spacing / 2
    places = np.column_stack([x.ravel(), y.ravel()])
    shapely.prepare(area)
    return np.asarray(places[shapely.contains_xy(area, *places.T)])


def _draw_beyond(chart: Chart) -> None:
    """Draw the border of what the shots surround, where it is not the slab's edge."""
    if chart.result.field.is_surveyed.all():
        return
    beyond = outline_beyond(chart.result.field)
    border = shapely.difference(beyond.boundary, chart.result.slab.outline.boundary.buffer(1e-3))
    lines = [
        chart.on_paper(shapely.get_coordinates(part))
        for part in shapely.get_parts(shapely.line_merge(border))
        if part.length * chart.scale > 0.02
    ]
    chart.sheet.lines(lines, width=1.0, dashes=BEYOND_DASH, layer=3.3)


def _areas(chart: Chart, spots: Spots | None) -> list[tuple[list[FloatArray], shapely.Geometry]]:
    """Rings on paper, closed, and the area of each spot that can be seen, in."""
    found = []
    for spot in spots.listed if spots else ():
        if spot.area * chart.scale**2 >= _LEAST_SPOT:
            rings = [chart.on_paper(np.vstack([ring, ring[:1]])) for ring in spot.rings]
            found.append((rings, join_rings([ring[:-1] for ring in rings])))
    return found


def _draw_spots(chart: Chart) -> None:
    """Hatch what is high, dot what is low, hatch and outline what is thin."""
    sheet, result = chart.sheet, chart.result
    for rings, area in _areas(chart, result.low):
        sheet.dots(dots_in(area, LOW_DOTS), size=1.5, colour=LOW_GREY, layer=2)
        sheet.lines(rings, width=0.5, colour=LOW_GREY, layer=2.2)
    thin = _areas(chart, result.thin)
    # each place has the hatch that the key shows for it, not two across one another
    hatched = shapely.union_all([area for _, area in thin])
    for rings, area in _areas(chart, result.high):
        high = hatch_lines(shapely.difference(area, hatched), HIGH_HATCH, is_rising=True)
        sheet.lines(high, width=0.6, colour=HIGH_GREY, layer=2.3)
        sheet.lines(rings, width=0.6, colour=HIGH_GREY, layer=2.4)
    for rings, area in thin:
        sheet.lines(
            hatch_lines(area, THIN_HATCH, is_rising=False), width=0.7, colour=THIN_GREY, layer=2.5
        )
        sheet.lines(rings, width=1.5, colour="black", layer=2.6)


def _draw_cast_in(chart: Chart) -> None:
    """Draw thickenings and conduits."""
    slab, sheet = chart.result.slab, chart.sheet
    for part in slab.thickenings:
        area = outline_at(part, slab, out=part.side_slope * part.depth)
        inner = shapely.difference(area.boundary, slab.outline.boundary.buffer(1e-3))
        lines = [
            chart.on_paper(shapely.get_coordinates(line))
            for line in shapely.get_parts(shapely.line_merge(inner))
        ]
        sheet.lines(lines, width=0.8, dashes=THICKENING_DASH, colour="black", layer=3.2)
    for void in slab.voids:
        if void.line is not None:
            path = chart.on_paper(void.line)
            sheet.lines([path], width=2.8, colour="black", layer=3.4)
            sheet.lines([path], width=1.3, colour="white", layer=3.41)


def _draw_flush(chart: Chart) -> None:
    """Draw the sides that meet what stands there already much heavier than the forms."""
    sides = [chart.result.slab.sides[number - 1] for number in chart.result.flush_sides]
    if sides:
        paths = [chart.on_paper(side) for side in sides]
        chart.sheet.lines(paths, width=FLUSH, colour="black", layer=4.81)
