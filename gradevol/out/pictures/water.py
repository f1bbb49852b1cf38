"""Water on the map: which way the design top falls, where it is flat, where water stands."""

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from gradevol.answer.drawing.water import WetPlace
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import INK, PAPER
from gradevol.out.pictures.hatching import close
from gradevol.out.pictures.placing import ABOVE_FIRST, label_beside, name_place
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import AREAS, LINES

#: An arrow's middle, in, and the way along it, (2,) each.
Arrow: TypeAlias = tuple[FloatArray, FloatArray]
#: Length of an arrow and of its barbs; how far it may move aside for words, in.
ARROW, _BARB, _ASIDE = 0.21, 0.065, 0.16
#: Arrows stand at least this far apart, in.
_APART = 0.75
#: Places smaller than this on paper can't be seen, in²; those labelled, at most.
_LEAST_PLACE, _LABELLED = 0.002, 6
#: Steps along an arrow and aside that it may move, in order, as shares of the farthest.
_STEPS = [(0.0, 0.0)] + [(share * a, share * b) for share in (0.5, 1.0) for a, b in ABOVE_FIRST]


def draw_flat(chart: Chart) -> bool:
    """Outline flat places and rule the water that stands; returns whether any flat is drawn."""
    water, sheet = chart.drawing.water, chart.sheet
    for pond in water.ponds:
        if _is_seen(chart, pond):
            AREAS["pond"].draw(sheet, chart.all_on_paper(pond.rings))
    flat = [place for place in water.flat if _is_seen(chart, place)]
    for place in flat:
        LINES["flat"].draw(sheet, close(chart.all_on_paper(place.rings)))
    return bool(flat)


def label_flat(chart: Chart) -> None:
    """Write what is flat and how deep water stands beside the largest of these places."""
    water = chart.drawing.water
    for pond in water.ponds[:_LABELLED]:
        if _is_seen(chart, pond):
            name_place(chart, chart.on_paper(pond.at), pond.text, size=7.5)
    for place in water.flat[: _LABELLED - len(water.ponds[:_LABELLED])]:
        if _is_seen(chart, place):
            label_beside(chart, chart.on_paper(place.at), place.text, size=7.5, plate=True)


def _is_seen(chart: Chart, place: WetPlace) -> bool:
    return place.area * chart.scale**2 >= _LEAST_PLACE


def draw_arrows(chart: Chart, *, around: Sequence[FloatArray] = ()) -> int:
    """
    Draw which way water runs on the design top, where no word stands.

    Parameters
    ----------
    chart : Chart
        Its words are written already: an arrow moves a little aside for them, or gives way.
    around : sequence of (n, 2) arrays of float
        Lines, in, that no arrow may cross.

    Returns
    -------
    int
        How many are drawn; none on a level top.
    """
    water, drawn, arrows = chart.drawing.water, np.empty((0, 2)), list[Arrow]()
    for path in around:
        chart.sheet.room.take_line(path)
    for at, way in zip(chart.on_paper(water.arrow_places), water.arrow_ways, strict=True):
        if (np.hypot(*(at - drawn).T) < _APART).any():
            continue
        middle = _find_room(chart, at, way)
        if middle is not None:
            arrows.append((middle, way))
            drawn = np.vstack([drawn, at])
    if arrows:
        draw_ways(chart.sheet, arrows)
    return len(drawn)


def _find_room(chart: Chart, at: FloatArray, way: FloatArray) -> FloatArray | None:
    """Place of an arrow's middle at or near a place, in, on the slab; its room is taken."""
    angle = float(np.degrees(np.arctan2(way[1], way[0])))
    middles = at + _ASIDE * np.array(_STEPS) @ np.array([way, (-way[1], way[0])])
    ends = np.stack([middles - 0.6 * ARROW * way, middles + 0.6 * ARROW * way], axis=1)
    places = [(x, y, angle) for x, y in middles[chart.is_on_slab(ends).all(axis=1)].tolist()]
    found = chart.sheet.room.find(places, ARROW + 0.04, 1.4 * _BARB)
    return None if found is None else np.array(found[:2])


def draw_ways(sheet: Sheet, arrows: Sequence[Arrow]) -> None:
    """Draw arrows about their middles, in, each along a way of length 1."""
    paths: list[FloatArray] = []
    for middle, way in arrows:
        across = np.array([-way[1], way[0]])
        tip = middle + ARROW / 2 * way
        barbs = [tip - _BARB * way + side * 0.55 * _BARB * across for side in (1, -1)]
        paths.append(np.array([middle - ARROW / 2 * way, tip]))
        paths.append(np.array([barbs[0], tip, barbs[1]]))
    # white under them, so that they are told from the level lines
    sheet.lines(paths, width=2.5, colour=PAPER, alpha=0.85, layer=4.85)
    sheet.lines(paths, width=0.9, colour=INK, layer=4.86)
