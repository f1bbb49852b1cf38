"""Pricing: a place put right or paid off in concrete, what each costs."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from gradevol.job.terms import Costs
from gradevol.measures.grading import Grading
from gradevol.site.slab import Slab

#: How a low spot may be dealt with.
Way: TypeAlias = Literal["pour", "cuttings", "both", "imported"]

#: Amounts are estimates: they are rounded to the first, below the second to a whole, and compared
#: so.
ROUNDED, _SMALL = 10.0, 100.0


@dataclass(frozen=True, slots=True)
class FillPrice:
    """
    What one low spot costs in each way, in all; None where a way or its price is not there.

    Attributes
    ----------
    pour : float
        Left as it is, and paid in concrete.
    cuttings : float or None
        Filled as far as the cuttings brought to it reach, the rest paid in concrete.
    both : float or None
        Filled: cuttings first, bought stone for the rest.
    imported : float or None
        Filled with bought stone alone.
    way : {"pour", "cuttings", "both", "imported"}
        The cheapest; a tie says pour.
    hours : float
        Of a crew, in that way.
    weight : float
        Material bought, in that way, kg.
    """

    pour: float
    cuttings: float | None
    both: float | None
    imported: float | None
    way: Way
    hours: float
    weight: float

    @property
    def chosen(self) -> float:
        """Price of the cheapest way."""
        amount = getattr(self, self.way)
        assert isinstance(amount, float)
        return amount

    @property
    def is_choice(self) -> bool:
        """Whether any way but pouring has a price."""
        return any(price is not None for price in (self.cuttings, self.both, self.imported))


@dataclass(frozen=True, slots=True)
class CutPrice:
    """
    What one cut costs.

    Attributes
    ----------
    fix : float or None
        None where a crew has no price.
    concrete : float
        What the concrete costs that takes the place of the cuttings.
    hours : float
        Of a crew.
    """

    fix: float | None
    concrete: float
    hours: float


@dataclass(frozen=True, slots=True)
class Sums:
    """
    What the lines of work come to, what must be done apart from what is a matter of money.

    Attributes
    ----------
    must : float or None
        To shave what must be put right; None where a crew has no price.
    shave : float or None
        To shave what is beyond its tolerance only.
    saved : float
        By filling low places in the cheapest way, against pouring them all.
    """

    must: float | None
    shave: float | None
    saved: float


@dataclass(frozen=True, slots=True)
class Regrade:
    """
    All of the slab brought to the design base, against leaving it.

    Attributes
    ----------
    concrete : float
        Saved: fill less cut, m³.
    pour : float
        What that much concrete costs.
    fix : float or None
        What the work costs; None where crew or material has no price.
    hours, weight : float
        Of a crew, h; material bought, kg.
    is_worth_it : bool
        Whether the work costs less; a tie says pour.
    """

    concrete: float
    pour: float
    fix: float | None
    hours: float
    weight: float
    is_worth_it: bool


def round_amount(amount: float) -> float:
    """Round an amount to `ROUNDED`, a small one to a whole, halves up."""
    step = ROUNDED if abs(amount) >= _SMALL else 1.0
    return float((amount + step / 2) // step * step)


def price_cut(area: float, volume: float, costs: Costs) -> CutPrice:
    """Price a cut of an area, m², and a volume, bank measure, m³."""
    pace = costs.pace
    hours = pace.place + area / pace.area + volume / pace.volume
    fix = None if costs.crew is None else round_amount(hours * costs.crew)
    return CutPrice(fix, round_amount(volume * costs.concrete), hours)


def price_fill(area: float, volume: float, cuttings: float, costs: Costs) -> FillPrice:
    """
    Price a low spot in each way.

    Parameters
    ----------
    area : float
        m².
    volume : float
        To the design base, compacted, m³.
    cuttings : float
        Of that, what cuttings would fill, m³. They cost only the placing: they are cut anyway,
        and the crew that brings them has no other way to come.
    costs : Costs
    """
    pace = costs.pace
    placing = area / volume / pace.area + 1 / pace.volume  # h for 1 m³
    rest = volume - cuttings
    own = cuttings * placing
    hours: dict[Way, float] = {
        "pour": 0.0,
        "cuttings": own,
        "both": own + pace.place + pace.fetch + rest * placing,
        "imported": pace.place + pace.fetch + volume * placing,
    }
    bought: dict[Way, float] = {
        "pour": 0.0,
        "cuttings": 0.0,
        "both": rest * costs.weight,
        "imported": volume * costs.weight,
    }
    poured: dict[Way, float] = {"pour": volume, "cuttings": rest, "both": 0.0, "imported": 0.0}
    amount: dict[Way, float] = {}
    for way, left in poured.items():
        work = _cost_of_work(hours[way], bought[way], costs)
        is_there = way in ("pour", "imported") or (
            cuttings > 0 and (way == "cuttings" or rest > 1e-9)
        )
        if work is not None and is_there:
            amount[way] = round_amount(work + left * costs.concrete)
    best = min(amount, key=amount.__getitem__)  # the first of equals: pour
    return FillPrice(
        pour=amount["pour"],
        cuttings=amount.get("cuttings"),
        both=amount.get("both"),
        imported=amount.get("imported"),
        way=best,
        hours=hours[best],
        weight=bought[best],
    )


def add_up(prices: Sequence[FillPrice | CutPrice | None], is_must: Sequence[bool]) -> Sums:
    """Add up the prices of lines of work, those that must be done apart."""
    cuts: dict[bool, list[float | None]] = {True: [], False: []}
    saved = 0.0
    for price, must in zip(prices, is_must, strict=True):
        if isinstance(price, CutPrice):
            cuts[must].append(price.fix)
        elif price is not None:
            saved += price.pour - price.chosen
    must_cost, shave = (
        None if None in held else float(sum(amount or 0.0 for amount in held))
        for held in (cuts[True], cuts[False])
    )
    return Sums(must_cost, shave, saved)


def price_regrade(grading: Grading, slab: Slab, costs: Costs) -> Regrade:
    """Price all of the slab brought to the design base, its cuttings used as fill."""
    pace = costs.pace
    wanting = max(grading.net, 0.0)
    hours = pace.place + slab.area / pace.area + (grading.cut + grading.fill) / pace.volume
    hours += pace.fetch if wanting > 0 else 0.0
    weight = wanting * costs.weight
    work = _cost_of_work(hours, weight, costs)
    pour = round_amount(grading.net * costs.concrete)
    fix = None if work is None else round_amount(work)
    return Regrade(grading.net, pour, fix, hours, weight, fix is not None and fix < pour)


def _cost_of_work(hours: float, weight: float, costs: Costs) -> float | None:
    """Cost of a crew's hours and of material; None where one of them has no price."""
    if (hours > 0 and costs.crew is None) or (weight > 0 and costs.material is None):
        return None
    return hours * (costs.crew or 0.0) + weight * (costs.material or 0.0)
