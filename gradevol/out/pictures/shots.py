"""Shots on the map: those that count, those that no longer do, and what of a scan was left out."""

from dataclasses import replace

import numpy as np

from gradevol.answer.drawing.shots import Shots
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import PAPER
from gradevol.out.pictures.placing import ASIDE_FIRST, label_beside, name_place
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import PLACES, Dot

#: Shots with ids on the map, at most.
NAMED_SHOTS = 80
#: Of the names of suspect shots and of next ones, points.
SUSPECT, NEXT = 8.5, 7.0
#: Shots nearer to one another than this are not drawn: they would hide the map, in.
_LEAST_SPACING = 0.045
#: Crosses nearer to one another than about this would run together, in.
_REMOVED_APART = 0.06
#: Width of the map's rim where shots are drawn, in.
_RIM = 0.4


def draw_shots(chart: Chart) -> int:
    """
    Draw shots as dots and rechecks as diamonds, and ring the suspect ones.

    Returns
    -------
    int
        How many are drawn: none where they would hide the map, and no points of a scan, which
        would pass for the dots of what is low.
    """
    shots, sheet = chart.drawing.shots, chart.sheet
    places = chart.on_paper(shots.places)
    is_near = chart.is_near(places, _RIM)
    ring_suspects(sheet, places[shots.suspects])
    count = int(is_near.sum())
    spacing = chart.spacing(count)
    if not shots.names or spacing < _LEAST_SPACING:
        return 0
    share = float(np.clip(spacing * 4, 0.5, 1.0))  # smaller where they stand close
    for mark, is_kind in (("shot", ~shots.is_later), ("later", shots.is_later)):
        shrink(mark, share).draw(sheet, places[is_near & is_kind])
    if len(places) <= NAMED_SHOTS * 5:
        for x, y in places:
            sheet.room.take(x, y, 0.05, 0.05)
    return count


def shrink(mark: str, share: float) -> Dot:
    """Return a place's mark at a share of its size; without its white rim where it is small."""
    style = PLACES[mark]
    return replace(style, size=share * style.size, edge_width=style.edge_width * (share > 0.7))


def ring_suspects(sheet: Sheet, places: FloatArray) -> None:
    """Ring suspect shots, in, and keep words off them."""
    ring = shrink("suspect", 1.0)
    replace(ring, edge=PAPER, edge_width=3.2, layer=ring.layer - 0.1).draw(sheet, places)
    ring.draw(sheet, places)
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
    ring = shrink("retired", 1.0)
    for tone, width, layer in ((PAPER, 2.2, ring.layer - 0.01), (ring.edge, 0.8, ring.layer)):
        replace(ring, edge=tone, edge_width=width, layer=layer).draw(sheet, places)
        sheet.lines(strokes, width=width, colour=tone, layer=layer)


def draw_next(chart: Chart) -> None:
    """Draw where to shoot next, and keep words off these places."""
    mark_next(chart.sheet, chart.on_paper(chart.drawing.shots.next_places))


def mark_next(sheet: Sheet, places: FloatArray) -> None:
    """Draw the sign of next shots, in, and keep words off them."""
    PLACES["next"].draw(sheet, places)
    for x, y in places:
        sheet.room.take(x, y, 0.1, 0.1)


def draw_removed(chart: Chart) -> None:
    """Mark where points were taken away, each bit of paper once."""
    places = chart.on_paper(chart.drawing.shots.removed)
    if len(places):
        _, first = np.unique(np.round(places / _REMOVED_APART), axis=0, return_index=True)
        PLACES["removed"].draw(chart.sheet, places[first])


def list_suspects(shots: Shots) -> list[str]:
    """List what is written at each suspect shot: its id, if it has one, and a question mark."""
    return [f"{shots.names[index]} ?" if shots.names else "?" for index in shots.suspects]


def name_suspects(chart: Chart) -> int:
    """Write a question mark, and the shot's id, at each suspect shot; how many found no room."""
    shots = chart.drawing.shots
    places = chart.on_paper(shots.places[shots.suspects])
    return sum(
        not name_place(chart, at, name, size=SUSPECT)
        for at, name in zip(places, list_suspects(shots), strict=True)
    )


def name_next(chart: Chart) -> int:
    """Write the names of the next shots as the lists have them; how many found no room."""
    return sum(
        not name_place(chart, chart.on_paper(shot.at), shot.name, size=NEXT)
        for shot in chart.drawing.shots.next
    )


def label_shots(chart: Chart) -> int:
    """Write the shots' ids beside them, where they are few; returns how many have none."""
    shots = chart.drawing.shots
    if len(shots.names) > NAMED_SHOTS:
        return len(shots.names) - len(shots.suspects)
    places = chart.on_paper(shots.places)
    is_named = chart.is_near(places, _RIM)
    is_named[shots.suspects] = False
    unnamed = 0
    held = (places, shots.names, is_named, shots.is_on_slab)
    for at, name, is_near, is_inside in zip(*held, strict=False):
        if is_near:
            # beside the slab it would be read as a number of the ticks
            unnamed += not label_beside(
                chart, at, name, size=7.0, offs=(0.05, 0.1), ways=ASIDE_FIRST, pad=0.0, halo=1.3,
                layer=6, is_inside=is_inside,
            )  # fmt: skip
    return unnamed
