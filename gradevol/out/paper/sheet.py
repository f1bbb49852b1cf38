"""``sheet.pdf``: one page to print, fold and kneel on; read from a black-and-white copy."""

from pathlib import Path
from typing import NamedTuple

import numpy as np

from gradevol.answer.compose import Answer
from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.marking import choose_marking, say_marked
from gradevol.out.paper.key import key_block, strip_block
from gradevol.out.paper.labels import draw_labels
from gradevol.out.paper.layout import BELOW_MAP, Layout, find_half, lay_out
from gradevol.out.paper.paper import (
    MARGIN,
    PAPERS,
    Frame,
    list_papers,
    take_colour_out,
    write_pdf,
)
from gradevol.out.paper.plan import draw_ground, open_plan
from gradevol.out.paper.signature import signature_block
from gradevol.out.paper.type import SIZE, Block, Item, Typesetter, split
from gradevol.out.paper.words import MORE, Detail, SheetWords, list_cautions
from gradevol.out.pictures.key import LONGEST_TICK, draw_north, north_size
from gradevol.out.pictures.sheet import Sheet

#: Sizes of the title, points, and lines it may have; a long one is smaller.
_TITLES = ((13.0, 2), (10.5, 3))
_TITLE_LINE, _DATE = 0.21, 2.3
#: From all that is wanted to what always finds room.
_DETAILS = (
    Detail(fixes=10, notes=4),
    Detail(fixes=10, notes=2),
    Detail(fixes=10, notes=0),
    Detail(fixes=10, notes=0, size=7.4),
    Detail(fixes=10, notes=0, is_brief=True),
    Detail(fixes=10, notes=0, is_brief=True, has_strip=False),
    Detail(fixes=10, notes=0, is_brief=True, has_strip=False, size=7.4),
    Detail(fixes=10, notes=0, is_brief=True, has_strip=False, size=7.0),
    Detail(fixes=8, notes=0, is_brief=True, has_strip=False, size=7.0),
)
#: Room about the arrow to the north, which reaches into the map's rim: width and height, in.
_ARROW = (0.4, 0.3)


def write_sheet(path: Path, answer: Answer, *, paper: str | None = None) -> None:
    """Write the sheet as PDF: as `draw_sheet` draws it."""
    write_pdf(draw_sheet(answer, paper=paper), path, title=answer.title or "Base check")


def draw_sheet(answer: Answer, *, paper: str | None = None) -> Sheet:
    """
    Draw the sheet.

    Parameters
    ----------
    answer : Answer
    paper : {"letter", "tabloid", "a4", "a3"} or None
        None: letter, or A4 of metric jobs; twice as large where a shot would go without its mark,
        or the map would have less than half of it.

    Returns
    -------
    Sheet
        In black and greys.
    """
    *smaller, largest = [paper] if paper else list_papers(answer.units)
    for name in smaller:
        for is_fewest in (False, True):
            fitted = _fit(answer, PAPERS[name], is_fewest=is_fewest)
            if not fitted.is_large:
                break
            sheet, is_whole = _draw(answer, fitted)
            if is_whole:
                return sheet
    return _draw(answer, _fit(answer, PAPERS[largest]))[0]


class _Fitted(NamedTuple):
    """A layout with as many words as leave the map its share, and whether it has that share."""

    layout: Layout
    detail: Detail
    title: list[list[tuple[str, bool]]]
    title_size: float
    is_large: bool


def _draw(answer: Answer, fitted: _Fitted) -> tuple[Sheet, bool]:
    """Draw the sheet; and whether its map has each shot's mark."""
    drawing, layout, detail = answer.drawing, fitted.layout, fitted.detail
    sheet = Sheet.blank(layout.width, layout.height)
    type_ = Typesetter(sheet, detail.size)
    _draw_head(type_, fitted, answer)
    keep_within(sheet, layout.map)
    chart = open_plan(sheet, drawing, scale=layout.scale, corner=layout.corner)
    marking = choose_marking(drawing.markings, layout.scale)
    tick = draw_ground(chart)
    marked = draw_labels(chart, marking, most=detail.fixes)
    said = say_marked(marking, marked)
    if detail.is_brief and "report.html" not in said:
        said += f" {MORE}"
    draw_below_map(type_, layout.map, said, drawing, layout.scale)
    blocks = _list_blocks(type_, answer, detail=detail, tick=tick)
    for place in layout.places:
        blocks[place.block].draw(place.left, place.top, place.wide)
    take_colour_out(sheet)
    is_whole = not (marking.said or marked.left_out or marked.unnamed)
    return sheet, marking.is_lattice or is_whole


def draw_below_map(
    type_: Typesetter, frame: Frame, said: str, drawing: Drawing, scale: float
) -> None:
    """Say what is marked; beside it the bar of lengths and the arrow to the north."""
    wide = north_size()[0]
    lines = type_.wrap(split(said), frame.wide - wide - 0.15, most=3)
    top = frame.bottom + BELOW_MAP
    for number, line in enumerate(lines):
        type_.write(frame.left, top - type_.line * (number + 0.5), line)
    draw_north(type_.sheet, (frame.left + frame.wide - wide, top + 0.31), drawing, scale)


def keep_within(sheet: Sheet, frame: Frame) -> None:
    """Keep the words of the map off all that is not the map."""
    above, right = sheet.height - frame.top, sheet.width - frame.left - frame.wide
    floor = frame.bottom + BELOW_MAP
    for left, bottom, wide, high in (
        (0.0, frame.top, sheet.width, above),
        (0.0, 0.0, sheet.width, floor),
        (0.0, 0.0, frame.left, sheet.height),
        (sheet.width - right, 0.0, right, sheet.height),
        (sheet.width - right - _ARROW[0], floor, *_ARROW),
    ):
        sheet.room.take(left + wide / 2, bottom + high / 2, wide, high)


def _wrap_title(
    type_: Typesetter, title: str, wide: float
) -> tuple[list[list[tuple[str, bool]]], float]:
    """Lines of the title, and their size, points."""
    room, words = wide - 2 * MARGIN - _DATE - 0.2, split(title, bold=True)
    for size, most in _TITLES:
        lines = type_.wrap(words, room, size=size, most=most)
        if sum(map(len, lines)) == len(words):
            break
    return lines, size


def _fit(answer: Answer, paper: tuple[float, float], *, is_fewest: bool = False) -> _Fitted:
    """
    Find the layout with the most words that leave the map its share of the paper.

    Returns
    -------
    _Fitted
        Where none does, that of the fewest words, with the largest map.
    """
    scratch = Sheet.blank(1, 1)
    title, size = _wrap_title(Typesetter(scratch), answer.title or "Base check", paper[0])
    head = 0.2 + _TITLE_LINE * len(title) + 0.06
    width, height = answer.drawing.slab.size.tolist()
    ground = (width, height)
    half = find_half(paper, ground, head=head)
    for detail in _DETAILS[-1:] if is_fewest else _DETAILS:
        blocks = _list_blocks(Typesetter(scratch, detail.size), answer, detail=detail)
        layout = lay_out(paper, ground, blocks, head=head, least=half)
        if layout is not None:
            return _Fitted(layout, detail, title, size, is_large=True)
    layout = lay_out(paper, ground, blocks, head=head)
    if layout is None:
        raise ValueError(f"no room for the fewest words on paper of {paper} in")
    return _Fitted(layout, detail, title, size, is_large=False)


def _list_blocks(
    type_: Typesetter, answer: Answer, *, detail: Detail, tick: float | None = LONGEST_TICK
) -> list[Block]:
    """Blocks, the most important first."""
    words = SheetWords(answer.topics, answer.drawing.slab.names)
    big, figures = words.list_figures(is_brief=detail.is_brief)
    is_roomy = detail.notes > 0
    fixes = words.list_fixes(most=detail.fixes, is_roomy=is_roomy, is_brief=detail.is_brief)
    unmeasured = words.list_unmeasured(is_roomy=is_roomy, is_brief=detail.is_brief)
    blocks = [
        _figures_block(type_, words.say_first(), big, figures),
        type_.set_block("Fix list", fixes),
        key_block(type_, answer.drawing, tick=tick),
        type_.set_block("Not shot", unmeasured),
    ]
    if detail.notes and (items := words.list_notes(most=detail.notes)):
        blocks.append(type_.set_block("Notes", items))
    blocks.append(signature_block(type_, answer.tree.survey.credits))
    cautions = list_cautions(is_brief=detail.is_brief)
    blocks.append(type_.set_block("Before you rely on this", cautions))
    if detail.has_strip and not answer.units.is_metric:
        blocks.append(strip_block(type_, in_inches=answer.drawing.grade.in_inches))
    return blocks


def _figures_block(type_: Typesetter, first: list[Item], big: str, items: list[Item]) -> Block:
    """Block of the volume in large letters, what comes before it, and the figures below it."""
    above, rest = type_.set_block("", first), type_.set_block("", items)

    def measure_above(wide: float) -> float:
        return above.measure(wide) + 0.05 if first else 0.0

    def draw(left: float, top: float, wide: float) -> None:
        type_.head(left, top, wide, "Concrete in place")
        if first:
            above.draw(left, top - type_.head_high, wide)
        below = top - type_.line - measure_above(wide)
        type_.sheet.write(left, below - 0.19, big, size=17, bold=True, colour="black")
        rest.draw(left, below - 0.34, wide)

    def measure(wide: float) -> float:
        return type_.line + 0.34 + measure_above(wide) + rest.measure(wide)

    return Block(measure, draw)


def _draw_head(type_: Typesetter, fitted: _Fitted, answer: Answer) -> None:
    """Write the title, and beside it a box for the day of the shots."""
    sheet, layout, title = type_.sheet, fitted.layout, fitted.title
    top = layout.height - MARGIN
    room = layout.width - 2 * MARGIN - _DATE - 0.1
    told = SheetWords(answer.topics).say_survey()
    said = [f"BASE CHECK before the pour. {survey}" for survey in told]
    # what is said of the survey gives way to the box
    head = next((text for text in said if type_.width(text, SIZE) <= room), said[-1])
    sheet.write(MARGIN, top - 0.07, head, size=SIZE)
    for number, line in enumerate(title):
        type_.write(MARGIN, top - 0.29 - _TITLE_LINE * number, line, size=fitted.title_size)
    right = layout.width - MARGIN
    sheet.box(right - _DATE, top - 0.33, _DATE, 0.33, edgecolor="black", linewidth=1.0)
    credits = answer.tree.survey.credits
    date = credits.date if credits is not None else None
    sheet.write(right - _DATE + 0.06, top - 0.165, "Shot on", size=SIZE, colour="black")
    if date:
        line = type_.wrap(split(date, bold=True), _DATE - 0.7, size=SIZE, most=1)[0]
        type_.write(right - _DATE + 0.62, top - 0.165, line, size=SIZE)
    below = top - 0.2 - _TITLE_LINE * len(title)
    sheet.lines([np.array([(MARGIN, below), (right, below)])], width=1.4, colour="black", layer=1)
