"""The ground of the sheet's plan: what is off, what is cast in, the edge; lines only."""

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.out.pictures import styles
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.hatching import close
from gradevol.out.pictures.marks import draw_cast_in
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.sides import draw_edge

#: A spot smaller than this on paper can't be seen, in².
_LEAST_SPOT = 0.002


def open_plan(
    sheet: Sheet, drawing: Drawing, *, scale: float, corner: tuple[float, float]
) -> Chart:
    """Open a map at inches to a metre, from a corner, in."""
    return Chart(sheet, drawing, scale, np.array(corner))


def draw_ground(chart: Chart) -> float | None:
    """
    Draw what lies below the marks: spots, what is cast in, the slab's edge.

    Returns
    -------
    float or None
        Spacing of the ticks along the sides, m; None where no side is long enough for any.
    """
    slab, sheet = chart.drawing.slab, chart.sheet
    styles.OUTERMOST.draw(sheet, close(chart.all_on_paper(chart.drawing.field.beyond)))
    _draw_spots(chart)
    draw_cast_in(chart)
    tick = draw_edge(chart)
    flush = [slab.paths[number - 1] for number in slab.flush]
    styles.FLUSH.draw(sheet, chart.all_on_paper(flush))
    return tick


def _draw_spots(chart: Chart) -> None:
    """Hatch what is high, dot what is low, hatch and outline what is thin."""
    sheet, spots = chart.sheet, chart.drawing.spots
    thin, high, low = (
        [
            chart.all_on_paper(place.rings)
            for place in places
            if place.area * chart.scale**2 >= _LEAST_SPOT
        ]
        for places in (spots.thin, spots.high, spots.low)
    )
    for rings in low:
        styles.LOW_GREY.draw(sheet, rings)
    # each place has the hatch that the key shows for it, not two across one another
    bare = [ring for rings in thin for ring in rings]
    for rings in high:
        styles.HIGH_GREY.draw(sheet, rings, without=bare)
    for rings in thin:
        styles.THIN_GREY.draw(sheet, rings)
