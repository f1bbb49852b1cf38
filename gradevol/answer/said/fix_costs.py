"""What the work costs, in words."""

from gradevol.answer.result import Result
from gradevol.answer.statement import Figure, Words, join, words
from gradevol.plan.fixes.fix import Fix
from gradevol.plan.fixes.pricing import CutPrice, FillPrice

#: Ways to fill a low place, as they are told.
_WAYS = {
    "cuttings": "with what you cut",
    "both": "with what you cut and bought stone",
    "imported": "with bought stone",
    "pour": "poured",
}


def say_costs(fix: Fix, result: Result) -> Words:
    """Say what a row costs in each way: ``$290 with what you cut, $320 poured``."""
    price, key = price_of(fix, result), f"fix.{fix.rank - 1}.cost"
    if isinstance(price, CutPrice):
        if price.fix is None:
            return Words()
        said = words("{} to shave", _amount(price.fix, f"{key}.fix", result))
        if not price.concrete:
            return said
        concrete = _amount(price.concrete, f"{key}.concrete", result)
        return said + words(", and {} of concrete in its place", concrete)
    if price is None or not price.is_choice:
        return Words()
    # two materials for one place are only told where they cost least
    told = [
        words(f"{{}} {way}", _amount(amount, f"{key}.{name}", result))
        for name, way in _WAYS.items()
        if (amount := getattr(price, name)) is not None and (name != "both" or price.way == name)
    ]
    return join(", ", told)


def tell_sums(result: Result) -> Words:
    """Tell what the rows come to: what must be done, and what is a matter of money."""
    work, said = result.work, []
    if (sums := work.sums) is None:
        return Words()
    if sums.must:
        must = _amount(sums.must, "fix_costs.must", result)
        said.append(words("Shaving what must be shaved costs {}.", must))
    if sums.shave:
        shave = _amount(sums.shave, "fix_costs.shave", result)
        said.append(words("Shaving to the tolerance costs {}.", shave))
    if any(isinstance(price, FillPrice) and price.is_choice for price in work.prices):
        saved = _amount(sums.saved, "fix_costs.saved", result)
        said.append(
            words("Filling low spots where that is cheaper saves {} over pouring them all.", saved)
            if sums.saved
            else words("Pouring the low spots full is cheaper than filling any.")
        )
    return join(" ", said)


def tell_regrading(result: Result) -> Words:
    """Tell what bringing all of the slab to the design base would save and cost."""
    if (whole := result.work.regrade) is None:
        return Words()
    saved = Figure(result.units.say_volume(abs(whole.concrete)), "regrading.concrete")
    if whole.concrete <= 0:
        return words("Grading it all to the drawing takes {} more concrete: leave it.", saved)
    said = words(
        "Grading it all to the drawing saves {} of concrete, {}",
        saved,
        _amount(whole.pour, "regrading.pour", result),
    )
    if whole.fix is None:
        return said + "."
    spent = _amount(whole.fix, "regrading.fix", result)
    advice = "worth it" if whole.is_worth_it else "not worth it, pour"
    return said + words(", and costs {}: {}.", spent, advice)


def tell_regrading_briefly(result: Result) -> Words:
    """Tell the same for a small screen; empty where nothing is saved or not all has a price."""
    whole = result.work.regrade
    if whole is None or whole.fix is None or whole.concrete <= 0:
        return Words()
    return words(
        "Grading it all to the drawing saves {} of concrete and costs {}.",
        _amount(whole.pour, "regrading.pour", result),
        _amount(whole.fix, "regrading.fix", result),
    )


def list_costs(fix: Fix, result: Result) -> list[str]:
    """List the hours, what fixing costs in the cheapest way, and what pouring, as cells."""
    price = price_of(fix, result)
    if price is None:
        return ["", "", ""]
    is_cut = isinstance(price, CutPrice)
    names = ("fix",) if is_cut else ("cuttings", "both", "imported")
    ways = [amount for name in names if (amount := getattr(price, name)) is not None]
    return [
        f"{price.hours:.1f}",
        f"{min(ways):.0f}" if ways else "",
        "" if isinstance(price, CutPrice) else f"{price.pour:.0f}",
    ]


def _amount(amount: float, key: str, result: Result) -> Figure:
    return Figure(f"{result.work.currency}{amount:,.0f}", key)


def price_of(fix: Fix, result: Result) -> FillPrice | CutPrice | None:
    """Return the price of a row; None where it has none."""
    prices = result.work.prices
    return prices[fix.rank - 1] if prices else None
