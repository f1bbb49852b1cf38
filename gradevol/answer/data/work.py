"""The plan of work as plain data."""

from typing import Any

from gradevol.answer.data.work_costs import price_of, say_regrading, say_sums
from gradevol.answer.data.work_lines import say_do, say_fix, say_worst_place
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.ground.units import Units
from gradevol.job.terms import SHORT_TON, TONNE
from gradevol.plan.fixes.fix import Fix
from gradevol.plan.fixes.hauling import Haul
from gradevol.plan.fixes.pricing import CutPrice, FillPrice

#: Decimals of hours and of tons: both are estimates.
_HOURS, _TONS = 1, 2


def present_work(result: Result, rounding: Rounding) -> dict[str, Any]:
    """
    Put the plan of work into plain data.

    Parameters
    ----------
    result : Result
    rounding : Rounding

    Returns
    -------
    dict
        ``fix``, ``moves_of_material`` and ``material``; where there are more places than are
        listed, ``fix_unlisted``; where the job gives costs, ``fix_costs`` and ``regrading``.
    """
    work = result.work
    view: dict[str, Any] = {
        "fix": [_present_fix(fix, result, rounding) for fix in work.fixes],
        "moves_of_material": [_present_haul(haul, result, rounding) for haul in work.hauls],
        "material": {
            "cut": rounding.volume(work.cut),
            "fill": rounding.volume(work.fill),
            "moved": rounding.volume(sum(haul.volume for haul in work.hauls)),
            "left_over": rounding.volume(work.left_over),
            "wanting": rounding.volume(work.wanting),
            "loose": round(work.loose, 3),
        },
    }
    if work.more:
        view["fix_unlisted"] = {"count": work.more, "must": work.more_must}
    if (sums := work.sums) is not None:
        view["fix_costs"] = {
            **({} if sums.must is None else {"must": sums.must}),
            **({} if sums.shave is None else {"shave": sums.shave}),
            "saved": sums.saved,
            "text": say_sums(result),
        }
    if (whole := work.regrade) is not None:
        view["regrading"] = {
            "concrete": rounding.volume(whole.concrete),
            "pour": whole.pour,
            **({} if whole.fix is None else {"fix": whole.fix}),
            "hours": round(whole.hours, _HOURS),
            "tons": _tons(whole.weight, result.units),
            "call": "fix" if whole.is_worth_it else "pour",
            "text": say_regrading(result),
        }
    return view


def _present_fix(fix: Fix, result: Result, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "rank": fix.rank,
        "kind": fix.kind,
        "reasons": list(fix.reasons),
        "must": fix.is_must,
        "call": fix.call,
        "do": say_do(fix, result),
        "worst": rounding.length(fix.worst),
        "mean": rounding.length(fix.mean),
        "thickness": rounding.length(fix.thickness),
        "area": rounding.area(fix.area),
        "length": rounding.length(fix.length),
        "width": rounding.length(fix.width),
        "bearing": round(fix.bearing, 1) % 180,
        "volume": rounding.volume(fix.volume),
        "loose_volume": rounding.volume(fix.volume * result.work.loose),
        "at": rounding.place(fix.at[:2] if fix.kind == "cover" else fix.at),
        "where": say_worst_place(fix, result),
        "shots": [result.survey.name(index) for index in fix.shots],
        "is_shot": fix.is_shot,
    }
    if fix.suspects:
        shown["reshoot"] = [result.survey.name(index) for index in fix.suspects]
    if fix.covers:
        shown["cover"] = list(fix.covers)
    if (price := price_of(fix, result)) is not None:
        shown["cost"] = _present_price(price, result)
    shown["text"] = say_fix(fix, result)
    return shown


def _present_price(price: FillPrice | CutPrice, result: Result) -> dict[str, Any]:
    shown: dict[str, Any] = {"hours": round(price.hours, _HOURS)}
    names = (
        ("fix", "concrete")
        if isinstance(price, CutPrice)
        else ("pour", "cuttings", "both", "imported")
    )
    amounts = {name: getattr(price, name) for name in names}
    shown |= {name: amount for name, amount in amounts.items() if amount is not None}
    if isinstance(price, FillPrice):
        shown["way"] = price.way
        shown["tons"] = _tons(price.weight, result.units)
    return shown


def _present_haul(haul: Haul, result: Result, rounding: Rounding) -> dict[str, Any]:
    source, target = (result.work.fixes[rank - 1] for rank in (haul.source, haul.target))
    volume = rounding.volume(haul.volume)
    return {
        "from": haul.source,
        "to": haul.target,
        "volume": volume,
        "loose_volume": rounding.volume(haul.volume * result.work.loose),
        "filled": volume,
        "distance": rounding.length(haul.distance),
        "from_where": say_worst_place(source, result),
        "to_where": say_worst_place(target, result),
    }


def _tons(weight: float, units: Units) -> float:
    return round(weight / (TONNE if units.is_metric else SHORT_TON), _TONS)
