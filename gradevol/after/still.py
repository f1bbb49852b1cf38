"""What is still needed, as the need that an order is made for."""

import math
from dataclasses import replace

from gradevol.plan.order.need import Need


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
