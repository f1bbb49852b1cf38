"""``reconcile.pdf``: where the concrete went, a page to print and to argue over."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from gradevol.answer.account import AccountAnswer
from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.statement import Statement
from gradevol.ground.words import capital, end_sentence
from gradevol.out.paper.as_built import draw_built_paper
from gradevol.out.paper.bars import draw_bars, measure_bars
from gradevol.out.paper.head import HEAD, draw_head
from gradevol.out.paper.paper import MARGIN, PAPERS, list_papers, take_colour_out, write_pdf
from gradevol.out.paper.type import Block, Item, Typesetter
from gradevol.out.pictures.sheet import Sheet

_GAP, _BETWEEN = 0.25, 0.13
#: Ways to settle the rest that are told, and whether what is likely is: from all that is wanted to
#: what always finds room.
_DETAIL = ((5, True), (3, True), (2, False), (0, False))


def write_account_paper(path: Path, answer: AccountAnswer, *, paper: str | None = None) -> None:
    """
    Write the page as PDF, and one of the slab as built where its top was shot.

    Parameters
    ----------
    path : Path
    answer : AccountAnswer
    paper : {"letter", "a4"} or None
        None: A4 for metric jobs, letter for others.
    """
    size = PAPERS[paper or list_papers(answer.units)[0]]
    built = draw_built_paper(answer, size)
    write_pdf(
        draw_account_paper(answer, size),
        path,
        title=answer.title or "After the pour",
        more=() if built is None else (built,),
    )


def draw_account_paper(answer: AccountAnswer, size: tuple[float, float]) -> Sheet:
    """
    Draw the page of the account.

    Parameters
    ----------
    answer : AccountAnswer
    size : (float, float)
        Width and height, in.

    Returns
    -------
    Sheet
        In black and greys.
    """
    wide, high = size
    sheet = Sheet.blank(wide, high)
    type_ = Typesetter(sheet)
    title = answer.title or "Reconciliation"
    draw_head(type_, "AFTER THE POUR: account of the concrete", title)
    room, top = wide - 2 * MARGIN, high - MARGIN - HEAD
    rows = {said.key.rpartition(".")[2]: said for said in answer.list_rows()}
    costs = [_say_cost(rows[bar.key]) for bar in answer.bars.bars]
    draw_bars(type_, answer.bars, costs, (MARGIN, top, room))
    top -= measure_bars(answer.bars) + _BETWEEN
    column = (room - _GAP) / 2
    for number, blocks in enumerate(_fit(type_, answer, column, top - MARGIN)):
        _draw_column(blocks, MARGIN + number * (column + _GAP), top, column)
    take_colour_out(sheet)
    return sheet


def _say_cost(said: Statement) -> str:
    return str(said.details[2]) if len(said.details) > 2 else ""


def _fit(
    type_: Typesetter, answer: AccountAnswer, wide: float, high: float
) -> tuple[list[Block], list[Block]]:
    """Choose what is told, so that both columns find room."""
    left = list(_list_left(type_, answer))
    for ways, has_likely in _DETAIL:
        right = list(_list_right(type_, answer, ways, has_likely=has_likely))
        if _measure(right, wide) <= high:
            break
    return left, right


def _measure(blocks: Sequence[Block], wide: float) -> float:
    return sum(block.measure(wide) + _BETWEEN for block in blocks)


def _list_left(type_: Typesetter, answer: AccountAnswer) -> Iterator[Block]:
    if (reading := answer.pick("reading")) is not None:
        items = [Item(_end(str(said.full)), most=6) for said in reading.statements]
        yield type_.set_block("In short", items)
    rows = [said for said in answer.list_rows() if said.key != "rows.ticketed"]
    yield type_.set_block(
        "What each row rests on",
        [
            Item(_end(f"{said.details[1]}: {said.full}"), lead=f"{said.label}:", most=6)
            for said in rows
        ],
    )


def _list_right(
    type_: Typesetter, answer: AccountAnswer, ways: int, *, has_likely: bool
) -> Iterator[Block]:
    settle, learned = answer.pick("settle"), answer.pick("learned")
    if settle is not None and ways:
        items = [
            Item(_end(str(said.short).partition("; ")[2]), f"{said.label}, {said.details[0]}:")
            for said in settle.statements[:ways]
        ]
        yield type_.set_block(settle.title, items)
    likely = answer.pick("likely")
    if likely is not None and has_likely:
        items = [Item(_end(str(likely.statements[0].full)))]
        items += [_say_likely(said) for said in answer.list_rows("likely") if said.details[0]]
        yield type_.set_block(likely.title, items)
    if learned is not None:
        yield type_.set_block(learned.title, [_say_fact(said) for said in learned.statements])
    yield type_.set_block("Before you rely on this", [Item(caution) for caution in CAUTIONS])


def _say_likely(said: Statement) -> Item:
    sigma, tied = said.details
    text = f"{said.figure} {sigma}"
    text += f"; can't be told from {tied}" if tied else ""
    return Item(f"{text}.", lead=f"{said.label}:")


def _say_fact(said: Statement) -> Item:
    more = "".join(f"; {words}" for words in map(str, said.details) if words)
    return Item(f"{said.figure}{more}.", lead=f"{said.label}:")


def _end(text: str) -> str:
    return end_sentence(capital(text))


def _draw_column(blocks: Sequence[Block], left: float, top: float, wide: float) -> None:
    """Draw blocks one below the other, in."""
    for block in blocks:
        block.draw(left, top, wide)
        top -= block.measure(wide) + _BETWEEN
