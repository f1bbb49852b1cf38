"""The order: how much, what comes of it, in which loads, and what it is made of."""

from collections.abc import Iterator, Sequence

from gradevol.answer.result import Result
from gradevol.answer.said.order_basis import say_chances, say_left_over, say_loads, say_volume
from gradevol.answer.said.placed import Placed, list_placed
from gradevol.answer.said.slip import (
    compose_slip,
    list_loads,
    say_call,
    say_loads_of,
)
from gradevol.answer.said.step_words import (
    say_given,
    say_money,
    say_percent,
    say_short,
    say_spread,
)
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, join, words
from gradevol.ground.words import capital
from gradevol.plan.order import Taker
from gradevol.plan.order.cost import Choice

_AS_IT_IS = "for the base as it is now, not after the fix list"
#: More orders than this are told one by one only where all of the order is.
MANY = 4


def tell_order(result: Result) -> tuple[Topic, ...]:
    """
    Tell what to order.

    Returns
    -------
    tuple of Topic
        One for the slab, or for each part that is called on its own: the text message
        (``order.slip``), which shots to take again first (``order.first``), the volume, what it
        rests on, the runner-up, the loads, what is held, and the small pours that take the extra.
        Of more than `MANY`, what they come to (``order.all``) before them, and lighter.
    """
    all_placed = list_placed(result)
    weight = Weight.DECIDES
    told = []
    if len(all_placed) > MANY:
        weight = Weight.DETAILS
        told = [Topic("order", "Order", "Order", (_tell_all(all_placed),))]
    told += [
        Topic("order", "Order", "Order", tuple(_tell(placed, weight)), group=placed.name)
        for placed in all_placed
    ]
    return tuple(told)


def _tell_all(all_placed: Sequence[Placed]) -> Statement:
    """Tell how many orders there are, how large they are, and what they come to."""
    say, volumes = all_placed[0].words, [placed.order.choice.volume for placed in all_placed]
    sizes = list(dict.fromkeys(map(say.say, (min(volumes), max(volumes)))))
    size, total = " to ".join(sizes), say.say(sum(volumes))
    text = f"{total} {say.symbol} in {len(volumes)} orders of {size}"
    if any(placed.is_moved for placed in all_placed):
        text += f"; {_AS_IT_IS}"
    return Statement(
        "order.all", Weight.DECIDES, short=words(f"{text}; each: see report.html"), long=words(text)
    )


def tell_need(result: Result) -> tuple[Topic, ...]:
    """Tell what is needed for each order, line by line: a table."""
    columns = ("part", f"volume_{result.units.volume}")
    return tuple(
        Topic("need", "Needed", "Needed", tuple(_tell_lines(placed)), columns, placed.name)
        for placed in list_placed(result)
    )


def _tell_lines(placed: Placed) -> Iterator[Statement]:
    need, say, symbol = placed.order.need, placed.words, placed.words.symbol
    for number, line in enumerate(need.lines):
        share = "" if line.share is None else f"{100 * line.share:.3g} % of what is in place"
        yield Statement(
            f"need.{number}",
            Weight.DETAILS,
            line.name,
            placed.figure(f"{say.line(line.volume)} {symbol}", f"need.lines.{number}.volume"),
            details=(Words((share,)),) if share else (),
            cells=(line.name, f"{placed.units.to_volume(line.volume):.2f}"),
        )
    sd = None if need.spread is None else say_spread(need.spread.sd, placed.units)
    yield Statement(
        "need.total",
        Weight.DETAILS,
        "needed",
        placed.figure(f"{say.need(need.mean)} {symbol}", "need.volume"),
        details=()
        if sd is None
        else (words("one standard deviation {}", placed.figure(f"{sd} {symbol}", "need.sd")),),
        cells=("needed", f"{placed.units.to_volume(need.mean):.2f}"),
    )


def _tell(placed: Placed, weight: Weight) -> Iterator[Statement]:
    order, units = placed.order, placed.units
    slip = compose_slip(order, units, title=placed.title, part=placed.name, first=placed.first)
    yield Statement("order.slip", Weight.SPARE, short=Words((slip,)))
    if placed.first:
        first = capital(placed.first)
        yield Statement(
            "order.first", Weight.DETAILS, "Rests on", short=words(first) + placed.without
        )
    volume = _volume(placed, order.choice)
    comes = _list_consequences(placed, order.choice)
    loads = words("{} ({})", volume, say_loads_of(order, placed.words))
    briefly = [comes[key] for key in ("chance_short", "expected_left_over") if key in comes]
    if placed.is_moved:
        briefly.append(Words((_AS_IT_IS,)))
    yield Statement(
        "order.volume",
        weight,
        "Order",
        volume,
        short=join("; ", [loads if order.loads else volume, *briefly]),
        details=tuple(comes.values()),
    )
    yield _rest("volume", say_volume(order, units))
    yield _rest("chance_short", say_chances(order, units))
    yield _rest("expected_left_over", say_left_over(order, units), Weight.SPARE)
    if order.runner_up is not None:
        yield Statement(
            "order.runner_up",
            Weight.DETAILS,
            "Runner-up",
            _volume(placed, order.runner_up, "runner_up."),
            details=tuple(_list_consequences(placed, order.runner_up, "runner_up.").values()),
        )
    yield from _tell_loads(placed)
    for number, taker in enumerate(order.takers):
        yield Statement(
            f"order.small_pours.{number}",
            Weight.DETAILS,
            "Extra",
            short=_say_taker(placed, taker, f"small_pours.{number}"),
        )


def _rest(key: str, text: str, weight: Weight = Weight.DETAILS, label: str = "") -> Statement:
    return Statement(f"order.rests_on.{key}", weight, label, short=Words((text,)))


def _volume(placed: Placed, choice: Choice, of: str = "") -> Figure:
    text = f"{placed.words.say(choice.volume)} {placed.words.symbol}"
    return placed.figure(text, f"{of}volume")


def _list_consequences(placed: Placed, choice: Choice, of: str = "") -> dict[str, Words]:
    """List what comes of an order, or of its runner-up, by the keys of the data."""
    order, say, symbol = placed.order, placed.words, placed.words.symbol
    said = {}
    if choice.chance_short is not None:
        said["chance_short"] = say_short(choice.chance_short, order), "{} chance of coming up short"
    if choice.chance_unused is not None:
        said["chance_unused"] = (
            say_percent(choice.chance_unused),
            f"{{}} chance that 1 {symbol} or more is not used",
        )
    said["expected_left_over"] = f"{say.about(choice.left_over)} {symbol}", "about {} left over"
    if choice.loss is not None:
        said["expected_cost"] = say_money(choice.loss, order), "{} expected cost"
    return {
        key: words(template, placed.figure(text, f"{of}{key}"))
        for key, (text, template) in said.items()
    }


def _tell_loads(placed: Placed) -> Iterator[Statement]:
    order, say = placed.order, placed.words
    if order.loads:
        loads = Words((list_loads(order.loads, say),))
        yield Statement("order.loads", Weight.DETAILS, "Loads", short=loads)
    label = "" if order.loads else "Loads"
    yield _rest("loads", say_loads(order, placed.units), label=label)
    if order.staged is not None:
        go, call = list_loads(order.staged.go, say), say_call(order.staged, order.terms)
        balance = f"{say.down(order.staged.low)} to {say.up(order.staged.high)} {say.symbol}"
        text = (
            f"release {go}, hold; call the balance {call}; {balance} may then be needed, at "
            f"{say_given(order.level)}"
        )
        yield Statement("order.staged", Weight.DETAILS, "Staged", short=Words((text,)))


def _say_taker(placed: Placed, taker: Taker, key: str) -> Words:
    """Say a small pour: ``equipment pad 1.23 yd³, whole or not at all; 73 % chance ...``."""
    pour = taker.pour
    volume = f"{placed.units.to_volume(pour.volume):.2f} {placed.words.symbol}"
    said = words(
        "{} {}{}, {}",
        pour.name,
        f"{pour.count} x " if pour.count > 1 else "",
        placed.figure(volume, f"{key}.volume"),
        "can stop part-way" if pour.is_partial else "whole or not at all",
    )
    if taker.chance is None:
        return said
    chance = placed.figure(say_percent(taker.chance), f"{key}.chance")
    enough = "all of it" if pour.count == 1 else "all of one"
    return said + words("; {} chance that there is enough for {}", chance, enough)
