"""The order: what to read to the plant, what it is made of, and what it rests on."""

from collections.abc import Iterator
from html import escape
from typing import Any

from gradevol.answer.data.basis import say_choice
from gradevol.answer.data.slip import StepWords, say_symbol
from gradevol.answer.result import Result
from gradevol.ground.units import Units
from gradevol.out.pages.markup import Table, listing, plain, say, section, signed
from gradevol.plan.order import Order

#: What is ordered, and what each figure rests on.
_RESTS_ON = {
    "volume": "Volume",
    "loads": "Loads",
    "expected_left_over": "Left over",
    "chance_short": "Coming up short",
}


def compose_order(view: dict[str, Any], result: Result) -> str:
    """Compose the order of the slab, or of each part that is called on its own."""
    shown = [pour for pour in view.get("pours", []) if "order" in pour]
    delivery = result.delivery
    told = [
        (pour["name"], pour["order"], order)
        for pour, order in zip(shown, delivery.part_orders, strict=True)
    ]
    if not told and delivery.order is not None:
        told = [("", view["order"], delivery.order)]
    parts = [
        part for name, order, placed in told for part in _order(name, order, placed, result.units)
    ]
    return section("order", "Order", *parts)


def _order(name: str, order: dict[str, Any], placed: Order, units: Units) -> Iterator[str]:
    words, symbol = StepWords(placed, units), say_symbol(units)
    if name:
        yield f"<h3>{say(name)}</h3>"
    slip = plain(order["slip"])
    called = f"Order{f' of {plain(name)}' if name else ''}"
    yield (
        '<div class="copied"><button type="button" class="copy" hidden>Copy'
        f'<span class="unseen"> the words of the {escape(called.lower())}</span></button>'
        f'<p class="slip" data-copy="{escape(slip)}">{say(slip)}</p></div>'
    )
    need = order["need"]
    rows, cells = [], [["part", f"volume_{units.volume}"]]
    for line, drawn in zip(need["lines"], placed.need.lines, strict=True):
        share = f"{100 * line['share']:.3g} % of what is in place" if "share" in line else ""
        said = f"{say(line['name'])}<small>{say(share)}</small>" if share else say(line["name"])
        rows.append([said, say(f"{signed(words.line(drawn.volume))} {symbol}")])
        cells.append([line["name"], f"{line['volume']:.2f}"])
    rows.append(["<b>Needed</b>", f"<b>{say(f'{words.need(placed.need.mean)} {symbol}')}</b>"])
    cells.append(["needed", f"{need['volume']:.2f}"])
    table = Table(f"Needed for the {called.lower()}", ["Part", "Volume"], rows, cells, style="sums")
    yield f'<div class="copied"><h3>Needed</h3>{table.markup()}</div>'
    told = [("Order", say_choice(placed.choice, placed, units))]
    if placed.runner_up is not None:
        told.append(("Runner-up", say_choice(placed.runner_up, placed, units)))
    told += [(name, order["rests_on"].get(key)) for key, name in _RESTS_ON.items()]
    yield listing([f"<b>{name}.</b> {say(text)}" for name, text in told if text])
