"""What is marked on the map: spots, what is cast in, what no shot surrounds."""

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from gradevol.answer.drawing.as_built import Mark
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import ALERT, INK
from gradevol.out.pictures.hatching import close, holds
from gradevol.out.pictures.placing import label_beside, name_place
from gradevol.out.pictures.styles import AREAS, LINES, PLACES

#: Outline of a place, holes among its rings; (n, 2) each, m.
Rings: TypeAlias = Sequence[FloatArray]

_LABELLED_SPOTS = 8
_SPOTS_APART = 0.45
#: Of the name of an opening, points.
_NAME = 7.5
#: A high or low place smaller than this on paper is not labelled, in².
_LEAST_LABELLED = 0.03


def draw_spots(
    chart: Chart,
    thin: Sequence[Rings],
    high: Sequence[Rings],
    low: Sequence[Rings],
) -> list[FloatArray]:
    """Dot what is low, hatch what is high, and what is thin; returns all outlines, in."""
    sheet = chart.sheet
    places = {
        mark: [chart.all_on_paper(rings) for rings in held]
        for mark, held in (("low", low), ("high", high), ("thin", thin))
    }
    # each place has the hatch that the key shows for it, not two across one another
    bare = [ring for rings in places["thin"] for ring in rings]
    for mark, held in places.items():
        for rings in held:
            AREAS[mark].draw(sheet, rings, without=bare if mark == "high" else ())
    return close([ring for held in places.values() for rings in held for ring in rings])


def label_spots(chart: Chart) -> bool:
    """
    Say the least thickness of thin spots and how far off the largest others are.

    Returns
    -------
    bool
        Whether a place that is thinnest is marked; at a suspect shot its ring is enough.
    """
    sheet, spots, shots = chart.sheet, chart.drawing.spots, chart.drawing.shots
    suspects = list(chart.on_paper(shots.places[shots.suspects]))
    said: list[FloatArray] = []
    is_marked = False
    for spot in spots.thin:
        at = chart.on_paper(spot.at)
        if not _is_near(at, suspects, 0.05):
            is_marked = True
            PLACES["worst"].draw(sheet, at[None])
            sheet.room.take(at[0], at[1], 0.1, 0.1)
        if len(said) < _LABELLED_SPOTS and not _is_near(at, said, _SPOTS_APART):
            _say_at(chart, at, spot.text, size=8.5, bold=True, colour=ALERT)
            said.append(at)
    for spot in (*spots.high[:_LABELLED_SPOTS], *spots.low[:_LABELLED_SPOTS]):
        at = chart.on_paper(spot.at)
        is_seen = spot.area * chart.scale**2 > _LEAST_LABELLED
        if is_seen and not _is_near(at, said, _SPOTS_APART):
            _say_at(chart, at, spot.text, size=7.5)
            said.append(at)
    return is_marked


def _say_at(
    chart: Chart, at: FloatArray, text: str, *, size: float, bold: bool = False, colour: str = INK
) -> None:
    """Say it near a place, or at the end of a line that leads there: shots may leave no room."""
    if not label_beside(chart, at, text, size=size, bold=bold, colour=colour, plate=True):
        name_place(chart, at, text, size=size, colour=colour)


def _is_near(at: FloatArray, others: list[FloatArray], reach: float) -> bool:
    return any(float(np.hypot(*(at - other))) < reach for other in others)


def draw_cores(chart: Chart, cores: Sequence[Mark]) -> None:
    """Draw cores, with what each is called and how long it is or is to be."""
    for core in cores:
        style = PLACES[core.kind]
        at = chart.on_paper(core.at)
        style.draw(chart.sheet, at[None])
        chart.sheet.room.take(at[0], at[1], 0.12, 0.12)
        label_beside(chart, at, f"{core.name}: {core.text}", size=8.0, bold=True, plate=True)


def draw_beyond(chart: Chart) -> None:
    """Draw the line through the outermost shots, beyond which the base is assumed."""
    LINES["outermost"].draw(chart.sheet, close(chart.all_on_paper(chart.drawing.field.beyond)))


def draw_flush(chart: Chart) -> None:
    """Draw the sides whose top meets what stands there, heavier than a form."""
    slab = chart.drawing.slab
    flush = [slab.paths[number - 1] for number in slab.flush]
    LINES["flush"].draw(chart.sheet, chart.all_on_paper(flush))


def draw_cast_in(chart: Chart) -> None:
    """Draw thickenings, and lines cast in."""
    cast_in = chart.drawing.cast_in
    for part in cast_in.thickenings:
        LINES["thickening"].draw(chart.sheet, close(chart.all_on_paper(part.rings)))
    LINES["line"].draw(chart.sheet, chart.all_on_paper([line.path for line in cast_in.lines]))


def label_openings(chart: Chart) -> None:
    """Write the name of each opening in it, or beside it with a line that leads there."""
    for opening in chart.drawing.slab.openings:
        ring = chart.on_paper(opening.ring)
        at = (ring.min(axis=0) + ring.max(axis=0)) / 2
        wide, high = chart.sheet.measure(opening.name, _NAME)
        ends = at + np.array([(-wide / 2, 0), (wide / 2, 0), (0, high / 2), (0, -high / 2)])
        is_held = holds([ring], ends).all()
        places = [(float(at[0]), float(at[1]), 0.0)]
        if is_held and chart.sheet.label(places, opening.name, size=_NAME):
            continue
        name_place(chart, at, opening.name, size=_NAME)


def label_covers(chart: Chart) -> None:
    """Mark where cover lacks, and say how much there is; keep words off the lines cast in."""
    room, cast_in = chart.sheet.room, chart.drawing.cast_in
    for line in cast_in.lines:
        room.take_line(chart.on_paper(line.path))
    for cover in cast_in.covers:
        at = chart.on_paper(cover.at)
        PLACES["cover"].draw(chart.sheet, at[None])
        room.take(at[0], at[1], 0.1, 0.1)
        label_beside(chart, at, cover.text, size=8.0, bold=True, colour=ALERT, plate=True)
