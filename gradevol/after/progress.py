"""Progress: where a pour stands, what it will take, and what to call for."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Literal

from gradevol.after.call import (
    NOTHING,
    Call,
    find_pace,
    find_trucks,
    leave,
    leave_over,
    need_of,
    range_of,
    size_call,
)
from gradevol.after.forecast import LIMIT, Case, Forecast, Way, forecast
from gradevol.after.joint import Noise, Prior
from gradevol.after.model import PourModel
from gradevol.after.steps import Placed, Step
from gradevol.files.tickets.loads import Load
from gradevol.ground.units import CUBIC_YARD
from gradevol.job.placing import Placing
from gradevol.job.terms import SmallPour, Terms
from gradevol.plan.order import choose_plant
from gradevol.plan.order.expected import Expected
from gradevol.plan.order.need import Need

#: Where on its sloping face a front is taped, one standard deviation as a share of the slab's
#: thickness. A judgement, no source.
_FACE = 0.3
#: What a load holds more or less than another, one standard deviation as a share of it. A
#: judgement, no source.
_TICKET = 0.005
#: A load where the job gives no truck, m³: 10 yd³.
_LOAD = 7.65
#: A slab is done where so little of it is not behind the front, a share of its area.
DONE = 1e-6
#: What is left over is alike within so much, m³: rounding, and nothing else.
EVEN = 1e-6
#: Tickets are so near to another unit, a share of them, that it is asked about. A judgement.
ALIKE = 0.05


@dataclass(frozen=True, slots=True)
class Choice:
    """
    What to call, in some cases of what is off.

    Attributes
    ----------
    cases : tuple of Case
        Empty where it is the same in all.
    still : (float, float, float)
        What the slab takes beyond what came, and between what, m³.
    """

    cases: tuple[Case, ...]
    still: tuple[float, float, float]
    call: Call


@dataclass(frozen=True, slots=True)
class Progress:
    """
    Where a pour stands, m³.

    Attributes
    ----------
    placed : Placed
    forecast : Forecast
    expected : Expected
        The factor that it began with.
    ticketed : float
        Into the slab.
    behind : float or None
        Modelled behind the last front; None where none was read.
    total : (float, float, float)
        What the slab will have taken, and between what.
    still : (float, float, float)
        The same beyond what is ticketed.
    factor : (float, float, float)
        Of that, less what stays in a pump, for each modelled concrete.
    level : float
        Of the ranges.
    is_done : bool
        Whether all of the slab is behind the front.
    calls : tuple of Choice
        What to call: several where that hangs on what is off with a load that is out of line, the
        largest first; none where the slab is done.
    step : float
        Of the plant, m³.
    surplus : float or None
        Ticketed beyond what the slab takes by its fronts, m³, where loads without a front make
        that out of line; else None.
    unit : str or None
        ``yd3`` or ``m3``, where loads are out of line and all would fit had their tickets been in
        that unit and read in the other.
    called : float
        What was called since, beside what was released at once, m³.
    """

    placed: Placed
    forecast: Forecast
    expected: Expected
    ticketed: float
    behind: float | None
    total: tuple[float, float, float]
    still: tuple[float, float, float]
    factor: tuple[float, float, float]
    level: float
    is_done: bool
    calls: tuple[Choice, ...]
    step: float
    surplus: float | None = None
    unit: Literal["yd3", "m3"] | None = None
    called: float = 0.0

    @property
    def call(self) -> Call | None:
        """The largest balance to call; None where the slab is done."""
        return self.calls[0].call if self.calls else None


def set_noise(placing: Placing, terms: Terms, *, thickness: float) -> Noise:
    """What fronts and tickets tell wrongly, as the job has it."""
    load = terms.truck or _LOAD
    plain = Noise()
    return Noise(
        front=placing.front_sigma if placing.front_sigma is not None else plain.front,
        face=_FACE * thickness,
        held=plain.held,
        ticket=_TICKET * load,
        load=load,
    )


def set_prior(model: PourModel, expected: Expected, terms: Terms) -> Prior:
    """What is expected before the pour."""
    sure = model.sureness
    held = terms.pump.held if terms.pump is not None else 0.0
    return Prior(expected.mean, expected.sigma, model.volume, sure.off, sure.shared, sure.own, held)


def follow(
    loads: Sequence[Load],
    placed: Placed,
    model: PourModel,
    expected: Expected,
    *,
    terms: Terms,
    placing: Placing,
    small: Sequence[SmallPour],
    released: float,
    called: float = 0.0,
    need: Need | None = None,
    is_metric: bool,
    level: float,
) -> Progress:
    """
    Follow a pour.

    Parameters
    ----------
    loads : sequence of Load
        In order.
    placed : Placed
        Where they brought it.
    model : PourModel
    expected : Expected
    terms : Terms
    placing : Placing
    small : sequence of SmallPour
        In order of priority.
    released, called : float
        What was released at once, and called since, m³.
    need : Need, optional
        What the order is worked out from: it stands until a load tells how far it has reached.
    is_metric : bool
    level : float
        Of the ranges, 0 to 1 exclusive.
    """
    prior = set_prior(model, expected, terms)
    noise = set_noise(placing, terms, thickness=model.slab.thickness)
    found = forecast(placed.steps, prior, noise)
    reach = NormalDist().inv_cdf((1 + level) / 2)
    whole = need_of(found.total, found.total_sd) if need is None or placed.steps else need
    rest = leave(whole, placed.ticketed, placed.elsewhere)
    last = placed.steps[-1] if placed.steps else None
    is_done = last is not None and last.share >= 1 - DONE
    trucks = find_trucks(terms, is_metric=is_metric)
    step = choose_plant(terms, is_metric=is_metric).step

    def choose(way: Way) -> Choice:
        """What is still to come and to call in a case, less what its tickets say too much."""
        off = {load.line: more for load, more in way.off}
        came = [replace(load, volume=load.volume - off.get(load.line, 0.0)) for load in loads]
        all_of_it = need_of(way.total, way.total_sd) if found.ways else whole
        still = leave(all_of_it, placed.ticketed - sum(off.values()), placed.elsewhere)
        call = size_call(
            still,
            ticketed=sum(load.volume for load in came),
            released=released,
            called=called,
            terms=terms,
            pours=leave_over(small, placed.filled) if placing.carries else (),
            pace=find_pace(came, placing.rate, terms.start, trucks),
            is_metric=is_metric,
            level=level,
        )
        return Choice((way.case,), range_of(still, reach), call)

    ways, surplus = _list_ways(found, placed, loads, rest)
    calls = () if is_done else _join_alike(map(choose, ways), step)
    still = (0.0, 0.0, 0.0) if is_done else range_of(rest, reach)
    if surplus is not None and calls:
        still = (*still[:2], max(choice.still[2] for choice in calls))
    total = range_of(whole, reach)
    factor, low, high = ((each - prior.pump) / prior.volume for each in total)
    if is_done:
        factor = (placed.ticketed - prior.pump) / prior.volume
    return Progress(
        placed=placed,
        forecast=found,
        expected=expected,
        ticketed=placed.ticketed,
        behind=last.behind if last else None,
        total=total,
        still=still,
        factor=(factor, min(low, factor), max(high, factor)),
        level=level,
        is_done=is_done,
        calls=calls,
        step=step,
        surplus=surplus,
        unit=_doubt_unit(placed.steps, prior) if found.alerts else None,
        called=called,
    )


def _list_ways(
    found: Forecast, placed: Placed, loads: Sequence[Load], rest: Need
) -> tuple[tuple[Way, ...], float | None]:
    """Ways in which the pour may stand, and what is ticketed beyond what the slab takes, m³."""
    ways = found.ways or (Way("slab", found.total, found.total_sd),)
    over, sd = -rest.mean, rest.spread.sd if rest.spread is not None else 0.0
    if not placed.unread or over <= LIMIT * sd + NOTHING:
        return ways, None
    # the slab took it, or else none of what has no front is in it
    off = tuple((load, load.stayed) for load in loads[-len(placed.unread) :])
    if not found.ways:
        ways = (*ways, replace(ways[0], case="ticket"))
    more = (replace(way, off=(*way.off, *off)) if way.case == "ticket" else way for way in ways)
    return tuple(more), over


def _doubt_unit(steps: Sequence[Step], prior: Prior) -> Literal["yd3", "m3"] | None:
    """The unit that all tickets fit, where it is not the one that they were read in."""
    shares = [step.ticketed / (prior.factor * step.behind) for step in steps if step.behind > 0]
    sizes: tuple[tuple[Literal["yd3", "m3"], float], ...] = (
        ("yd3", 1 / CUBIC_YARD),
        ("m3", CUBIC_YARD),
    )
    for unit, size in sizes:
        if shares and all(abs(share / size - 1) < ALIKE for share in shares):
            return unit
    return None


def _join_alike(choices: Iterable[Choice], step: float) -> tuple[Choice, ...]:
    """Join cases whose calls are at most a step apart: the largest, and the least over, first."""
    joined: list[Choice] = []
    for choice in sorted(
        choices, key=lambda one: (-one.call.volume, round(one.call.left_over / EVEN))
    ):
        if joined and joined[-1].call.volume - choice.call.volume <= 1.001 * step:
            joined[-1] = _join(joined[-1], choice)
        else:
            joined.append(choice)
    return tuple(joined) if len(joined) > 1 else (replace(joined[0], cases=()),)


def _join(larger: Choice, other: Choice) -> Choice:
    """Call the larger of two, by when the first of them must be called."""
    timed = [each.call for each in (larger, other) if each.call.by is not None]
    soonest = min(timed, key=lambda call: call.by or 0.0, default=larger.call)
    call = replace(larger.call, by=soonest.by, is_late=soonest.is_late)
    return replace(larger, cases=larger.cases + other.cases, call=call)
