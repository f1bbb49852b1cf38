"""The order: what is needed, how much to order for it, and in which loads."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from gradevol.ground.units import CUBIC_YARD
from gradevol.job.terms import RISK, STEP_METRES, STEP_YARDS, Costs, SmallPour, Terms
from gradevol.plan.order.cost import Choice, Scale, step_below, weigh_certain, weigh_up
from gradevol.plan.order.loads import (
    Plant,
    Staged,
    count_sure,
    plan_loads,
    time_call,
    time_load,
)
from gradevol.plan.order.need import Need
from gradevol.plan.order.normal import Normal
from gradevol.plan.order.surplus import Remains, fill_all

#: Loads that are needed with all but this chance are released at once: common practice, no source.
_SURE = 0.025
#: What the order was chosen by: least expected cost, accepted risk, or the mean need alone, where
#: no standard deviation is known.
Way: TypeAlias = Literal["costs", "risk", "mean"]


@dataclass(frozen=True, slots=True)
class Taker:
    """
    A small pour, and what it is expected to take of what is left over.

    Attributes
    ----------
    expected : float or None
        m³; None where no standard deviation is known.
    chance : float or None
        Chance that there is enough for it: for the first, where there are several of it.
    """

    pour: SmallPour
    expected: float | None
    chance: float | None


@dataclass(frozen=True, slots=True)
class Order:
    """
    What to order, m³.

    Attributes
    ----------
    choice : Choice
        What to order.
    way : {"costs", "risk", "mean"}
        What it was chosen by.
    risk : float or None
        The accepted chance of coming up short that bounds it; None where costs alone decide, or
        no standard deviation is known.
    runner_up : Choice or None
        The next best order, or by risk the next smaller one.
    loads : tuple of float
        They add up to the order; empty where it is not known what a truck holds.
    staged : Staged or None
        What to release and what to hold; None where it is all one call.
    is_too_early : bool
        Whether nothing is held because the balance would have to be called before the first load is
        on site, when no more is known than now.
    takers : tuple of Taker
        In order of priority.
    much : float
        What counts as much left over, m³: a cubic yard or metre.
    level : float
        Of the ranges that are told.
    terms : Terms
        What it was worked out from.
    load_takes : float or None
        How long a full load takes, h: as trucks come or as the crew places, the slower of both;
        None where neither is known.
    """

    need: Need
    choice: Choice
    way: Way
    risk: float | None
    runner_up: Choice | None
    plant: Plant
    loads: tuple[float, ...]
    staged: Staged | None
    is_too_early: bool
    takers: tuple[Taker, ...]
    much: float
    level: float
    terms: Terms
    load_takes: float | None = None

    @property
    def fee(self) -> float | None:
        """What its loads pay for being small; None where the job gives no such fee."""
        costs, least = self.terms.costs, self.plant.short_load
        if costs is None or costs.short_load is None or least is None or not self.loads:
            return None
        loads = (*self.staged.go, *self.staged.balance) if self.staged else self.loads
        return costs.short_load * sum(max(least - load, 0.0) for load in loads)


def place_order(
    need: Need,
    terms: Terms,
    *,
    is_metric: bool,
    level: float,
    pours: Sequence[SmallPour] = (),
    rate: float | None = None,
) -> Order:
    """
    Choose how much to order, and plan its loads.

    Parameters
    ----------
    need : Need
    terms : Terms
    is_metric : bool
        Whether the plant sells in cubic metres, where the job does not give its step.
    level : float
        Of the range of the balance that is told.
    pours : sequence of SmallPour
        What can take what is left over, in order of priority.
    rate : float, optional
        As the crew places, m³ an hour: with the trucks' spacing it tells when to call the balance.

    Returns
    -------
    Order
        Never less than the need at the accepted risk; where costs are given, the order of least
        expected cost among those. Always one that trucks can bring.
    """
    plant = choose_plant(terms, is_metric=is_metric)
    much = 1.0 if is_metric else CUBIC_YARD
    costs, bound = choose_way(terms)
    remaining = [Remains(stretches) for stretches in fill_all(pours)]
    runner_up: Choice | None = None
    spread = need.spread
    if spread is None:
        way: Way = "mean"
        risk = None
        choice = weigh_certain(plant.round_up(need.mean) * plant.step, need.mean, pours)
    else:
        weigh = Scale(spread, remaining[-1], much, costs, plant)
        way = "risk" if costs is None else "costs"
        risk = bound
        least = 0 if risk is None else plant.round_up(bound_order(need, spread, risk))
        if costs is None:
            choice, below = weigh(least * plant.step), step_below(least, plant)
            runner_up = None if below is None else weigh(below * plant.step)
        else:
            choice, runner_up = weigh_up(weigh, plant, least, pours)
    steps = plant.count_up(choice.volume)
    loads = tuple(count * plant.step for count in plan_loads(steps, plant))
    takes = time_load(plant, spacing=terms.spacing, rate=rate)
    staged = _stage(need, steps, plant, terms, level=level, takes=takes)
    is_too_early = staged is not None and staged.call_after == 0
    return Order(
        need=need,
        choice=choice,
        way=way,
        risk=risk,
        runner_up=runner_up,
        plant=plant,
        loads=loads,
        staged=None if is_too_early else staged,
        is_too_early=is_too_early,
        takers=_find_takers(need, choice, pours, remaining),
        much=much,
        level=level,
        terms=terms,
        load_takes=takes,
    )


def choose_plant(terms: Terms, *, is_metric: bool) -> Plant:
    """How the plant sells: as the job says, or in the usual steps."""
    step = terms.step if terms.step is not None else STEP_METRES if is_metric else STEP_YARDS
    return Plant(step, terms.truck, terms.least_load, terms.short_load)


def choose_way(terms: Terms) -> tuple[Costs | None, float | None]:
    """Choose what an order goes by: costs, where the job says what a shortage costs, and the risk.

    The accepted chance of coming up short is None where costs alone decide.
    """
    costs = terms.costs if terms.costs is not None and terms.costs.is_of_shortage else None
    return costs, RISK if terms.risk is None and costs is None else terms.risk


def bound_order(need: Need, spread: Normal, risk: float) -> float:
    """
    Least volume that is short with no more than a chance, before it is rounded up to steps, m³.

    Where the shots put the middle below the stated volume, the interval reaches up to that; so does
    this, but for a chance of a half or more. Where the survey's own distribution has a longer tail
    than the normal one, as few shots leave it, that one decides.
    """
    least = spread.quantile(1 - risk)
    if need.survey is not None:
        own = need.survey.widen(need.allowance_sd)
        least = max(least, need.mean + own.quantile(1 - risk))
    return max(least, need.mean) if risk < 0.5 else least


def _stage(
    need: Need, steps: int, plant: Plant, terms: Terms, *, level: float, takes: float | None
) -> Staged | None:
    spread = need.spread
    if spread is None or plant.most is None:
        return None
    sure = count_sure(spread.quantile(_SURE), steps, plant)
    if sure == 0:
        return None
    released = sure * plant.most
    call_after, call_at = time_call(sure, notice=terms.notice, takes=takes, spacing=terms.spacing)
    go = released * plant.step
    return Staged(
        go=(plant.most * plant.step,) * sure,
        balance=tuple(count * plant.step for count in plan_loads(steps - released, plant)),
        low=max(spread.quantile((1 - level) / 2) - go, 0.0),
        high=max(spread.quantile((1 + level) / 2) - go, 0.0),
        call_after=call_after,
        call_at=call_at,
    )


def _find_takers(
    need: Need,
    choice: Choice,
    pours: Sequence[SmallPour],
    remaining: Sequence[Remains],
) -> tuple[Taker, ...]:
    spread = need.spread
    if spread is None:
        return tuple(Taker(pour, None, None) for pour in pours)
    left = Normal(choice.volume - spread.mean, spread.sd)
    return tuple(
        Taker(
            pour,
            expected=before.expect(left) - after.expect(left),
            chance=before.chance_of(pour.volume, left),
        )
        for pour, before, after in zip(pours, remaining, remaining[1:], strict=False)
    )
