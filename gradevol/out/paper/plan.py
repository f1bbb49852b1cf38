"""The ground of the sheet's plan: what is off, what is cast in, the edge; lines only."""

from collections.abc import Sequence

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.spots import Place
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.marks import Rings, draw_beyond, draw_cast_in, draw_flush, draw_spots
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
    spots = chart.drawing.spots
    draw_beyond(chart)
    draw_spots(chart, *(_seen(chart, places) for places in (spots.thin, spots.high, spots.low)))
    draw_cast_in(chart)
    tick = draw_edge(chart)
    draw_flush(chart)
    return tick


def _seen(chart: Chart, places: Sequence[Place]) -> list[Rings]:
    return [place.rings for place in places if place.area * chart.scale**2 >= _LEAST_SPOT]
