"""The order as plain data: what is needed, what to order, in which loads, what it rests on."""

from typing import Any

from gradevol.answer.data.basis import say_chances, say_left_over, say_loads, say_volume
from gradevol.answer.data.slip import compose_slip, say_call_time
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.plan.order import Order, Taker
from gradevol.plan.order.cost import Choice
from gradevol.plan.order.loads import Staged


def present_pours(result: Result, rounding: Rounding) -> dict[str, Any]:
    """
    Put the order and the pours into plain data.

    Parameters
    ----------
    result : Result
    rounding : Rounding

    Returns
    -------
    dict
        ``order`` and ``pours`` of the result; empty where the job has neither.
    """
    delivery = result.delivery
    view: dict[str, Any] = {}
    if delivery.order is not None:
        view["order"] = _order(delivery.order, rounding, title=result.title)
    pours: list[dict[str, Any]] = []
    for number, part in enumerate(delivery.parts):
        shown: dict[str, Any] = {
            "name": part.name,
            "kind": "part",
            "area": rounding.area(part.area),
            "volume": rounding.volume(part.concrete.volume),
        }
        if delivery.part_orders:
            order = delivery.part_orders[number]
            shown["order"] = _order(order, rounding, title=part.name)
        pours.append(shown)
    pours += [
        {
            "name": pour.name,
            "kind": "small",
            "volume": rounding.volume(pour.volume),
            "count": pour.count,
            "partial": pour.is_partial,
        }
        for pour in delivery.small_pours
    ]
    if pours:
        view["pours"] = pours
    return view


def _order(order: Order, rounding: Rounding, *, title: str) -> dict[str, Any]:
    units = rounding.units
    view: dict[str, Any] = {
        **_choice(order.choice, rounding),
        "loads": [rounding.volume(load) for load in order.loads],
        "way": order.way,
        "step": rounding.volume(order.plant.step),
        "much": rounding.volume(order.much),
        "need": _need(order, rounding),
        "rests_on": {
            "volume": say_volume(order, units),
            "loads": say_loads(order, units),
            "expected_left_over": say_left_over(order, units),
            "chance_short": say_chances(order, units),
        },
        "slip": compose_slip(order, units, title=title),
    }
    for key, value in (("truck", order.plant.truck), ("least_load", order.plant.least_load)):
        if value is not None:
            view[key] = rounding.volume(value)
    if order.risk is not None:
        view["risk"] = rounding.share(order.risk)
    if order.runner_up is not None:
        view["runner_up"] = _choice(order.runner_up, rounding)
    if order.staged is not None:
        view["staged"] = _staged(order, order.staged, rounding)
    if order.takers:
        view["small_pours"] = [_taker(taker, rounding) for taker in order.takers]
    return view


def _choice(choice: Choice, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "volume": rounding.volume(choice.volume),
        "expected_left_over": rounding.volume(choice.left_over),
        "expected_unused": rounding.volume(choice.unused),
    }
    for key, share in (
        ("chance_short", choice.chance_short),
        ("chance_unused", choice.chance_unused),
    ):
        if share is not None:
            shown[key] = rounding.share(share)
    if choice.loss is not None:
        shown["expected_cost"] = round(choice.loss, 2)
    return shown


def _need(order: Order, rounding: Rounding) -> dict[str, Any]:
    need, level = order.need, order.level
    shown: dict[str, Any] = {
        "volume": rounding.volume(need.mean),
        "in_place": rounding.volume(need.in_place),
        "lines": [
            {
                "kind": line.kind,
                "name": line.name,
                "volume": rounding.volume(line.volume),
                **({} if line.share is None else {"share": rounding.share(line.share)}),
            }
            for line in need.lines
        ],
        "allowance_sd": rounding.volume(need.allowance_sd),
    }
    spread, found = need.spread, need.find_range(level)
    if spread is not None and found is not None and need.survey_sd is not None:
        shown |= {
            "survey_sd": rounding.volume(need.survey_sd),
            "sd": rounding.volume(spread.sd),
            "level": rounding.share(level),
            "middle": rounding.volume(spread.mean),
            "low": rounding.volume(found[0]),
            "high": rounding.volume(found[1]),
        }
    return shown


def _staged(order: Order, staged: Staged, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "go": [rounding.volume(load) for load in staged.go],
        "balance": [rounding.volume(load) for load in staged.balance],
        "low": rounding.volume(staged.low),
        "high": rounding.volume(staged.high),
        "call_after": staged.call_after,
    }
    by = say_call_time(staged, order.terms)
    if by:
        shown["call_by"] = by
    return shown


def _taker(taker: Taker, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "name": taker.pour.name,
        "volume": rounding.volume(taker.pour.volume),
        "count": taker.pour.count,
        "partial": taker.pour.is_partial,
    }
    if taker.expected is not None and taker.chance is not None:
        shown["expected"] = rounding.volume(taker.expected)
        shown["chance"] = rounding.share(taker.chance)
    return shown
