"""What the work costs, in words."""

from typing import Any

from gradevol.answer.result import Result
from gradevol.plan.fixes.fix import Fix
from gradevol.plan.fixes.pricing import CutPrice, FillPrice


def say_costs(fix: Fix, result: Result) -> list[str]:
    """Say what a line of work costs in each way: ``$290 with cuttings, $320 poured``."""
    price = price_of(fix, result)
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


def price_of(fix: Fix, result: Result) -> FillPrice | CutPrice | None:
    """Return the price of a line of work; None where it has none."""
    prices = result.work.prices
    return prices[fix.rank - 1] if prices else None
