"""The order as declared data: what is needed, what to order, in which loads."""

from typing import Annotated, Any, TypeAlias

from gradevol.answer.declared import Kind, Number, Positive, Share, Size, declared
from gradevol.answer.rounding import Rounding, if_known
from gradevol.answer.said.order_basis import say_chances, say_left_over, say_loads, say_volume
from gradevol.answer.said.slip import LONGEST, compose_slip, say_call_time
from gradevol.answer.tree.need import NeedData, compose_need
from gradevol.ground.units import Units
from gradevol.job.terms import Terms
from gradevol.plan.order import Order, Taker, Way
from gradevol.plan.order.cost import Choice
from gradevol.plan.order.loads import Staged

_Volume: TypeAlias = Annotated[
    Size, "What to order: whole steps of the plant, never less than the loads."
]
_LeftOver: TypeAlias = Annotated[Size, "Expected above the need, before small pours take of it."]
_Unused: TypeAlias = Annotated[Size, "What of that is expected to remain after them."]
_ChanceShort: TypeAlias = Annotated[
    Share | None,
    "Chance of coming up short; absent where the interval of the volume is not known, as are all "
    "chances.",
]
_ChanceUnused: TypeAlias = Annotated[
    Share | None,
    "Chance that `order.much` or more remains after the small pours.",
]
_Cost: TypeAlias = Annotated[
    Size | None,
    "Of coming up short, of what remains and of small loads, in the job's currency; absent without "
    "`order.costs.short` or `short_rate`.",
]


@declared
class ChoiceData:
    """An order that was not chosen, and what would come of it."""

    volume: _Volume
    expected_left_over: _LeftOver
    expected_unused: _Unused
    chance_short: _ChanceShort = None
    chance_unused: _ChanceUnused = None
    expected_cost: _Cost = None


@declared
class RestsOnData:
    """What each number rests on."""

    volume: Annotated[str, "What `order.volume` rests on."]
    loads: Annotated[str, "What `order.loads` rests on."]
    expected_left_over: Annotated[str, "What `order.expected_left_over` rests on."]
    chance_short: Annotated[str, "What `order.chance_short` rests on."]


@declared
class StagedData:
    """What to release and what to hold."""

    go: Annotated[
        list[Positive],
        "Loads to release at once: full trucks that are needed but for a chance of 2.5 %.",
    ]
    balance: Annotated[list[Positive], "Loads to hold, as it looks now."]
    low: Annotated[Size, "What may be needed after those released, at `order.need.level`."]
    high: Annotated[Size, "The same."]
    call_after: Annotated[Number, "The load that is on site when the balance is called."]
    call_by: Annotated[
        str | None,
        "By when to call it, in words; absent where the job gives no notice.",
    ] = None


@declared
class TakerData:
    """A small pour that can take what is left over."""

    name: Annotated[str, "From the job."]
    volume: Annotated[Size, "Of each."]
    count: Annotated[Number, "How many there are."]
    partial: Annotated[bool, "Whether one can stop part-way."]
    expected: Annotated[Size | None, "What it takes on average."] = None
    chance: Annotated[Share | None, "Chance that there is enough for all of one."] = None


@declared
class OrderData:
    """What to order."""

    volume: _Volume
    expected_left_over: _LeftOver
    expected_unused: _Unused
    chance_short: _ChanceShort = None
    chance_unused: _ChanceUnused = None
    expected_cost: _Cost = None
    loads: Annotated[
        list[Positive],
        "They add up to `order.volume`; empty where the job gives no truck.",
    ]
    way: Annotated[Way, "What decided: `costs`, `risk`, or `mean` where no chance is known."]
    step: Annotated[Size, "Orders are whole numbers of it."]
    much: Annotated[Size, "What counts as much too much: 1 yd³ or 1 m³."]
    need: Annotated[NeedData, "What is needed."]
    rests_on: Annotated[RestsOnData, "What each number rests on, in words."]
    slip: Annotated[
        str,
        Kind(max_length=LONGEST),
        "A message of 300 characters at most, to read aloud or send.",
    ]
    truck: Annotated[Size | None, "The most that a truck brings."] = None
    least_load: Annotated[Size | None, "The least that is delivered."] = None
    short_load: Annotated[Size | None, "A load under it pays a fee."] = None
    short_load_fee: Annotated[
        Size | None, "What the loads pay for being under it, in the job's currency."
    ] = None
    risk: Annotated[
        Share | None,
        "The chance of coming up short that was accepted; absent where costs alone decide.",
    ] = None
    runner_up: Annotated[
        ChoiceData | None,
        "The next best order by cost; by risk the next smaller one.",
    ] = None
    staged: Annotated[
        StagedData | None,
        "What to release and what to hold; absent where all is one call.",
    ] = None
    small_pours: Annotated[
        list[TakerData] | None,
        "What can take the extra, in order of priority.",
    ] = None


def compose_order(
    order: Order, rounding: Rounding, *, title: str, part: str = "", first: str = ""
) -> OrderData:
    """
    Compose an order.

    Parameters
    ----------
    order : Order
    rounding : Rounding
    title : str
        Of the job.
    part : str
        Of the slab, that is ordered by itself.
    first : str
        What is done before it is believed.
    """
    runner_up, staged = order.runner_up, order.staged
    return OrderData(
        **_compose_choice(order.choice, rounding),
        loads=[rounding.volume(load) for load in order.loads],
        way=order.way,
        step=rounding.volume(order.plant.step),
        much=rounding.volume(order.much),
        need=compose_need(order.need, order.level, rounding),
        rests_on=_compose_rests_on(order, rounding.units),
        slip=compose_slip(order, rounding.units, title=title, part=part, first=first),
        truck=if_known(rounding.volume, order.plant.truck),
        least_load=if_known(rounding.volume, order.plant.least_load),
        short_load=if_known(rounding.volume, order.plant.short_load),
        short_load_fee=None if order.fee is None else round(order.fee, 2),
        risk=if_known(rounding.share, order.risk),
        runner_up=ChoiceData(**_compose_choice(runner_up, rounding)) if runner_up else None,
        staged=_compose_staged(staged, order.terms, rounding) if staged else None,
        small_pours=[_compose_taker(taker, rounding) for taker in order.takers] or None,
    )


def _compose_choice(choice: Choice, rounding: Rounding) -> dict[str, Any]:
    return {
        "volume": rounding.volume(choice.volume),
        "expected_left_over": rounding.volume(choice.left_over),
        "expected_unused": rounding.volume(choice.unused),
        "chance_short": if_known(rounding.share, choice.chance_short),
        "chance_unused": if_known(rounding.share, choice.chance_unused),
        "expected_cost": None if choice.loss is None else round(choice.loss, 2),
    }


def _compose_rests_on(order: Order, units: Units) -> RestsOnData:
    return RestsOnData(
        volume=say_volume(order, units),
        loads=say_loads(order, units),
        expected_left_over=say_left_over(order, units),
        chance_short=say_chances(order, units),
    )


def _compose_staged(staged: Staged, terms: Terms, rounding: Rounding) -> StagedData:
    return StagedData(
        go=[rounding.volume(load) for load in staged.go],
        balance=[rounding.volume(load) for load in staged.balance],
        low=rounding.volume(staged.low),
        high=rounding.volume(staged.high),
        call_after=staged.call_after,
        call_by=say_call_time(staged, terms) or None,
    )


def _compose_taker(taker: Taker, rounding: Rounding) -> TakerData:
    is_known = taker.expected is not None and taker.chance is not None
    return TakerData(
        name=taker.pour.name,
        volume=rounding.volume(taker.pour.volume),
        count=taker.pour.count,
        partial=taker.pour.is_partial,
        expected=if_known(rounding.volume, taker.expected) if is_known else None,
        chance=if_known(rounding.share, taker.chance) if is_known else None,
    )
