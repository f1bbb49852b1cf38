"""What is written on the sheet's plan: marks, numbers of the fix list, lengths of tape."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.out.paper.marks import Drawn, Marks, say_mark
from gradevol.out.paper.tapes import PLATES, draw_numbers, draw_tapes, plate_about
from gradevol.out.paper.works import WorkLine
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.shots import draw_next, draw_retired, find_later
from gradevol.out.pictures.water import draw_arrows

#: Points.
MARK, NAME = 8.2, 6.4
#: Grey of shots that no longer count: a copy keeps it.
RETIRED = "0.35"
#: Works that lines are taped to.
TAPED = 4
#: A letter's height of its line's; from an id to its mark; from a dot to its label, in.
_CAPITAL, _APART, _OFF = 0.8, 0.025, 0.058
#: From a label to the slab's edge, at least, in.
_CLEAR = 0.04
#: Shots without a mark are drawn where they are this far apart, in: nearer they look like dots
#: of what is low.
_LESSER = 0.12


def draw_labels(chart: Chart, marks: Marks, works: list[WorkLine]) -> Drawn:
    """
    Draw the marks, the numbers of works and the tapes to them, and which way water runs.

    Parameters
    ----------
    chart : Chart
    marks : Marks
    works : list of WorkLine
        Those that the sheet lists.

    Returns
    -------
    Drawn
    """
    draw_retired(chart, colour=RETIRED)
    draw_next(chart)
    has_others = _draw_dots(chart, marks)
    draw_numbers(chart, works)
    order = np.argsort(-np.round(np.abs(marks.departure), 6), kind="stable")
    is_suspect = marks.is_suspect[order]
    first = _write_marks(chart, marks, order[is_suspect])
    for work in works[:TAPED]:
        draw_tapes(chart, work)
    then = _write_marks(chart, marks, order[~is_suspect])
    spots = (chart.result.thin, chart.result.high, chart.result.low)
    around = [
        chart.on_paper(np.vstack([ring, ring[:1]]))
        for held in spots
        if held is not None
        for spot in held.listed
        for ring in spot.rings
    ]
    draw_arrows(chart, around=around, width=0.7, colour="black")
    return Drawn(first[0] + then[0], first[1] + then[1], has_others)


def _draw_dots(chart: Chart, marks: Marks) -> bool:
    """Draw the places of the marks, and the shots that have none as crosses; whether there are."""
    has_others = False
    sheet, result = chart.sheet, chart.result
    at = chart.on_paper(marks.places)
    if marks.is_lattice:
        sheet.dots(at, size=3.2, colour="black", mark="+", edge="black", edge_width=0.6, layer=5)
    else:
        shots = chart.on_paper(result.survey.points)
        low = chart.on_paper(chart.origin)
        high = low + np.ptp(result.slab.edge, axis=0) * chart.scale
        shots = shots[((shots > low - 0.3) & (shots < high + 0.3)).all(axis=1)]
        spacing = np.sqrt(result.slab.area / max(1, len(shots))) * chart.scale
        has_others = len(shots) > len(at) and bool(spacing >= _LESSER)
        if has_others:
            sheet.dots(
                shots, size=2.4, colour="0.4", mark="+", edge="0.4", edge_width=0.35, layer=4.9
            )
        is_later = np.isin(marks.shots, find_later(result))
        # the rim shows them on the slab's edge
        sheet.dots(at[~is_later], size=3.6, colour="black", edge="white", edge_width=0.7, layer=5)
        sheet.dots(at[is_later], size=4.0, colour="black", mark="D", layer=5)
    for x, y in at:
        sheet.room.take(x, y, 0.05, 0.05)
    for x, y in at[marks.is_suspect]:
        sheet.dots(
            np.array([(x, y)]), size=9.5, colour="none", edge="black", edge_width=1.2, layer=5.1
        )
        sheet.room.take(x, y, 0.14, 0.14)
    return has_others


def _write_marks(chart: Chart, marks: Marks, order: IntArray) -> tuple[int, int]:
    """Write marks beside their places in an order; how many, and numbers, found no room."""
    at = chart.on_paper(marks.places)
    shown = {
        int(index): say_mark(
            float(marks.departure[index]), chart.result, is_suspect=bool(marks.is_suspect[index])
        )
        for index in order
    }
    # all that can stand level with their dots do, so that rows of shots read as rows; a mark gives
    # up its number last of all
    plates: list[FloatArray] = []
    unnamed = 0
    for reach in _REACHES:
        for index, mark in list(shown.items()):
            name = marks.names[index]
            if reach.is_bare and not name:
                continue  # has been tried
            texts = _set_texts(chart.sheet, mark, "" if reach.is_bare else name)
            plate = _place_mark(chart, at[index], texts, reach, plates)
            if plate is not None:
                plates.append(plate)
                unnamed += reach.is_bare
                del shown[index]
    if plates:
        chart.sheet.fill(plates, facecolor="white", zorder=PLATES)
    return len(shown), unnamed


@dataclass(frozen=True, slots=True)
class _Reach:
    """How far from its dot a label may stand, in; level with it, off the slab, without id."""

    offs: tuple[float, ...]
    is_level: bool = False
    is_off: bool = False
    is_bare: bool = False


_NEAR = (_OFF, 0.11, 0.17, 0.26)
_REACHES = (
    _Reach((_OFF,), is_level=True),
    _Reach(_NEAR),
    _Reach((0.34, 0.42)),
    _Reach((*_NEAR, 0.34, 0.42), is_off=True),
    _Reach(_NEAR, is_bare=True),
    _Reach((*_NEAR, 0.34, 0.42), is_off=True, is_bare=True),
)


def _place_mark(
    chart: Chart, at: FloatArray, texts: list["_Text"], reach: _Reach, plates: list[FloatArray]
) -> FloatArray | None:
    """Write an id, light, and a mark, bold, in one line or two; the white under it, in."""
    room = chart.sheet.room
    for text in texts:
        for x, y in _beside(chart, at, text, reach):
            leader = np.array([at, _nearest(at, (x, y), text)])
            if room.is_free(x, y, text.wide + 0.02, text.high + 0.02) and (
                reach.is_level or reach.is_bare or not _crosses(leader, plates)
            ):
                room.take(x, y, text.wide + 0.02, text.high + 0.02)
                text.write(chart.sheet, x, y)
                if not reach.is_level:
                    chart.sheet.lines([leader], width=0.45, colour="0.35", layer=PLATES + 0.01)
                    room.take_line(leader)
                return plate_about(x, y, text.wide, text.high)
    return None


@dataclass(frozen=True, slots=True)
class _Text:
    """An id and a mark: what is written, where from the middle of their box; its size, in."""

    mark: tuple[str, float, float]
    name: tuple[str, float, float]
    wide: float
    high: float

    def write(self, sheet: Sheet, x: float, y: float) -> None:
        """Write both about a middle, in."""
        left, below = x - self.wide / 2, y - self.high / 2
        name, across, up = self.name
        if name:
            sheet.write(left + across, below + up, name, size=NAME, colour="0.25", up="baseline")
        mark, across, up = self.mark
        sheet.write(
            left + across, below + up, mark, size=MARK, bold=True, colour="black", up="baseline"
        )


def _set_texts(sheet: Sheet, mark: str, name: str) -> list[_Text]:
    """Set an id and a mark in one line, and in two; the mark alone where there is no id."""
    mark_wide, high = sheet.measure(mark, MARK, bold=True)
    high *= _CAPITAL
    if not name:
        return [_Text((mark, 0.0, 0.0), ("", 0.0, 0.0), mark_wide, high)]
    name_wide, low = sheet.measure(name, NAME)
    ahead, low = name_wide + _APART, _CAPITAL * low
    above = high + 0.015
    return [
        _Text((mark, ahead, 0.0), (name, 0.0, 0.0), ahead + mark_wide, high),
        _Text((mark, 0.0, 0.0), (name, 0.0, above), max(name_wide, mark_wide), above + low),
    ]


def _beside(chart: Chart, at: FloatArray, text: _Text, reach: _Reach) -> list[tuple[float, float]]:
    """Middles of a box beside a place, the nearest first: on the slab, or off it where allowed."""
    places = []
    for off in reach.offs:
        across, up = off + text.wide / 2, off + text.high / 2
        rows = (0.0,) if reach.is_level else (0.0, up, -up)
        places += [
            (float(at[0] + a), float(at[1] + b))
            for b in rows
            for a in ((across, -across) if b == 0 else (across, 0.0, -across))
        ]
    half = text.wide / 2 + _CLEAR
    ends = np.array([[(x - half, y), (x + half, y)] for x, y in places])
    ground = (ends - chart.corner) / chart.scale + chart.origin
    outline = chart.result.slab.outline
    is_on = shapely.contains_xy(outline, ground[..., 0], ground[..., 1]).all(axis=1)
    return [place for place, is_held in zip(places, is_on, strict=True) if reach.is_off or is_held]


def _nearest(at: FloatArray, middle: tuple[float, float], text: _Text) -> FloatArray:
    """Place of a label's box that is nearest to its dot, in."""
    half = np.array([text.wide, text.high]) / 2
    return np.asarray(np.clip(at, np.subtract(middle, half), np.add(middle, half)))


def _crosses(leader: FloatArray, plates: list[FloatArray]) -> bool:
    """Whether the hair from a dot to its label would run across a label that stands already."""
    if not plates:
        return False
    return bool(shapely.intersects(shapely.linestrings(leader), shapely.polygons(plates)).any())
