"""Water on the map: which way the design top falls, where it is flat, where water stands."""

from collections.abc import Sequence

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import join_rings
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import INK, PAPER
from gradevol.out.pictures.marks import label_beside
from gradevol.out.pictures.sheet import Sheet

#: Length of an arrow and of its barbs; how far it may move aside for words, in.
ARROW, _BARB, _ASIDE = 0.21, 0.065, 0.16
#: Arrows stand at least this far apart, in.
_APART = 0.75
#: From one line of standing water to the next, in.
_WAVE = 0.08
#: Outline of flat places: dashes, points.
FLAT = (0.8, 1.9)
#: Places smaller than this on paper can't be seen, in²; those labelled, at most.
_LEAST_PLACE, _LABELLED = 0.002, 6


def draw_flat(chart: Chart) -> bool:
    """Outline flat places and rule the water that stands; returns whether any flat is drawn."""
    drainage, sheet = chart.result.drainage, chart.sheet
    if drainage is None:
        return False
    for rings in filter(None, (_seen(chart, pond.rings) for pond in drainage.ponds)):
        sheet.lines(waves(join_rings([ring[:-1] for ring in rings])), width=0.45, layer=3.9)
        sheet.lines(rings, width=0.9, casing=0.7, layer=3.95)
    flat = [rings for place in drainage.flat if (rings := _seen(chart, place.rings))]
    for rings in flat:
        sheet.lines(rings, width=1.3, dashes=FLAT, casing=0.6, layer=3.96)
    return bool(flat)


def label_flat(chart: Chart) -> None:
    """Write what is flat and how deep water stands beside the largest of these places."""
    drainage, units = chart.result.drainage, chart.result.units
    if drainage is None:
        return
    said = [
        (pond.at[:2], pond.rings, f"water {units.say_thickness(pond.depth)}")
        for pond in drainage.ponds
    ]
    said += [(place.at, place.rings, "flat") for place in drainage.flat]
    for at, rings, text in said[:_LABELLED]:
        if _seen(chart, rings):
            label_beside(chart, chart.on_paper(np.array(at)), text, size=7.5, plate=True)


def _seen(chart: Chart, rings: tuple[FloatArray, ...]) -> list[FloatArray]:
    """Closed rings of a place, in; none if it is too small to be seen."""
    shown = [chart.on_paper(np.vstack([ring, ring[:1]])) for ring in rings]
    area = join_rings([ring[:-1] for ring in shown]).area
    return shown if area >= _LEAST_PLACE else []


def waves(area: shapely.Geometry) -> list[FloatArray]:
    """Level lines across an area on paper, in, as a still water is drawn."""
    west, south, east, north = area.bounds
    rows = np.arange(np.ceil(south / _WAVE) * _WAVE, north, _WAVE)
    lines = shapely.linestrings([[(west - 1, row), (east + 1, row)] for row in rows])
    cut = shapely.intersection(lines, area)
    return [shapely.get_coordinates(line) for line in shapely.get_parts(cut) if line.length > 0.01]


def draw_arrows(
    chart: Chart, *, around: Sequence[FloatArray] = (), width: float = 0.9, colour: str = INK
) -> int:
    """
    Draw which way water runs on the design top, where no word stands.

    Parameters
    ----------
    chart : Chart
        Its words are written already: an arrow moves a little aside for them, or gives way.
    around : sequence of (n, 2) arrays of float
        Lines, in, that no arrow may cross.
    width : float
        Of its lines, points.
    colour : str

    Returns
    -------
    int
        How many are drawn; none on a level top.
    """
    drainage = chart.result.drainage
    for path in around:
        chart.sheet.room.take_line(path)
    drawn: list[FloatArray] = []
    for arrow in drainage.arrows if drainage is not None else ():
        turn = np.radians(90 - arrow.bearing)
        way = np.array([np.cos(turn), np.sin(turn)])
        at = chart.on_paper(np.array(arrow.at))
        if any(np.hypot(*(at - other)) < _APART for other in drawn):
            continue
        middle = _find_room(chart, at, way)
        if middle is not None:
            draw_arrow(chart.sheet, middle, way, width=width, colour=colour)
            drawn.append(at)
    return len(drawn)


def _find_room(chart: Chart, at: FloatArray, way: FloatArray) -> FloatArray | None:
    """Place of an arrow's middle at or near a place, in, on the slab; its room is taken."""
    angle = float(np.degrees(np.arctan2(way[1], way[0])))
    across = np.array([-way[1], way[0]])
    steps = [(0.0, 0.0)] + [
        (share * _ASIDE * a, share * _ASIDE * b)
        for share in (0.5, 1.0)
        for a, b in ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))
    ]
    for along, aside in steps:
        middle = at + along * way + aside * across
        ends = np.array([middle - 0.6 * ARROW * way, middle + 0.6 * ARROW * way])
        ground = (ends - chart.corner) / chart.scale + chart.origin
        if not shapely.contains_xy(chart.result.slab.outline, *ground.T).all():
            continue
        size = (ARROW + 0.04, 1.4 * _BARB)
        if chart.sheet.room.is_free(middle[0], middle[1], *size, angle):
            chart.sheet.room.take(middle[0], middle[1], *size, angle)
            return middle
    return None


def draw_arrow(
    sheet: Sheet, middle: FloatArray, way: FloatArray, *, width: float = 0.9, colour: str = INK
) -> None:
    """Draw one arrow about its middle, in, along a way of length 1."""
    across = np.array([-way[1], way[0]])
    tip = middle + ARROW / 2 * way
    barbs = [tip - _BARB * way + side * 0.55 * _BARB * across for side in (1, -1)]
    shaft = np.array([middle - ARROW / 2 * way, tip])
    head = np.array([barbs[0], tip, barbs[1]])
    # white under it, so that it is told from the level lines
    sheet.lines([shaft, head], width=width + 1.6, colour=PAPER, alpha=0.85, layer=4.85)
    sheet.lines([shaft, head], width=width, colour=colour, layer=4.86)


def has_ponds(result: Result) -> bool:
    """Whether water stands anywhere on the top."""
    return result.drainage is not None and bool(result.drainage.ponds)
