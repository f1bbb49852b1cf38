"""What leads to the works on the sheet's plan: their numbers, and the tapes to their places."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.out.paper.type import draw_number
from gradevol.out.paper.works import WorkLine
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.sheet import Sheet

#: Points.
TAPE = 7.4
TAPE_DASH = (4.0, 2.2)
#: A tape shorter than this has no room for its length: the fix list says it, in.
_SHORT = 0.22
#: Room that a length off the slab needs along the edge, in.
_APART = 0.25
#: White under words lies above hatches and tapes, below the slab's edge.
PLATES = 4.6


def draw_numbers(chart: Chart, works: list[WorkLine]) -> None:
    """Put the number of each work beside its worst place, and a cross upon that place."""
    sheet = chart.sheet
    for work in works:
        x, y = chart.on_paper(np.array(work.at))
        sheet.dots(
            np.array([(x, y)]), size=5.5, mark="x", colour="black", edge_width=1.3, layer=6.9
        )
        sheet.room.take(x, y, 0.07, 0.07)
    for work in works:
        x, y = chart.on_paper(np.array(work.at))
        for reach in (0.17, 0.24, 0.32):
            for turn in np.radians((90, 45, 135, 0, 180, 270, 315, 225)):
                a, b = x + reach * np.cos(turn), y + reach * np.sin(turn)
                if sheet.room.is_free(a, b, 0.19, 0.19):
                    break
            else:
                continue
            sheet.room.take(a, b, 0.19, 0.19)
            sheet.lines([np.array([(x, y), (a, b)])], width=0.7, colour="black", layer=6.8)
            draw_number(sheet, float(a), float(b), work.number)
            break


def draw_tapes(chart: Chart, work: WorkLine) -> None:
    """Draw lines from the sides, or corners, that a place is taped from, with their lengths."""
    sheet, slab, units = chart.sheet, chart.result.slab, chart.result.units
    at = np.array(work.at)
    for number, away in work.where.sides:
        start, end = slab.sides[number - 1]
        along = (end - start) / np.hypot(*(end - start))
        foot = start + ((at - start) @ along) * along
        _draw_tape(chart, foot, at, units.say_tape(away))
    for number, away in work.where.corners:
        _draw_tape(chart, slab.edge[number - 1], at, units.say_tape(away))
    x, y = chart.on_paper(at)
    sheet.room.take(float(x), float(y), 0.05, 0.05)


def _draw_tape(chart: Chart, foot: FloatArray, at: FloatArray, text: str) -> None:
    sheet, slab = chart.sheet, chart.result.slab
    path = chart.on_paper(np.array([foot, at]))
    length = float(np.hypot(*(path[1] - path[0])))
    if length < 0.05:
        return
    sheet.lines([path], width=0.8, dashes=TAPE_DASH, colour="black", layer=4.5)
    along = (path[1] - path[0]) / length
    angle = float((np.degrees(np.arctan2(along[1], along[0])) + 89.9) % 180 - 89.9)
    square = np.array([-along[1], along[0]])
    wide, high = sheet.measure(text, TAPE)
    if length < _SHORT:
        return  # the fix list says it
    shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8) if length > wide else (0.5,)
    for off in (0.0, 0.085, -0.085, 0.17, -0.17):
        for share in shares:
            x, y = path[0] + share * length * along + off * square
            ground = (np.array([x, y]) - chart.corner) / chart.scale + chart.origin
            # off the slab a length would read on into the numbers of the ticks
            apart = 0.03 if shapely.intersects_xy(slab.outline, *ground) else _APART
            if sheet.room.is_free(x, y, wide + apart, 0.8 * high + 0.02, angle):
                sheet.room.take(x, y, wide + apart, 0.8 * high + 0.02, angle)
                _write_on_plate(sheet, float(x), float(y), text, angle)
                return


def _write_on_plate(sheet: Sheet, x: float, y: float, text: str, angle: float) -> None:
    wide, high = sheet.measure(text, TAPE)
    turn = np.radians(angle)
    way = np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    corners = (plate_about(0.0, 0.0, wide, 0.75 * high)) @ way + np.array([x, y])
    sheet.fill([corners], facecolor="white", zorder=PLATES)
    sheet.write(x, y, text, size=TAPE, angle=angle, across="center", colour="black", layer=8)


def plate_about(x: float, y: float, wide: float, high: float) -> FloatArray:
    """Corners of the white under words about a middle, in."""
    a, b = wide / 2 + 0.012, high / 2 + 0.012
    return np.array([(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)])
