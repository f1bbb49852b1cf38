"""What is written on the sheet's plan: marks, numbers of the fix list, lengths of tape."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.marking import Marked, Marking
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.out.paper.tapes import PLATES, draw_numbers, draw_tapes, plate_about
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.hatching import close, crosses
from gradevol.out.pictures.marks import label_openings
from gradevol.out.pictures.placing import ALL_AROUND, LEVEL, are_on_slab, beside
from gradevol.out.pictures.sheet import Place, Sheet
from gradevol.out.pictures.shots import draw_next, draw_retired, name_next, ring_suspects
from gradevol.out.pictures.styles import PLACES
from gradevol.out.pictures.water import draw_arrows

#: Points.
MARK, NAME = 8.2, 7.0
#: Works that lines are taped to.
TAPED = 4
#: A letter's height of its line's; from an id to its mark; from a dot to its label, in.
_CAPITAL, _APART, _OFF = 0.8, 0.025, 0.058
#: From a label to the slab's edge, at least; room about it, in.
_CLEAR, _ROOM = 0.04, 0.02
#: Shots without a mark are drawn where they are this far apart, in: nearer they look like dots
#: of what is low.
_LESSER = 0.12
#: Width of the map's rim where shots are drawn, in.
_RIM = 0.3


def draw_labels(chart: Chart, marking: Marking, *, most: int) -> Marked:
    """
    Draw the marks, the numbers of works and the tapes to them, and which way water runs.

    Parameters
    ----------
    chart : Chart
    marking : Marking
    most : int
        Works that the sheet lists.
    """
    spots = chart.drawing.spots
    works = spots.tasks[:most]
    draw_retired(chart)
    draw_next(chart)
    has_others = _draw_dots(chart, marking)
    order = np.argsort(-np.round(np.abs(marking.departure), 6), kind="stable")
    is_suspect = marking.is_suspect[order]
    # what must be found comes first: lesser words give way to it
    first = _write_marks(chart, marking, order[is_suspect], (*_REACHES[:4], *_FARTHER))
    unnumbered = draw_numbers(chart, works)
    unnamed_next = name_next(chart)
    label_openings(chart)
    for work in works[:TAPED]:
        draw_tapes(chart, work)
    then = _write_marks(chart, marking, order[~is_suspect], _REACHES)
    around = [ring for rings in spots.outlines for ring in rings]
    draw_arrows(chart, around=close(chart.all_on_paper(around)))
    left_out, unnamed = first[0] + then[0], first[1] + then[1]
    return Marked(left_out, unnamed, has_others, unnamed_next, unnumbered)


def _draw_dots(chart: Chart, marking: Marking) -> bool:
    """Draw the places of the marks, and the shots that have none as crosses; whether there are."""
    sheet, has_others = chart.sheet, False
    at = chart.on_paper(marking.places)
    if marking.is_lattice:
        PLACES["lattice"].draw(sheet, at)
    else:
        shots = chart.on_paper(chart.drawing.shots.places)
        shots = shots[chart.is_near(shots, _RIM)]
        has_others = len(shots) > len(at) and chart.spacing(len(shots)) >= _LESSER
        if has_others:
            PLACES["unmarked"].draw(sheet, shots)
            for x, y in shots[~chart.is_on_slab(shots)]:  # in an opening its name stands, too
                sheet.room.take(x, y, 0.05, 0.05)
        # their white rims show them on the slab's edge
        PLACES["shot"].draw(sheet, at[~marking.is_later])
        PLACES["later"].draw(sheet, at[marking.is_later])
    for x, y in at:
        sheet.room.take(x, y, 0.05, 0.05)
    suspects = at[marking.is_suspect]
    ring_suspects(sheet, suspects)
    return has_others


def _write_marks(
    chart: Chart, marking: Marking, order: IntArray, reaches: Sequence["_Reach"]
) -> tuple[int, int]:
    """Write marks beside their places in an order; how many, and numbers, found no room."""
    at = chart.on_paper(marking.places)
    # all that can stand level with their dots do, so that rows of shots read as rows; a mark gives
    # up its number last of all
    waiting, lattice = order.tolist(), frozenset(chart.drawing.lattice.names)
    plates: list[FloatArray] = []
    unnamed = 0
    for reach in reaches:
        for index in list(waiting):
            # rows and columns of a lattice are named in the margin
            is_in_margin = marking.names[index] in lattice and not marking.is_suspect[index]
            name = "" if is_in_margin else marking.names[index]
            if reach.is_bare and not name:
                continue  # has been tried
            texts = _set_texts(chart.sheet, marking.marks[index], "" if reach.is_bare else name)
            plate = _place_mark(chart, at[index], texts, reach, plates)
            if plate is not None:
                plates.append(plate)
                unnamed += reach.is_bare
                waiting.remove(index)
    if plates:
        chart.sheet.fill(plates, facecolor="white", zorder=PLATES)
    return len(waiting), unnamed


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
#: Of the marks of suspect shots, which are never left out for want of room near by.
_FARTHER = (_Reach((0.55, 0.7, 0.9, 1.1, 1.4), is_off=True),)


def _place_mark(
    chart: Chart, at: FloatArray, texts: list["_Text"], reach: _Reach, plates: list[FloatArray]
) -> FloatArray | None:
    """Write an id, light, and a mark, bold, in one line or two; the white under it, in."""
    room = chart.sheet.room
    for text in texts:
        for place in _beside(chart, at, text, reach):
            x, y, _ = place
            leader = np.array([at, _nearest(at, place, text)])
            # a hair that runs across a label that stands already can't be followed
            if not (reach.is_level or reach.is_bare) and crosses(leader, plates):
                continue
            if room.find([place], text.wide + _ROOM, text.high + _ROOM) is None:
                continue
            text.write(chart.sheet, x, y)
            if not reach.is_level:
                # heavier than a hatch, and white beside it, so that it is none of its lines
                chart.sheet.lines([leader], width=0.8, casing=1.0, layer=PLATES + 0.02)
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
        sheet.write(left + across, below + up, mark, size=MARK, bold=True, up="baseline")


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


def _beside(chart: Chart, at: FloatArray, text: _Text, reach: _Reach) -> list[Place]:
    """Middles of a box beside a place, the nearest first: on the slab, or off it where allowed."""
    ways = LEVEL if reach.is_level else ALL_AROUND
    places = beside(at, (text.wide, text.high), reach.offs, ways)
    if reach.is_off:
        return places
    is_on = are_on_slab(chart, places, text.wide + 2 * _CLEAR)
    return [place for place, is_held in zip(places, is_on, strict=True) if is_held]


def _nearest(at: FloatArray, place: Place, text: _Text) -> FloatArray:
    """Place of a label's box that is nearest to its dot, in."""
    middle, half = np.array(place[:2]), np.array([text.wide, text.high]) / 2
    return np.asarray(np.clip(at, middle - half, middle + half))
