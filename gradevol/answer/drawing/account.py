"""Accounts as bars: the way from drawn to ticketed, and what comes back on several jobs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from gradevol.after.trends import Trend
from gradevol.answer.reconciled import Reconciled
from gradevol.answer.said.account import BASES, READ, name_row, say_balance
from gradevol.answer.said.amounts import say_sigma
from gradevol.answer.said.trends import name_cause

#: Marks along the axis, about; steps between them.
_MARKS, _STEPS = 6, (1.0, 2.0, 5.0, 10.0)
#: A trend that is different from nothing is filled as what is measured, another one left empty.
_BASES = {True: ("measured", "different from nothing"), False: ("rest", "not different from it")}


@dataclass(frozen=True, slots=True)
class Bar:
    """
    One bar, in the job's unit of volume.

    Attributes
    ----------
    key, label : str
    volume, sigma : str
        As they are told, without a unit; of what is exact the second is empty.
    start, end : float
        From where to where it goes: a total starts where the axis does.
    low, high : float
        One standard deviation about its end.
    basis : str
        What it rests on.
    is_total : bool
    """

    key: str
    label: str
    volume: str
    sigma: str
    start: float
    end: float
    low: float
    high: float
    basis: str
    is_total: bool = False


@dataclass(frozen=True, slots=True)
class Bars:
    """
    All bars, from what was drawn to what was ticketed.

    Attributes
    ----------
    low, high : float
        Ends of the axis; it starts at no nought, and says so.
    marks : tuple of float
        Along the axis.
    bases : tuple of (str, str)
        Each basis that is there, and what it is called.
    """

    bars: tuple[Bar, ...]
    low: float
    high: float
    marks: tuple[float, ...]
    unit: str
    bases: tuple[tuple[str, str], ...]
    heading: str
    foot: str


def draw_bars(done: Reconciled) -> Bars:
    """Draw the account as bars."""
    put, said = done.units.to_volume, say_balance(done)
    at, ways = 0.0, []
    for key in READ[:-1]:
        row = done.found.account.row(key)
        start, at = at, at + put(row.volume)
        ways.append((row, start, at))
    ends = [end for _, _, end in ways]
    reach = [put(row.sigma) for row, _, _ in ways]
    step = _choose_step(max(ends) - min(ends) + max(reach))
    lowest = min(end - by for end, by in zip(ends, reach, strict=True))
    low = step * math.floor(lowest / step - 0.25)
    high = max(end + by for end, by in zip(ends, reach, strict=True)) + 0.25 * step
    ticketed = done.found.account.row("ticketed")
    totals = ("neat", "ticketed")
    bars = [
        Bar(
            key=row.key,
            label=name_row(row),
            volume=said[row.key],
            sigma=say_sigma(row.sigma, done),
            start=low if row.key in totals else start,
            end=end,
            low=end - put(row.sigma),
            high=end + put(row.sigma),
            basis=row.basis,
            is_total=row.key in totals,
        )
        for row, start, end in [*ways, (ticketed, low, put(ticketed.volume))]
    ]
    there = {bar.basis for bar in bars}
    unit = done.units.volume_symbol
    return Bars(
        bars=tuple(bars),
        low=low,
        high=high,
        marks=tuple(
            low + step * number for number in range(1, math.floor((high - low) / step) + 1)
        ),
        unit=unit,
        bases=tuple((basis, name) for basis, name in BASES.items() if basis in there),
        heading=f"From drawn to ticketed, {unit}",
        foot=f"The axis begins at {low:g} {unit}, not at 0. "
        "Thin lines and ±: one standard deviation.",
    )


def draw_trends(trends: Sequence[Trend]) -> Bars:
    """Draw trends as bars."""
    bars = tuple(_draw_trend(trend) for trend in trends)
    low, high = min(0.0, *(bar.low for bar in bars)), max(0.0, *(bar.high for bar in bars))
    step = _choose_step(high - low)
    low, high = step * math.floor(low / step), step * math.ceil(high / step)
    there = {bar.basis for bar in bars}
    return Bars(
        bars=bars,
        low=low,
        high=high,
        marks=tuple(low + step * number for number in range(round((high - low) / step) + 1)),
        unit="%",
        bases=tuple(basis for basis in _BASES.values() if basis[0] in there),
        heading="What comes back, % of what was drawn",
        foot="Bars begin at 0. Thin lines and ±: one standard deviation to either side.",
    )


def _draw_trend(trend: Trend) -> Bar:
    mean, sigma = 100 * trend.mean, 100 * trend.sigma
    return Bar(
        key=trend.cause,
        label=name_cause(trend.cause, trend.mean),
        volume=f"{mean:z.1f}",
        sigma=f"±{sigma:.1f}",
        start=0.0,
        end=mean,
        low=mean - sigma,
        high=mean + sigma,
        basis=_BASES[trend.is_real][0],
    )


def _choose_step(span: float) -> float:
    """Choose a round step that parts a span about as often as is wanted."""
    size = 10.0 ** math.floor(math.log10(max(span, 1e-6) / _MARKS))
    return min((size * step for step in _STEPS), key=lambda step: abs(span / step - _MARKS))
