"""The call: the balance to order while a slab is poured, by when, and what small pours it feeds."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from gradevol.files.tickets.loads import Load
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.job.terms import RISK, SmallPour, Terms
from gradevol.plan.order import Order, choose_plant, place_order
from gradevol.plan.order.need import Need

#: Less than this is nothing to call for, m³ (a wheelbarrow): common practice, no source.
NOTHING = 0.05


@dataclass(frozen=True, slots=True)
class Pace:
    """
    How fast it goes.

    Attributes
    ----------
    rate : float or None
        m³ an hour; None where neither the job nor the times of the loads tell.
    is_stated : bool
        Whether the job states it.
    out_at : float or None
        When the last load that has a time was out, hours after the first midnight.
    placed : float
        Ticketed by then, m³.
    start : float or None
        When the pour begins, as the job has it: it counts until a load has a time.
    is_by_trucks : bool
        Whether it is that of the trucks, as the plant sends them.
    """

    rate: float | None = None
    is_stated: bool = False
    out_at: float | None = None
    placed: float = 0.0
    start: float | None = None
    is_by_trucks: bool = False

    @property
    def since(self) -> float | None:
        """From when on it goes so fast; None where nothing tells."""
        return self.start if self.out_at is None else self.out_at


_UNKNOWN = Pace()


@dataclass(frozen=True, slots=True)
class Call:
    """
    What to call for.

    Attributes
    ----------
    volume : float
        m³; 0 where what is on its way is enough.
    coming : float
        Released or called, and not yet ticketed, m³.
    by : float or None
        When to call at the latest, hours after the first midnight; None where not known.
    is_late : bool
        Whether that has gone by.
    risk : float
        The accepted chance of coming up short.
    left_over : float
        Expected above what the slab takes, m³.
    feeds : tuple of (str, int, float)
        Small pours that it is expected to fill: name, how many, m³ of them together.
    order : Order or None
        What it was chosen by; None where nothing is to be called.
    notice : float or None
        h.
    called : float
        What was called beside what was released at once, m³.
    """

    volume: float
    coming: float
    by: float | None
    is_late: bool
    loads: tuple[float, ...]
    risk: float
    chance_short: float | None
    left_over: float
    feeds: tuple[tuple[str, int, float], ...]
    order: Order | None
    pace: Pace = _UNKNOWN
    notice: float | None = None
    called: float = 0.0


def find_trucks(terms: Terms, *, is_metric: bool) -> float | None:
    """Find how fast trucks bring it as the plant sends them, m³ an hour; None where not known."""
    full = choose_plant(terms, is_metric=is_metric).full
    return full / terms.spacing if full is not None and terms.spacing else None


def find_pace(
    loads: Sequence[Load],
    stated: float | None,
    start: float | None = None,
    trucks: float | None = None,
) -> Pace:
    """
    Find how fast a pour goes.

    Parameters
    ----------
    loads : sequence of Load
        Those of the last day tell by their times.
    stated : float or None
        As the crew places, by the job, m³ an hour.
    start : float or None
        When the pour begins, by the job.
    trucks : float or None
        As trucks bring it, by the job, m³ an hour.

    Returns
    -------
    Pace
        As the job states it; where trucks bring less, or it states none, as the loads went, and
        before that can be told as the trucks bring it: the order is timed by the same.
    """
    ticketed, timed = 0.0, []
    for load in loads:
        ticketed += load.volume
        if load.finished is not None and load.day == loads[-1].day:
            timed.append((load.finished, ticketed))
    since, seen = Pace(start=start), None
    if timed:
        out_at, placed = max(timed)
        first, begun = timed[0]
        since = Pace(out_at=out_at, placed=placed)
        if out_at > first and placed > begun:
            seen = (placed - begun) / (out_at - first)
    if stated is not None and (trucks is None or stated <= trucks):
        return replace(since, rate=stated, is_stated=True)
    is_by_trucks = seen is None and trucks is not None
    return replace(since, rate=trucks if seen is None else seen, is_by_trucks=is_by_trucks)


def doubt_coming(notes: Sequence[Note], coming: float) -> Iterator[Note]:
    """Say so where a load that was cancelled counts as on its way, of so much that does, m³."""
    if coming > NOTHING and any(note.code == "ticket-cancelled" for note in notes):
        text = (
            "{} counts as on the way, as if another load came for the one that was cancelled. If "
            "none does, lower placing.released by it."
        )
        yield Note("cancelled-on-way", text, (Measure(coming, Kind.VOLUME),))


def size_call(
    still: Need,
    *,
    ticketed: float,
    released: float,
    called: float = 0.0,
    terms: Terms,
    pours: Sequence[SmallPour],
    pace: Pace,
    is_metric: bool,
    level: float,
) -> Call:
    """
    Size the balance.

    Parameters
    ----------
    still : Need
        What the slab takes beyond what is ticketed.
    ticketed : float
        By all loads, m³.
    released, called : float
        What was released at once and called since, m³: less what is ticketed it is on its way.
    terms : Terms
    pours : sequence of SmallPour
        What can take what is left over, in order; without those that are filled.
    pace : Pace
    is_metric : bool
    level : float

    Returns
    -------
    Call
        Chosen as an order is (`plan.order.place_order`), for what is not on its way.
    """
    coming = released + called - ticketed
    coming = coming if coming > NOTHING else 0.0
    need = replace(still, mean=still.mean - coming)
    risk = terms.risk if terms.risk is not None else RISK
    by = _time(pace, ticketed + coming, terms.notice)
    is_late = by is not None and pace.out_at is not None and by < pace.out_at - 1e-9
    spread = need.spread
    assert spread is not None
    if spread.quantile(1 - risk) <= NOTHING:
        left = max(-spread.mean, 0.0)
        return Call(
            volume=0.0,
            coming=coming,
            by=None,
            is_late=False,
            loads=(),
            risk=risk,
            chance_short=spread.chance_above(0.0),
            left_over=left,
            feeds=_feed(left, pours),
            order=None,
            pace=pace,
            called=called,
        )
    order = place_order(need, terms, is_metric=is_metric, level=level, pours=pours)
    choice = order.choice
    left = max(choice.volume - spread.mean, 0.0)
    return Call(
        volume=choice.volume,
        coming=coming,
        by=by,
        is_late=is_late,
        loads=order.loads,
        risk=risk,
        chance_short=choice.chance_short,
        left_over=choice.left_over,
        feeds=_feed(left, pours),
        order=order,
        pace=pace,
        notice=terms.notice,
        called=called,
    )


def _time(pace: Pace, until: float, notice: float | None) -> float | None:
    """When to call, so that the balance comes as the last load before it is out."""
    if pace.rate is None or pace.since is None or notice is None:
        return None
    minutes = (pace.since + max(until - pace.placed, 0.0) / pace.rate - notice) * 60
    return math.floor(minutes + 1e-6) / 60  # never later than it is


def _feed(left: float, pours: Sequence[SmallPour]) -> tuple[tuple[str, int, float], ...]:
    """Small pours that are filled where just what is expected is left over."""
    fed = []
    for pour in pours:
        count = min(pour.count, int(left / pour.volume + 1e-9))
        volume = count * pour.volume
        if pour.is_partial and count < pour.count and left - volume > NOTHING:
            count, volume = count + 1, left
        if count:
            fed.append((pour.name, count, volume))
            left -= volume
    return tuple(fed)


def need_of(still: float, still_sd: float) -> Need:
    """Take what a slab takes beyond what is ticketed, m³, as what an order is made for."""
    return Need((), still, still, survey_sd=still_sd, allowance_sd=0.0)


def leave(need: Need, gone: float, unsure: float) -> Need:
    """What is still needed where so much has come, and it is unsure by so much how much, m³."""
    sd = math.hypot(need.survey_sd or 0.0, unsure)
    return replace(need, mean=need.mean - gone, survey_sd=sd)


def range_of(need: Need, reach: float) -> tuple[float, float, float]:
    """What is needed, of a known standard deviation, and between what it lies, m³.

    As an order tells it: so many standard deviations (`reach`) to both sides, and what is stated
    lies within.
    """
    spread = need.spread
    assert spread is not None
    low, high = (spread.mean + sign * reach * spread.sd for sign in (-1, 1))
    return need.mean, min(low, need.mean), max(high, need.mean)


def leave_over(
    pours: Sequence[SmallPour], filled: Sequence[tuple[str, int, float]]
) -> list[SmallPour]:
    """Small pours that are not filled yet."""
    counts = {name: count for name, count, _ in filled}
    left = [(pour, pour.count - counts.get(pour.name, 0)) for pour in pours]
    return [replace(pour, count=count) for pour, count in left if count > 0]
