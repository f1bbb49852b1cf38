"""The order as text: the slip to read aloud or send, then what it is made of."""

import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from gradevol.cautions import CAUTIONS
from gradevol.ordering import Order
from gradevol.presentation.slip import list_loads, say_call, say_money, say_percent, say_steps
from gradevol.result import Result
from gradevol.units import Units

_COLUMNS, _MARGIN = 78, 12


def compose_order(view: Mapping[str, Any], result: Result) -> str:
    """
    Write an order as text.

    Parameters
    ----------
    view : mapping
        From `present`: one with an ``order``.
    result : Result
        The same result.

    Returns
    -------
    str
        For each pour that is called on its own, or for the whole slab, a slip of 300 characters
        at most, and below it what it is made of and rests on.
    """
    delivery = result.delivery
    shown = [pour for pour in view.get("pours", []) if "order" in pour]
    if shown:
        told = [
            (pour["name"], pour["order"], order)
            for pour, order in zip(shown, delivery.part_orders, strict=True)
        ]
    elif delivery.order is not None:
        told = [("", view["order"], delivery.order)]
    else:
        raise ValueError("a result without an order")
    blocks = []
    for name, data, order in told:
        lines = [*([_plain(name), ""] if name else []), *textwrap.wrap(data["slip"], _COLUMNS), ""]
        for label, paragraphs in _sections(data, order, result.units):
            for number, paragraph in enumerate(paragraphs):
                lines += _fill(label if number == 0 else "", paragraph)
        blocks.append("\n".join(lines))
    foot = [line for caution in CAUTIONS for line in textwrap.wrap(caution, _COLUMNS)]
    return "\n\n".join([*blocks, "\n".join(foot)]) + "\n"


def _sections(
    data: Mapping[str, Any], order: Order, units: Units
) -> Iterator[tuple[str, list[str]]]:
    rests_on = data["rests_on"]
    yield "Needed", _need(data["need"], units)
    yield "Order", [_choice(data, order, units), rests_on["volume"], rests_on["chance_short"]]
    if "runner_up" in data:
        yield "Runner-up", [_choice(data["runner_up"], order, units)]
    loads = [list_loads(order.loads, order, units)] if order.loads else []
    yield "Loads", [*loads, rests_on["loads"]]
    if order.staged is not None:
        go = list_loads(order.staged.go, order, units)
        yield (
            "Staged",
            [
                f"release {go}, hold; call the balance {say_call(order.staged, order.terms)}; "
                f"{data['staged']['low']:.1f} to {data['staged']['high']:.1f} {_symbol(units)} may "
                f"then be needed, at {say_percent(order.level)}"
            ],
        )
    if order.takers:
        yield "Left over", [_taker(taker, units) for taker in data["small_pours"]]


def _need(need: Mapping[str, Any], units: Units) -> list[str]:
    symbol = _symbol(units)
    said = [
        f"{line['volume']:z.2f} {symbol} {line['name']}"
        + (f", {100 * line['share']:.3g} % of what is in place" if "share" in line else "")
        for line in need["lines"]
    ]
    total = f"{need['volume']:.2f} {symbol} in all"
    if "sd" in need:
        total += f", one standard deviation {need['sd']:.2f}"
    return [*said, total]


def _choice(choice: Mapping[str, Any], order: Order, units: Units) -> str:
    symbol = _symbol(units)
    said = [f"{say_steps(choice['volume'], order, units)} {symbol}"]
    if "chance_short" in choice:
        said.append(f"{say_percent(choice['chance_short'])} chance of coming up short")
    if "chance_unused" in choice:
        said.append(
            f"{say_percent(choice['chance_unused'])} that 1 {symbol} or more is left with no use"
        )
    said.append(f"{choice['expected_left_over']:.1f} {symbol} left over on the mean")
    if "expected_cost" in choice:
        said.append(f"{say_money(choice['expected_cost'], order)} expected cost")
    return "; ".join(said)


def _taker(taker: Mapping[str, Any], units: Units) -> str:
    count = f"{taker['count']} x " if taker["count"] > 1 else ""
    how = "can stop part-way" if taker["partial"] else "whole or not at all"
    said = f"{taker['name']}: {count}{taker['volume']:.2f} {_symbol(units)}, {how}"
    if "chance" in taker:
        enough = "all of it" if taker["count"] == 1 else "all of one"
        said += f"; {say_percent(taker['chance'])} chance that there is enough for {enough}"
    return said


def _symbol(units: Units) -> str:
    return units.volume.replace("3", "³")


def _fill(label: str, paragraph: str) -> list[str]:
    return textwrap.wrap(
        _plain(paragraph),
        _COLUMNS,
        initial_indent=label.ljust(_MARGIN),
        subsequent_indent=" " * _MARGIN,
        break_on_hyphens=False,
    )


def _plain(text: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
