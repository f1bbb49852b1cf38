"""``sheet.pdf``: one page to print, fold and kneel on; read from a black-and-white copy."""

from pathlib import Path

import numpy as np

from gradevol.answer.compose import Answer
from gradevol.answer.drawing.marking import choose_marking, say_marked
from gradevol.out.paper.key import key_block, north_block, strip_block
from gradevol.out.paper.labels import draw_labels
from gradevol.out.paper.layout import BELOW_MAP, Layout, lay_out
from gradevol.out.paper.paper import (
    MARGIN,
    PAPERS,
    Frame,
    choose_paper,
    take_colour_out,
    write_pdf,
)
from gradevol.out.paper.plan import draw_ground, open_plan
from gradevol.out.paper.signature import signature_block
from gradevol.out.paper.type import LINE, SIZE, Block, Item, Typesetter, split
from gradevol.out.paper.words import SheetWords, list_cautions
from gradevol.out.pictures.sheet import Sheet

#: Sizes of the title, points, and lines it may have; a long one is smaller.
_TITLES = ((13.0, 2), (10.5, 3))
_TITLE_LINE, _DATE = 0.21, 2.3
#: Lines of the fix list and notes, from all that is wanted to what always finds room.
_DETAIL = ((10, 4), (8, 3), (6, 2), (5, 1), (3, 0))
#: A map this much smaller than with the fewest words is worth leaving words out, share.
_GOOD = 0.8


def write_sheet(path: Path, answer: Answer, *, paper: str | None = None) -> None:
    """
    Write the sheet.

    Parameters
    ----------
    path : Path
        Of the PDF.
    answer, paper
        As for `draw_sheet`.
    """
    write_pdf(draw_sheet(answer, paper=paper), path, title=answer.title or "Base check")


def draw_sheet(answer: Answer, *, paper: str | None = None) -> Sheet:
    """
    Draw the sheet.

    Parameters
    ----------
    answer : Answer
    paper : {"letter", "a4"} or None
        None: A4 for metric jobs, letter for others.

    Returns
    -------
    Sheet
        In black and greys.
    """
    size = PAPERS[paper or choose_paper(answer.units)]
    drawing = answer.drawing
    scratch = Typesetter(Sheet.blank(1, 1))
    title, title_size = _wrap_title(scratch, answer.title or "Base check", size[0])
    head = 0.2 + _TITLE_LINE * len(title) + 0.06
    width, height = drawing.slab.size.tolist()
    ground = (width, height)
    layout, detail = _fit(size, ground, head, scratch, answer)
    sheet = Sheet.blank(layout.width, layout.height)
    type_ = Typesetter(sheet, scratch.widths)
    _draw_head(type_, layout, title, title_size, answer)
    keep_within(sheet, layout.map)
    chart = open_plan(sheet, drawing, scale=layout.scale, corner=layout.corner_of(ground))
    marking = choose_marking(drawing.markings, layout.scale)
    tick = draw_ground(chart)
    said = split(say_marked(marking, draw_labels(chart, marking, most=detail[0])))
    lines = type_.wrap(said, layout.map.wide, most=2)
    foot = layout.map.bottom + (0.24 if len(lines) == 1 else 0.29)  # off the heading below
    for number, line in enumerate(lines):
        type_.write(layout.map.left, foot - LINE * number, line)
    blocks = _list_blocks(type_, answer, detail=detail, scale=layout.scale, tick=tick)
    for place in layout.places:
        blocks[place.block].draw(place.left, place.top, place.wide)
    take_colour_out(sheet)
    return sheet


def keep_within(sheet: Sheet, frame: Frame) -> None:
    """Keep the words of the map off all that is not the map."""
    above, right = sheet.height - frame.top, sheet.width - frame.left - frame.wide
    floor = frame.bottom + BELOW_MAP
    for left, bottom, wide, high in (
        (0.0, frame.top, sheet.width, above),
        (0.0, 0.0, sheet.width, floor),
        (0.0, 0.0, frame.left, sheet.height),
        (sheet.width - right, 0.0, right, sheet.height),
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


def _fit(
    paper: tuple[float, float],
    ground: tuple[float, float],
    head: float,
    type_: Typesetter,
    answer: Answer,
) -> tuple[Layout, tuple[int, int]]:
    """Find the layout, with as many words as leave the map large enough to be read."""

    def place(detail: tuple[int, int]) -> Layout | None:
        return lay_out(paper, ground, _list_blocks(type_, answer, detail=detail), head=head)

    fewest = place(_DETAIL[-1])
    if fewest is None:
        raise ValueError(f"no room for the fewest words on paper of {paper} in")
    for detail in _DETAIL[:-1]:
        layout = place(detail)
        if layout is not None and layout.scale >= _GOOD * fewest.scale:
            return layout, detail
    return fewest, _DETAIL[-1]


def _list_blocks(
    type_: Typesetter,
    answer: Answer,
    *,
    detail: tuple[int, int],
    scale: float = 0.0,
    tick: float | None = 1.0,
) -> list[Block]:
    """Blocks, the most important first."""
    words = SheetWords(answer.topics, answer.drawing.slab.names)
    big, figures = words.list_figures()
    fixes, notes = detail
    is_roomy = notes > 0
    blocks = [
        _figures_block(type_, big, figures),
        type_.set_block("Fix list", words.list_fixes(most=fixes, is_roomy=is_roomy)),
        key_block(type_, answer.drawing, tick=tick),
        north_block(type_.sheet, answer.drawing, scale),
        type_.set_block("Not measured", words.list_unmeasured(is_roomy=is_roomy)),
    ]
    if notes and (items := words.list_notes(most=notes)):
        blocks.append(type_.set_block("Notes", items))
    blocks.append(signature_block(type_, answer.tree.survey.credits))
    blocks.append(type_.set_block("Before you rely on this", list_cautions()))
    if not answer.units.is_metric:
        blocks.append(strip_block(type_))
    return blocks


def _figures_block(type_: Typesetter, big: str, items: list[Item]) -> Block:
    """Block of the volume in large letters, and the figures below it."""
    rest = type_.set_block("", items)

    def draw(left: float, top: float, wide: float) -> None:
        type_.head(left, top, wide, "Concrete in place")
        y = top - LINE - 0.2
        type_.sheet.write(left, y, big, size=17, bold=True, colour="black")
        rest.draw(left, top - LINE - 0.37, wide)

    return Block(lambda wide: LINE + 0.37 + rest.measure(wide), draw)


def _draw_head(
    type_: Typesetter,
    layout: Layout,
    title: list[list[tuple[str, bool]]],
    size: float,
    answer: Answer,
) -> None:
    """Write the title, and beside it a box for the day of the shots."""
    sheet = type_.sheet
    top = layout.height - MARGIN
    room = layout.width - 2 * MARGIN - _DATE - 0.1
    told = SheetWords(answer.topics).say_survey()
    said = [f"BASE CHECK before the pour. {survey}" for survey in told]
    # what is said of the survey gives way to the box
    head = next((text for text in said if type_.measure(text, SIZE) <= room), said[-1])
    sheet.write(MARGIN, top - 0.07, head, size=SIZE)
    for number, line in enumerate(title):
        type_.write(MARGIN, top - 0.29 - _TITLE_LINE * number, line, size=size)
    right = layout.width - MARGIN
    sheet.box(right - _DATE, top - 0.33, _DATE, 0.33, edgecolor="black", linewidth=1.0)
    credits = answer.tree.survey.credits
    date = credits.date if credits is not None else None
    sheet.write(right - _DATE + 0.06, top - 0.165, "Shot on", size=SIZE, colour="black")
    if date:
        line = type_.wrap(split(date, bold=True), _DATE - 0.7, most=1)[0]
        type_.write(right - _DATE + 0.62, top - 0.165, line)
    below = top - 0.2 - _TITLE_LINE * len(title)
    sheet.lines([np.array([(MARGIN, below), (right, below)])], width=1.4, colour="black", layer=1)
