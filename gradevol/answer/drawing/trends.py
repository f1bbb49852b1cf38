"""What comes back on jobs, as bars from nothing, in per cent of what was drawn."""

import math
from collections.abc import Sequence

from gradevol.after.trends import Trend
from gradevol.answer.drawing.account import Bar, Bars, choose_step
from gradevol.answer.said.trends import name_cause

#: A trend that is different from nothing is filled as what is measured, another one left empty.
_BASES = {True: ("measured", "different from nothing"), False: ("rest", "not different from it")}


def draw_trends(trends: Sequence[Trend]) -> Bars:
    """Draw trends as bars."""
    bars = tuple(_draw_trend(trend) for trend in trends)
    low, high = min(0.0, *(bar.low for bar in bars)), max(0.0, *(bar.high for bar in bars))
    step = choose_step(high - low)
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
        foot="Bars begin at 0. Thin lines: one standard deviation to either side.",
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
