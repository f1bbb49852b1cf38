"""The slab as built on paper: a map with the thickness at the shots and the cores, lines only."""

from collections.abc import Iterator

from gradevol.answer.account import AccountAnswer
from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.drawing.as_built import BuiltDrawing
from gradevol.answer.statement import Statement
from gradevol.ground.words import capital
from gradevol.out.paper.head import HEAD, draw_head
from gradevol.out.paper.key import key_block
from gradevol.out.paper.layout import Layout, lay_out
from gradevol.out.paper.paper import take_colour_out
from gradevol.out.paper.plan import draw_ground, open_plan
from gradevol.out.paper.sheet import draw_below_map, keep_within
from gradevol.out.paper.type import Block, Item, Typesetter
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.key import LONGEST_TICK
from gradevol.out.pictures.placing import ALL_AROUND, label_beside
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import PLACES

#: Cores that are listed: from all that are wanted to what always finds room.
_CORES = (12, 8, 4, 2, 0)


def draw_built_paper(answer: AccountAnswer, size: tuple[float, float]) -> Sheet | None:
    """
    Draw the page of the slab as built, upright or across.

    Parameters
    ----------
    answer : AccountAnswer
    size : (float, float)
        Short and long side of the paper, in.

    Returns
    -------
    Sheet or None
        In black and greys; None where the top was not shot.
    """
    built = answer.built
    if built is None:
        return None
    scratch = Typesetter(Sheet.blank(1, 1))
    width, height = built.drawing.slab.size.tolist()
    ground = (width, height)
    layout, cores = _fit(scratch, answer, built, size, ground)
    sheet = Sheet.blank(layout.width, layout.height)
    type_ = Typesetter(sheet)
    title = answer.title or "As built"
    draw_head(type_, "AS BUILT: finished top over the base as shot", title)
    keep_within(sheet, layout.map)
    chart = open_plan(sheet, built.drawing, scale=layout.scale, corner=layout.corner)
    tick = draw_ground(chart)
    _label(chart, built)
    draw_below_map(type_, layout.map, built.foot, built.drawing, layout.scale)
    blocks = list(_list_blocks(type_, answer, built, cores, tick=tick))
    for place in layout.places:
        blocks[place.block].draw(place.left, place.top, place.wide)
    take_colour_out(sheet)
    return sheet


def _fit(
    type_: Typesetter,
    answer: AccountAnswer,
    built: BuiltDrawing,
    size: tuple[float, float],
    ground: tuple[float, float],
) -> tuple[Layout, int]:
    """Find the layout, with as many cores as find room beside the map."""
    for cores in _CORES:
        blocks = list(_list_blocks(type_, answer, built, cores))
        layout = lay_out(size, ground, blocks, head=HEAD)
        if layout is not None:
            return layout, cores
    raise ValueError(f"no room for the fewest words on paper of {size} in")


def _list_blocks(
    type_: Typesetter,
    answer: AccountAnswer,
    built: BuiltDrawing,
    most: int,
    *,
    tick: float | None = LONGEST_TICK,
) -> Iterator[Block]:
    """Blocks, the most important first."""
    if (topic := answer.pick("as_built")) is not None:
        yield type_.set_block(topic.title, [_say(said) for said in topic.statements])
    if (topic := answer.pick("cores")) is not None:
        cores = [said for said in topic.statements if said.cells]
        tests = [said for said in topic.statements if not said.cells]
        items = [_say(said) for said in (*tests, *cores[:most])]
        if len(cores) > most:
            items.append(Item(f"{len(cores) - most} more: see reconcile.html."))
        yield type_.set_block(topic.title, items)
    yield key_block(type_, built.drawing, tick=tick)
    yield type_.set_block("Before you rely on this", [Item(caution) for caution in CAUTIONS])


def _say(said: Statement) -> Item:
    """Say a name, what it is, what goes with it and where."""
    text = str(said.short or said.figure)
    if not said.short:
        text += "".join(f"; {words}" for words in map(str, said.details) if words)
    text += f"; {said.where}" if said.where else ""
    return Item(f"{capital(text)}.", lead=f"{said.label}:", most=6)


def _label(chart: Chart, built: BuiltDrawing) -> None:
    """Mark shots and cores, and say how thick the slab is there."""
    for mark in built.marks:
        at = chart.on_paper(mark.at)
        PLACES[mark.kind].draw(chart.sheet, at[None])
        chart.sheet.room.take(at[0], at[1], 0.1, 0.1)
    for mark in sorted(built.marks, key=lambda mark: mark.kind == "shot"):
        is_core = mark.kind != "shot"
        text = f"{mark.name}: {mark.brief}" if is_core else mark.brief
        at = chart.on_paper(mark.at)
        label_beside(chart, at, text, size=8.0, ways=ALL_AROUND, bold=is_core, halo=1.2)
