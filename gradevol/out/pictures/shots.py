"""Shots on the map: those that count, those that no longer do, and what of a scan was left out."""

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures import styles
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import INK, PAPER, SOFT_INK
from gradevol.out.pictures.placing import ASIDE_FIRST, label_beside
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import Dot

#: Shots with ids on the map, at most.
NAMED_SHOTS = 80
#: Shots nearer to one another than this are not drawn: they would hide the map, in.
_LEAST_SPACING = 0.045
#: Crosses nearer to one another than about this would run together, in.
_REMOVED_APART = 0.06
#: Width of the map's rim where shots are drawn, in.
_RIM = 0.4


def draw_shots(chart: Chart) -> int:
    """
    Draw shots as dots and rechecks as diamonds, and ring the suspect ones.

    Parameters
    ----------
    chart : Chart

    Returns
    -------
    int
        How many are drawn: none where they would hide the map. Points of a scan are drawn on the
        slab alone.
    """
    shots, sheet = chart.drawing.shots, chart.sheet
    places = chart.on_paper(shots.places)
    is_near = chart.is_near(places, _RIM)
    if not shots.names:
        is_near &= shots.is_on_slab
    ring_suspects(sheet, places[shots.suspects])
    count = int(is_near.sum())
    spacing = chart.spacing(count)
    if spacing < _LEAST_SPACING:
        return 0
    size = float(np.clip(spacing * 14, 1.6, 3.4))
    edge = 0.5 if size > 2.5 else 0.0
    later = is_near & shots.is_later
    Dot(size, edge=PAPER, edge_width=edge).draw(sheet, places[is_near & ~shots.is_later])
    Dot(1.35 * size, "D", edge=PAPER, edge_width=edge).draw(sheet, places[later])
    if len(places) <= NAMED_SHOTS * 5:
        for x, y in places:
            sheet.room.take(x, y, 0.05, 0.05)
    return count


def ring_suspects(sheet: Sheet, places: FloatArray) -> None:
    """Ring suspect shots, in, and keep words off them."""
    for colour, width, layer in ((PAPER, 3.2, 6.9), (INK, 1.5, 7.0)):
        Dot(11, colour="none", edge=colour, edge_width=width, layer=layer).draw(sheet, places)
    for x, y in places:
        sheet.room.take(x, y, 0.16, 0.16)


def draw_retired(chart: Chart) -> int:
    """Strike through the places of retired shots; returns how many are drawn."""
    places = chart.on_paper(chart.drawing.shots.retired)
    places = places[chart.is_near(places, _RIM)]
    if len(places) == 0 or chart.spacing(len(places)) < _LEAST_SPACING:
        return 0
    mark_retired(chart.sheet, places)
    for x, y in places:
        chart.sheet.room.take(x, y, 0.07, 0.07)
    return len(places)


def mark_retired(sheet: Sheet, places: FloatArray) -> None:
    """Draw the sign of a retired shot, in: hollow, so that a copy tells it from a dot."""
    strokes = [np.array([at - 0.045, at + 0.045]) for at in places]
    for tone, width, layer in ((PAPER, 2.2, 4.96), (SOFT_INK, 0.8, 4.97)):
        Dot(4.6, colour="none", edge=tone, edge_width=width, layer=layer).draw(sheet, places)
        sheet.lines(strokes, width=width, colour=tone, layer=layer)


def draw_next(chart: Chart) -> None:
    """Draw where to shoot next, and keep words off these places."""
    places = chart.on_paper(chart.drawing.shots.next_places)
    styles.NEXT.draw(chart.sheet, places)
    for x, y in places:
        chart.sheet.room.take(x, y, 0.1, 0.1)


def draw_removed(chart: Chart) -> None:
    """Cross where points were taken away, each bit of paper once."""
    places = chart.on_paper(chart.drawing.shots.removed)
    if len(places):
        _, first = np.unique(np.round(places / _REMOVED_APART), axis=0, return_index=True)
        mark_removed(chart.sheet, places[first])


def mark_removed(sheet: Sheet, places: FloatArray) -> None:
    """Draw the crosses, in."""
    for colour, width, layer in ((PAPER, 1.5, 4.9), (INK, 0.6, 4.95)):
        Dot(3.2, "+", edge=colour, edge_width=width, layer=layer).draw(sheet, places)


def label_suspects(chart: Chart) -> None:
    """Put a question mark, and the shot's id, at each suspect shot."""
    shots = chart.drawing.shots
    for index in shots.suspects[:NAMED_SHOTS]:
        name = f"{shots.names[index]} ?" if shots.names else "?"
        at = chart.on_paper(shots.places[index])
        label_beside(chart, at, name, size=8.5, bold=True, halo=2.0)


def label_shots(chart: Chart) -> int:
    """Write the shots' ids beside them, where they are few; returns how many have none."""
    shots = chart.drawing.shots
    if len(shots.names) > NAMED_SHOTS:
        return len(shots.names) - len(shots.suspects[:NAMED_SHOTS])
    places = chart.on_paper(shots.places)
    is_named = chart.is_near(places, _RIM)
    is_named[shots.suspects] = False
    unnamed = 0
    for at, name, is_near in zip(places, shots.names, is_named, strict=False):
        if is_near:
            unnamed += not label_beside(
                chart, at, name, size=6.5, offs=(0.05, 0.1), ways=ASIDE_FIRST, pad=0.0, halo=1.3,
                layer=6,
            )  # fmt: skip
    return unnamed
