"""The order as text: the slip to read aloud or send, then what it is made of."""

import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from gradevol.answer.cautions import CAUTIONS
from gradevol.answer.data.basis import say_choice
from gradevol.answer.data.slip import (
    StepWords,
    list_loads,
    say_balance,
    say_call,
    say_given,
    say_percent,
    say_spread,
)
from gradevol.answer.result import Result
from gradevol.ground.units import Units
from gradevol.plan.order import Order

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
        at most, and below it what it is made of and rests on; the notes of the result after all.
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
    warned = [
        line
        for number, text in enumerate(_warn(view, result))
        for line in _fill("" if number else "Notes", text)
    ]
    if warned:
        blocks.append("\n".join(warned))
    foot = [line for caution in CAUTIONS for line in textwrap.wrap(caution, _COLUMNS)]
    return "\n\n".join([*blocks, "\n".join(foot)]) + "\n"


def _warn(view: Mapping[str, Any], result: Result) -> Iterator[str]:
    """What the order must not be read without: the notes, and what suspect shots make of it."""
    for note in view["notes"]:
        without = result.volume_without_suspects
        if note["code"] == "suspect-shots" and without is not None:
            say = result.units.say_volume
            count = len(result.suspects)
            yield (
                f"Reshoot before you order: {count} suspect shot{'s' if count > 1 else ''}, and "
                f"without {'them' if count > 1 else 'it'} {say(without)} in place instead of "
                f"{say(result.concrete.volume)}."
            )
        yield note["text"]


def _sections(
    data: Mapping[str, Any], order: Order, units: Units
) -> Iterator[tuple[str, list[str]]]:
    rests_on = data["rests_on"]
    words = StepWords(order, units)
    yield "Needed", _need(order, words)
    yield (
        "Order",
        [say_choice(order.choice, order, units), rests_on["volume"], rests_on["chance_short"]],
    )
    if order.runner_up is not None:
        yield "Runner-up", [say_choice(order.runner_up, order, units)]
    loads = [list_loads(order.loads, order, units)] if order.loads else []
    yield "Loads", [*loads, rests_on["loads"]]
    if order.staged is not None:
        go = list_loads(order.staged.go, order, units)
        yield (
            "Staged",
            [
                f"release {go}, hold; call the balance {say_call(order.staged, order.terms)}; "
                f"{say_balance(order.staged, words)} {_symbol(units)} may then be needed, at "
                f"{say_given(order.level)}"
            ],
        )
    if order.takers:
        yield "Left over", [_taker(taker, units) for taker in data["small_pours"]]


def _need(order: Order, words: StepWords) -> list[str]:
    symbol = _symbol(words.units)
    said = [
        f"{words.line(line.volume)} {symbol} {line.name}"
        + (f", {100 * line.share:.3g} % of what is in place" if line.share is not None else "")
        for line in order.need.lines
    ]
    total = f"{words.need(order.need.mean)} {symbol} in all"
    if (spread := order.need.spread) is not None:
        total += f", one standard deviation {say_spread(spread.sd, words.units)}"
    return [*said, total]


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
