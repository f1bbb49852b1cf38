"""``reconcile_jobs.pdf``: several jobs after their pours, a page to print."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from gradevol.answer.accounts import AccountsAnswer
from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.said.trends import HEADS, SHARES
from gradevol.answer.statement import Statement, Topic
from gradevol.out.paper.bars import draw_bars, measure_bars
from gradevol.out.paper.head import HEAD, draw_head
from gradevol.out.paper.paper import MARGIN, PAPERS, take_colour_out, write_pdf
from gradevol.out.paper.type import LINE, SIZE, Item, Typesetter, split
from gradevol.out.pictures.sheet import Sheet

#: Height of a row of the table, and of what parts two blocks, in.
_ROW, _BETWEEN = 0.17, 0.13
#: Width of the columns behind the job's name, in.
_COLUMNS = (0.85, 0.65, *(0.6,) * len(HEADS))


def write_accounts_paper(path: Path, answer: AccountsAnswer, *, paper: str = "letter") -> None:
    """Write the page as PDF, in black and greys; jobs beyond it are told to be in the table."""
    write_pdf(draw_accounts_paper(answer, PAPERS[paper]), path, title="After the pours")


def draw_accounts_paper(answer: AccountsAnswer, size: tuple[float, float]) -> Sheet:
    """Draw the page; `size` is its width and height, in."""
    wide, high = size
    sheet = Sheet.blank(wide, high)
    type_ = Typesetter(sheet)
    draw_head(type_, "AFTER THE POURS: several jobs", "Where the concrete went, job by job")
    room, top = wide - 2 * MARGIN, high - MARGIN - HEAD
    if answer.bars is not None:
        draw_bars(type_, answer.bars, [""] * len(answer.bars.bars), (MARGIN, top, room))
        top -= measure_bars(answer.bars) + _BETWEEN
    block = type_.set_block(answer.trends.title, list(map(_say_trend, answer.trends.statements)))
    block.draw(MARGIN, top, room)
    top -= block.measure(room) + _BETWEEN
    foot = type_.set_block("Before you rely on this", [Item(caution) for caution in CAUTIONS])
    floor = MARGIN + foot.measure(room)
    foot.draw(MARGIN, floor, room)
    failed = [
        Item(f"not reconciled: {said.short}", said.label, most=2)
        for said in answer.jobs.statements
        if said.figure is None
    ]
    rest = type_.set_block("", failed)
    most = int((top - floor - rest.measure(room) - 5 * _ROW) / _ROW)
    top = _draw_table(type_, answer.jobs, top, room, max(most, 1))
    if failed:
        rest.draw(MARGIN, top - _BETWEEN, room)
    take_colour_out(sheet)
    return sheet


def _say_trend(said: Statement) -> Item:
    figure = f"{said.figure} " if said.figure else ""
    return Item(f"{figure}{said.short}.", lead=f"{said.label}:" if said.label else "")


def _draw_table(type_: Typesetter, jobs: Topic, top: float, room: float, most: int) -> float:
    """Draw so many of the jobs, a row each; return where it ends, in."""
    sheet = type_.sheet
    type_.head(MARGIN, top, room, jobs.title)
    done = [said for said in jobs.statements if said.figure is not None]
    top -= 0.2
    type_.write(MARGIN, top - LINE / 2, split(SHARES))
    top -= LINE
    ends = MARGIN + room - sum(_COLUMNS) + np.cumsum(_COLUMNS)
    name_room = room - sum(_COLUMNS) - 0.05

    def write(cells: Sequence[str]) -> None:
        for cell, end in zip(cells, ends, strict=True):
            said = cell.replace("-", "\N{MINUS SIGN}")
            sheet.write(end, top - _ROW / 2, said, size=SIZE, colour="black", across="right")

    write(["ticketed", "over", *HEADS.values()])
    top -= _ROW
    for said in done[:most]:
        sheet.lines([np.array([(MARGIN, top), (MARGIN + room, top)])], width=0.35, layer=1)
        line = type_.wrap(split(said.label), name_room, most=1)[0]
        type_.write(MARGIN, top - _ROW / 2, line)
        write([str(said.figure), *map(str, said.details)])
        top -= _ROW
    if len(done) > most:
        more = split(f"{len(done) - most} more: see reconcile_jobs.csv.")
        type_.write(MARGIN, top - _ROW / 2, more)
        top -= _ROW
    return top
