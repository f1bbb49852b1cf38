"""The plan of work as plain data, and each line of it in words."""

from typing import Any

from gradevol.presentation.rounding import Rounding
from gradevol.presentation.words import say_where
from gradevol.result import Result
from gradevol.terms import SHORT_TON, TONNE
from gradevol.units import Units
from gradevol.work.fixes import Fix, Lowering
from gradevol.work.hauling import Haul
from gradevol.work.pricing import CutPrice, FillPrice

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
        "where": _where(fix, result),
        "shots": [result.survey.name(index) for index in fix.shots],
        "is_shot": fix.is_shot,
    }
    if fix.suspects:
        shown["reshoot"] = [result.survey.name(index) for index in fix.suspects]
    if fix.covers:
        shown["cover"] = list(fix.covers)
    if (price := _price_of(fix, result)) is not None:
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
        "from_where": _where(source, result),
        "to_where": _where(target, result),
    }


def say_do(fix: Fix, result: Result) -> str:
    """Say in a few words what is done at a place."""
    what = _say_work(fix, result)
    if not fix.suspects:
        return what
    shots = ", ".join(result.survey.name(index) for index in fix.suspects)
    if fix.call == "leave":
        return f"leave; reshoot {shots}"
    return f"reshoot {shots}; {'if right,' if fix.call == 'reshoot' else 'then'} {what}"


def _say_work(fix: Fix, result: Result) -> str:
    if fix.call == "leave":
        return "leave"
    if fix.kind == "cover":
        return f"lower {' and '.join(fix.covers)}"
    if not fix.is_fill:
        return "; ".join(["shave", *(_say_lowering(item, result.units) for item in fix.lowerings)])
    return "fill" if fix.call == "reshoot" else _say_fill(fix, result)


def _say_lowering(item: Lowering, units: Units) -> str:
    by, length = units.say_thickness(item.by), units.say_tape(item.length)
    return f"lower {item.name} with it, by {by} over {length}"


def _say_fill(fix: Fix, result: Result) -> str:
    if fix.call == "pour":
        return "pour"
    cuttings = sum(haul.volume for haul in result.work.hauls if haul.target == fix.rank)
    is_all = cuttings > fix.volume - 1e-9
    if fix.call == "either":
        rest = "" if is_all else "; fill or pour the rest"
        return f"fill with cuttings{rest}" if cuttings else "fill or pour"
    price = _price_of(fix, result)
    is_poured = isinstance(price, FillPrice) and price.way == "cuttings" and not is_all
    rest = ", pour the rest" if is_poured else ""
    return f"fill{' with cuttings' if cuttings else ''}{rest}"


def say_fix(fix: Fix, result: Result) -> str:
    """Say one line of work in full: what, how much, how large, where, why, with what, for what."""
    parts = [
        f"{_capital(say_do(fix, result))}: {_say_much(fix, result, is_brief=False)}",
        f"{'' if fix.kind == 'cover' else 'worst '}{_where(fix, result)}",
        *_say_reasons(fix, result.units),
        *filter(None, [say_hauls(fix, result)]),
        *say_costs(fix, result),
    ]
    parts += filter(None, [say_shots(fix, result)])
    return "; ".join(parts)


def say_briefly(fix: Fix, result: Result) -> str:
    """Say one line of work for a small screen: what, how much, how large, where."""
    ends = "".join(f", {way}" for way, _ in _ways_of(fix, result))
    much = _say_much(fix, result, is_brief=True)
    return f"{_capital(say_do(fix, result))}: {much}{ends}; {_where(fix, result)}"


def _ways_of(fix: Fix, result: Result) -> list[tuple[str, Haul]]:
    """Where cuttings of a line of work go, or come from: ``to 3``."""
    return [
        (f"to {haul.target}" if haul.source == fix.rank else f"from {haul.source}", haul)
        for haul in result.work.hauls
        if fix.rank in (haul.source, haul.target)
    ]


def _say_much(fix: Fix, result: Result, *, is_brief: bool) -> str:
    units = result.units
    if fix.kind == "cover":
        return f"by {units.say_thickness(fix.worst)} over {units.say_tape(fix.length)}"
    worst = f"up to {units.say_thickness(fix.worst)}"
    if is_brief:
        return f"{worst}, {_say_size(fix, units)}"
    mean, volume = units.say_thickness(fix.mean), units.say_volume(fix.volume)
    loose = units.say_volume(fix.volume * result.work.loose)
    size = _say_size(fix, units)
    return f"{worst}, {mean} on average, over {size}, {volume} ({loose} loose)"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _say_reasons(fix: Fix, units: Units) -> list[str]:
    thickness = units.say_thickness(fix.thickness, down=True)
    if fix.kind == "cover":
        return [f"{thickness} of cover"]
    said = []
    if "thin" in fix.reasons:
        said.append(f"{thickness} thick")
    if "near-thin" in fix.reasons:
        said.append(f"{thickness} thick, too near the least for the shots to tell")
    if fix.covers:
        said.append(f"too little cover over {' and '.join(fix.covers)}")
    return said


def say_hauls(fix: Fix, result: Result) -> str:
    """Say where cuttings go, or come from: ``0.27 yd³ to 3, 41 ft 2 in``; empty where none."""
    units = result.units
    return "; ".join(
        f"{units.say_volume(haul.volume)} {way}, {units.say_tape(haul.distance)}"
        for way, haul in _ways_of(fix, result)
    )


def say_costs(fix: Fix, result: Result) -> list[str]:
    """Say what a line of work costs in each way: ``$290 with cuttings, $320 poured``."""
    price = _price_of(fix, result)
    if isinstance(price, CutPrice):
        if price.fix is None:
            return []
        more = f", and {_say_amount(price.concrete, result)} of concrete in its place"
        return [f"{_say_amount(price.fix, result)}{more if price.concrete else ''}"]
    if price is None or not price.is_choice:
        return []
    other = {"cuttings": "with cuttings", "imported": "with bought material"}
    said = [
        f"{_say_amount(amount, result)} {words}"
        for way, words in other.items()
        if (amount := getattr(price, way)) is not None
    ]
    return [f"{', '.join(said)}, {_say_amount(price.pour, result)} poured"]


def say_sums(result: Result) -> str:
    """Say what the lines of work come to: what must be done, and what is a matter of money."""
    work, said = result.work, []
    sums = work.sums
    if sums is None:
        return ""
    if sums.must:
        said.append(f"What must be put right costs {_say_amount(sums.must, result)} to shave.")
    if sums.shave:
        said.append(f"Shaving to the tolerance costs {_say_amount(sums.shave, result)}.")
    fills = [price for price in work.prices if isinstance(price, FillPrice) and price.is_choice]
    if fills:
        said.append(
            f"Filling low places where that is cheaper saves {_say_amount(sums.saved, result)} "
            "against pouring them all."
            if sums.saved
            else "Pouring the low places is cheaper than filling any."
        )
    return " ".join(said)


def list_costs(cost: dict[str, Any]) -> list[str]:
    """List the hours, what fixing costs in the cheapest way, and what pouring, as cells."""
    ways = [cost[way] for way in ("fix", "cuttings", "both", "imported") if way in cost]
    return [
        f"{cost['hours']:.1f}" if cost else "",
        f"{min(ways):.0f}" if ways else "",
        f"{cost['pour']:.0f}" if "pour" in cost else "",
    ]


def say_regrading(result: Result) -> str:
    """Say what bringing all of the slab to the design base would save and cost."""
    whole = result.work.regrade
    if whole is None:
        return ""
    saved = result.units.say_volume(abs(whole.concrete))
    if whole.concrete <= 0:
        return f"All of the slab brought to the design base takes {saved} more: leave it."
    text = f"All of the slab brought to the design base saves {saved}, " + _say_amount(
        whole.pour, result
    )
    if whole.fix is None:
        return f"{text}."
    verdict = "worth it" if whole.is_worth_it else "pour"
    return f"{text}, and costs {_say_amount(whole.fix, result)}: {verdict}."


def say_regrading_briefly(result: Result) -> str:
    """Say the same for a small screen; empty where nothing is saved or not all has a price."""
    whole = result.work.regrade
    if whole is None or whole.fix is None or whole.concrete <= 0:
        return ""
    saved, spent = (_say_amount(amount, result) for amount in (whole.pour, whole.fix))
    return f"Regrading all saves {saved}, costs {spent}."


def _say_amount(amount: float, result: Result) -> str:
    return f"{result.work.currency}{amount:,.0f}"


def _say_size(fix: Fix, units: Units) -> str:
    long, wide = (units.to_length(value) for value in (fix.length, fix.width))
    least, digits, unit = (0.1, 1, "m") if units.is_metric else (1, 0, "ft")
    if long < least:
        return f"less than {least:g} {unit} across"
    return f"{long:.{digits}f} x {max(wide, least):.{digits}f} {unit}"


def say_shots(fix: Fix, result: Result, most: int = 6) -> str:
    """Say which shots say so: ``shots 22, 27``; the nearest where none lies within the place."""
    if not fix.shots or not result.survey.ids:
        return ""
    names = [result.survey.name(index) for index in fix.shots]
    more = f" and {len(names) - most} more" if len(names) > most else ""
    which = "shot" if fix.is_shot else "nearest shot"
    return f"{which}{'s' if len(names) > 1 else ''} {', '.join(names[:most])}{more}"


def _where(fix: Fix, result: Result) -> str:
    return say_where(fix.where, result.units, result.slab.side_names)


def _price_of(fix: Fix, result: Result) -> FillPrice | CutPrice | None:
    prices = result.work.prices
    return prices[fix.rank - 1] if prices else None


def _tons(weight: float, units: Units) -> float:
    return round(weight / (TONNE if units.is_metric else SHORT_TON), _TONS)
