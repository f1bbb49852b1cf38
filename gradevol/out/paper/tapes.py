"""What leads to the works on the sheet's plan: their numbers, and the tapes to their places."""

from collections.abc import Sequence

import numpy as np

from gradevol.answer.drawing.badges import place_badges
from gradevol.answer.drawing.spots import WorkPlace
from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.badges import draw_number
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.hatching import box
from gradevol.out.pictures.placing import lead
from gradevol.out.pictures.sheet import Place, Sheet
from gradevol.out.pictures.styles import LINES, PLACES

#: Points.
TAPE = 7.4
#: A tape shorter than this has no room for its length: the fix list says it, in.
_SHORT = 0.22
#: Room that a length needs along its line, and along the edge where it stands off the slab: there
#: it would read on into the numbers of the ticks, in.
_APART, _APART_OFF = 0.03, 0.25
#: White under words lies above hatches and tapes, below the slab's edge.
PLATES = 4.6


def draw_numbers(chart: Chart, works: Sequence[WorkPlace]) -> int:
    """Number each work beside its place, with a cross where it is worst; how many had no room."""
    sheet, spots = chart.sheet, chart.drawing.spots
    places = chart.on_paper(np.array([work.at for work in works]).reshape(-1, 2))
    PLACES["worst"].draw(sheet, places)
    for x, y in places:
        sheet.room.take(x, y, 0.07, 0.07)
    middles = place_badges(
        places,
        [chart.all_on_paper(work.rings) for work in works],
        [chart.all_on_paper(rings) for rings in spots.outlines],
        chart.all_on_paper(chart.drawing.slab.rings),
        sheet.room,
    )
    left_out = 0
    for work, at, middle in zip(works, places, middles, strict=True):
        if middle is None:
            left_out += 1
            continue
        lead(sheet, np.array([at, middle]))
        draw_number(sheet, middle[0], middle[1], work.rank)
    return left_out


def draw_tapes(chart: Chart, work: WorkPlace) -> None:
    """Draw lines from the sides, or corners, that a place is taped from, with their lengths."""
    at = chart.on_paper(work.at)
    for tape in work.tapes:
        path = np.array([chart.on_paper(tape.foot), at])
        length = float(np.hypot(*(path[1] - path[0])))
        if length >= 0.05:
            LINES["tape"].draw(chart.sheet, [path])
        if length >= _SHORT:
            _write_length(chart, path, length, tape.text)
    chart.sheet.room.take(at[0], at[1], 0.05, 0.05)


def _write_length(chart: Chart, path: FloatArray, length: float, text: str) -> None:
    """Write the length of a tape along it, where there is room."""
    room, along = chart.sheet.room, (path[1] - path[0]) / length
    angle = float((np.degrees(np.arctan2(along[1], along[0])) + 89.9) % 180 - 89.9)
    wide, high = chart.sheet.measure(text, TAPE)
    shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8) if length > wide else (0.5,)
    square = np.array([-along[1], along[0]])
    middles = np.array(
        [
            path[0] + share * length * along + off * square
            for off in (0.0, 0.085, -0.085, 0.17, -0.17)
            for share in shares
        ]
    )
    for (x, y), is_on in zip(middles.tolist(), chart.is_on_slab(middles), strict=True):
        apart = _APART if is_on else _APART_OFF
        place = room.find([(x, y, angle)], wide + apart, 0.8 * high + 0.02)
        if place is not None:
            _write_on_plate(chart.sheet, place, text, (wide, high))
            return


def _write_on_plate(sheet: Sheet, place: Place, text: str, size: tuple[float, float]) -> None:
    x, y, angle = place
    turn = np.radians(angle)
    way = np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    corners = plate_about(0.0, 0.0, size[0], 0.75 * size[1]) @ way + np.array([x, y])
    sheet.fill([corners], facecolor="white", zorder=PLATES)
    sheet.write(x, y, text, size=TAPE, angle=angle, across="center")


def plate_about(x: float, y: float, wide: float, high: float) -> FloatArray:
    """Corners of the white under words about a middle, in."""
    return box(x, y, wide + 0.024, high + 0.024)
