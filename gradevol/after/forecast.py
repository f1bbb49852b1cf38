"""The forecast: what a slab will have taken, after each load, and which loads are out of line."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from gradevol.after.joint import Joint, Noise, Prior
from gradevol.after.steps import Step

#: A front that is further off than this many standard deviations is out of line: 1 of 370 sound
#: ones is.
LIMIT = 3.0
#: So much of an excess is held for one of its two causes before that is said.
_CLEAR = 0.75


@dataclass(frozen=True, slots=True)
class Alert:
    """
    A load whose front is out of line with the others.

    Attributes
    ----------
    step : Step
    excess : float
        Ticketed beyond what was expected behind its front, m³; negative: less.
    ahead : float or None
        How much farther the front would stand if it alone were misread, m; None where no tape
        decides.
    as_step, as_front : float
        How much of the excess is now held for concrete, and for an error of that front, m³.
    total_if_step, total_if_front : float
        What the slab will have taken, in either case, m³.
    has_later : bool
        Whether later loads have a say in it.
    """

    step: Step
    excess: float
    ahead: float | None
    as_step: float
    as_front: float
    total_if_step: float
    total_if_front: float
    has_later: bool

    @property
    def verdict(self) -> Literal["front", "concrete", "open"]:
        """Which of the two the later loads say it is, where they do."""
        size = _CLEAR * abs(self.excess)
        if self.has_later and abs(self.as_front) > size:
            return "front"
        return "concrete" if self.has_later and abs(self.as_step) > size else "open"


@dataclass(frozen=True, slots=True)
class Forecast:
    """
    What a slab will have taken, m³.

    Attributes
    ----------
    total, total_sd : float
    factor, factor_sd : float
        Concrete for each modelled concrete, over the whole: waste, yield and the survey's shared
        errors together, for tickets can't tell them apart.
    expected : float
        The same before the pour.
    alerts : tuple of Alert
    """

    total: float
    total_sd: float
    factor: float
    factor_sd: float
    expected: float
    alerts: tuple[Alert, ...] = ()


def forecast(steps: Sequence[Step], prior: Prior, noise: Noise) -> Forecast:
    """
    Forecast what a slab will have taken.

    Parameters
    ----------
    steps : sequence of Step
        In order; none: what is expected before the pour.
    prior : Prior
    noise : Noise

    Returns
    -------
    Forecast
    """
    joint, found = _screen(Joint(steps, prior, noise))
    total, variance = joint.find_total()
    before = prior.factor + prior.off / prior.volume
    factor, spread = joint.condition(before, joint.factor_variance, joint.with_factor)

    def judge(number: int) -> Alert:
        at, excess = found[number]
        return Alert(
            step=steps[at],
            excess=excess,
            ahead=excess / (prior.factor * steps[at].grip) if steps[at].grip > 0 else None,
            as_step=joint.condition(0.0, excess**2, excess**2 * joint.since(at))[0],
            as_front=joint.condition(0.0, excess**2, excess**2 * joint.only(at))[0],
            total_if_step=_total_if(Joint(steps, prior, noise), found, number, is_step=True),
            total_if_front=_total_if(Joint(steps, prior, noise), found, number, is_step=False),
            has_later=at < len(steps) - 1,
        )

    return Forecast(
        total=total,
        total_sd=math.sqrt(variance),
        factor=factor,
        factor_sd=math.sqrt(spread),
        expected=before,
        alerts=tuple(judge(number) for number in range(len(found))),
    )


def _screen(joint: Joint) -> tuple[Joint, list[tuple[int, float]]]:
    """Find steps that are out of line with those before them, and widen by each what it may be."""
    found: list[tuple[int, float]] = []
    for at in range(joint.count):
        mean, variance = joint.condition(
            joint.mean[at], joint.cov[at, at], joint.cov[:, at], upto=at
        )
        excess = float(joint.ticketed[at] - mean)
        if abs(excess) > LIMIT * math.sqrt(variance):
            found.append((at, excess))
            joint.add_step(at, excess**2)
            joint.add_misread(at, excess**2)
    return joint, found


def _total_if(
    joint: Joint, found: Sequence[tuple[int, float]], number: int, *, is_step: bool
) -> float:
    """What the slab will have taken if one of what was found is but a step, or but a misread."""
    for other, (at, excess) in enumerate(found):
        if other != number or is_step:
            joint.add_step(at, excess**2)
        if other != number or not is_step:
            joint.add_misread(at, excess**2)
    return joint.find_total()[0]
