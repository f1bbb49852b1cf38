"""What is marked on the map: spots, what is cast in, what no shot surrounds."""

from collections.abc import Sequence

import numpy as np

from gradevol.answer.drawing.as_built import Mark
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures import styles
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import ALERT
from gradevol.out.pictures.hatching import close
from gradevol.out.pictures.placing import label_beside

_LABELLED_SPOTS = 8
_SPOTS_APART = 0.45
#: A high or low place smaller than this on paper is not labelled, in².
_LEAST_LABELLED = 0.03


def draw_spots(chart: Chart) -> list[FloatArray]:
    """Outline what is high and low, hatch and outline what is thin; returns all outlines, in."""
    sheet, relief = chart.sheet, chart.drawing.relief
    within = None
    if relief.square is not None:  # lines through means run on beyond the slab
        within = chart.all_on_paper(chart.drawing.slab.rings)
    drawn: list[FloatArray] = []
    for style, outlines in ((styles.LOW, relief.low), (styles.HIGH, relief.high)):
        lines = chart.all_on_paper(outlines)
        style.draw(sheet, lines, within=within)
        drawn += lines
    for outline in relief.thin:
        rings = chart.all_on_paper(outline)
        styles.THIN.draw(sheet, rings)
        drawn += close(rings)
    return drawn


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
            styles.LEAST.draw(sheet, at[None])
            sheet.room.take(at[0], at[1], 0.1, 0.1)
        if len(said) < _LABELLED_SPOTS and not _is_near(at, said, _SPOTS_APART):
            label_beside(chart, at, spot.text, size=8.5, bold=True, colour=ALERT, plate=True)
            said.append(at)
    for spot in (*spots.high[:_LABELLED_SPOTS], *spots.low[:_LABELLED_SPOTS]):
        at = chart.on_paper(spot.at)
        is_seen = spot.area * chart.scale**2 > _LEAST_LABELLED
        if is_seen and not _is_near(at, said, _SPOTS_APART):
            label_beside(chart, at, spot.text, size=7.5, plate=True)
            said.append(at)
    return is_marked


def _is_near(at: FloatArray, others: list[FloatArray], reach: float) -> bool:
    return any(float(np.hypot(*(at - other))) < reach for other in others)


def draw_cores(chart: Chart, cores: Sequence[Mark]) -> None:
    """Draw cores, with what each is called and how long it is or is to be."""
    for core in cores:
        style = styles.CORE if core.kind == "core" else styles.CORE_PROPOSED
        at = chart.on_paper(core.at)
        style.draw(chart.sheet, at[None])
        chart.sheet.room.take(at[0], at[1], 0.12, 0.12)
        label_beside(chart, at, f"{core.name}: {core.text}", size=8.0, bold=True, plate=True)


def draw_beyond(chart: Chart) -> None:
    """Dot the part of the slab that no shot surrounds."""
    styles.BEYOND.draw(chart.sheet, chart.all_on_paper(chart.drawing.field.beyond))


def draw_cast_in(chart: Chart) -> None:
    """Draw thickenings, and lines cast in."""
    cast_in = chart.drawing.cast_in
    for part in cast_in.thickenings:
        styles.THICKENING.draw(chart.sheet, close(chart.all_on_paper(part.rings)))
    styles.LINE.draw(chart.sheet, chart.all_on_paper([line.path for line in cast_in.lines]))


def label_covers(chart: Chart) -> None:
    """Mark where cover lacks, and say how much there is; keep words off the lines cast in."""
    room, cast_in = chart.sheet.room, chart.drawing.cast_in
    for line in cast_in.lines:
        room.take_line(chart.on_paper(line.path))
    for cover in cast_in.covers:
        at = chart.on_paper(cover.at)
        styles.COVER.draw(chart.sheet, at[None])
        room.take(at[0], at[1], 0.1, 0.1)
        label_beside(chart, at, cover.text, size=8.0, bold=True, colour=ALERT, plate=True)
