"""``pour_ruler.pdf``: what is needed up to each step of the front, and a card for a pencil."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.said.ruler import CARD
from gradevol.answer.statement import Topic
from gradevol.ground.units import Units
from gradevol.out.paper.head import draw_head
from gradevol.out.paper.paper import MARGIN, PAPERS, list_papers, take_colour_out, write_pdf
from gradevol.out.paper.type import SIZE, Item, Typesetter
from gradevol.out.pictures.sheet import Sheet

#: How far below the margin the rule under the title lies, in.
_RULE = 0.42
#: Rows of the card at most, and the height of one, in: a pencil wants room.
_CARD_ROWS, _CARD_LINE = 16, 0.27
#: Rows that a ruler of large letters may have; size of letters, points, and height of a row, in.
_FEW, _LARGE, _SMALL = 18, (10.0, 0.205), (SIZE, 0.16)
#: Shares of the width that columns of the ruler and of the card have.
_COLUMNS = (0.12, 0.12, 0.12, 0.12, 0.14, 0.16, 0.1, 0.12)
_CARD_COLUMNS = (0.07, 0.12, 0.1, 0.1, 0.15, 0.12, 0.13, 0.1, 0.11)


def write_ruler(path: Path, topic: Topic, units: Units, *, title: str) -> None:
    """Write the ruler of a pour as PDF, on A4 for metric jobs, letter for others."""
    sheet = draw_ruler(topic, units, title=title)
    write_pdf(sheet, path, title=f"{title}: pour ruler")


def draw_ruler(topic: Topic, units: Units, *, title: str) -> Sheet:
    """Draw it, in black and greys; parameters as of `write_ruler`."""
    wide, high = PAPERS[list_papers(units)[0]]
    sheet = Sheet.blank(wide, high)
    type_ = Typesetter(sheet)
    room, top = wide - 2 * MARGIN, high - MARGIN
    draw_head(type_, "POUR RULER: for the day of the pour", title or "Pour", rule=_RULE)
    top -= _RULE
    rows = [said.cells for said in topic.statements if said.cells]
    top = _draw_table(type_, topic.columns, rows, top - 0.08, room)
    uses = [Item(str(said.short), most=3) for said in topic.statements if not said.cells]
    block = type_.set_block("How to use it", uses)
    block.draw(MARGIN, top - 0.06, room)
    top -= 0.06 + block.measure(room) + 0.08
    foot = type_.set_block("", [Item(caution) for caution in CAUTIONS[:2]])
    floor = MARGIN + foot.measure(room)
    count = min(_CARD_ROWS, int((top - floor - 0.5) / _CARD_LINE))
    _draw_card(type_, top, room, count)
    foot.draw(MARGIN, floor, room)
    take_colour_out(sheet)
    return sheet


def _draw_table(
    type_: Typesetter,
    columns: Sequence[str],
    rows: Sequence[Sequence[str]],
    top: float,
    room: float,
) -> float:
    """Draw the ruler; return where it ends, in."""
    sheet = type_.sheet
    size, high = _LARGE if len(rows) <= _FEW else _SMALL
    ends = MARGIN + room * np.cumsum(_COLUMNS)

    def write(y: float, cells: Sequence[str], size: float, *, bold_at: int | None = None) -> None:
        for at, (cell, end) in enumerate(zip(cells, ends, strict=True)):
            sheet.write(
                end - 0.08, y, cell, size=size, bold=at == bold_at, colour="black", across="right"
            )

    write(top - high / 2, columns, SIZE)
    top -= high
    for number, cells in enumerate(rows):
        width = 0.9 if number == 0 else 0.35
        sheet.lines([np.array([(MARGIN, top), (MARGIN + room, top)])], width=width, layer=1)
        write(top - high / 2, cells, size, bold_at=4)
        top -= high
    sheet.lines([np.array([(MARGIN, top), (MARGIN + room, top)])], width=0.9, layer=1)
    return top


def _draw_card(type_: Typesetter, top: float, room: float, count: int) -> None:
    """Draw a card of empty rows, a load each, in."""
    sheet = type_.sheet
    type_.head(MARGIN, top, room, "Card for the pencil: a row a load")
    top -= 0.22
    starts = MARGIN + room * np.concatenate([[0.0], np.cumsum(_CARD_COLUMNS)])
    for name, start in zip(CARD, starts, strict=False):
        sheet.write(start + 0.04, top - 0.07, name, size=SIZE, colour="black")
    top -= 0.15
    lines = [
        np.array([(MARGIN, top - _CARD_LINE * at), (MARGIN + room, top - _CARD_LINE * at)])
        for at in range(count + 1)
    ]
    lines += [np.array([(start, top), (start, top - _CARD_LINE * count)]) for start in starts]
    sheet.lines(lines, width=0.6, layer=1)
