"""Weighing: what comes of an order, and which of many costs least."""

import math
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass

from gradevol.job.terms import Costs, SmallPour
from gradevol.plan.order.loads import Plant
from gradevol.plan.order.normal import Normal
from gradevol.plan.order.surplus import Remains, fill_all

#: More orders than this are not all weighed up at first: only every so many.
MOST_WEIGHED = 2000
#: Expected costs within this share of one another are the same: what is left is rounding.
_ALIKE = 1e-6


@dataclass(frozen=True, slots=True)
class Choice:
    """
    An order, and what comes of it.

    Attributes
    ----------
    volume : float
        m³.
    left_over : float
        Expected, before any small pour takes of it, m³.
    unused : float
        Expected, after them, m³.
    chance_short : float or None
        Chance that it is too little; None where no standard deviation is known.
    chance_unused : float or None
        Chance that `much` or more remains after the small pours.
    loss : float or None
        Expected cost of coming up short, of what remains and of small loads; None without costs.
    """

    volume: float
    left_over: float
    unused: float
    chance_short: float | None = None
    chance_unused: float | None = None
    loss: float | None = None


@dataclass(frozen=True, slots=True)
class Scale:
    """
    Weighs orders.

    Attributes
    ----------
    need : Normal
        What is needed, m³.
    remaining : Remains
        What remains when the small pours have taken theirs.
    much : float
        What counts as much left over, m³.
    plant : Plant
        How the order comes: small loads may pay a fee.
    """

    need: Normal
    remaining: Remains
    much: float
    costs: Costs | None
    plant: Plant

    def __call__(self, volume: float) -> Choice:
        """Weigh an order, m³."""
        left = Normal(volume - self.need.mean, self.need.sd)
        short, unused = self.need.chance_above(volume), self.remaining.expect(left)
        loss = None
        if self.costs is not None:
            missing = self.need.partial_mean(volume, math.inf)
            loss = (
                self.costs.left_over * unused
                + (self.costs.short or 0.0) * short
                + (self.costs.short_rate or 0.0) * missing
                + (self.costs.short_load or 0.0) * self.plant.lack(self.plant.count_up(volume))
            )
        return Choice(
            volume=volume,
            left_over=left.partial_mean(0.0, math.inf),
            unused=unused,
            chance_short=short,
            chance_unused=self.remaining.chance_of(self.much, left),
            loss=loss,
        )


def weigh_certain(volume: float, need: float, pours: Sequence[SmallPour]) -> Choice:
    """Order for a need whose standard deviation is not known: no chances."""
    left = max(volume - need, 0.0)
    unused = Remains(fill_all(pours)[-1]).expect(Normal(left, 0.0)) if left > 0 else 0.0
    return Choice(volume, left, unused)


def step_below(steps: int, plant: Plant) -> int | None:
    """Next smaller order that trucks can bring."""
    below = steps - 1
    while below > 0 and not plant.can_bring(below):
        below -= 1
    return below if below > 0 else None


def weigh_up(
    weigh: Scale, plant: Plant, least: int, pours: Sequence[SmallPour]
) -> tuple[Choice, Choice | None]:
    """Order of least expected cost among those of `least` steps or more, and the next best."""
    need = weigh.need
    low = plant.round_up(need.mean - 4 * need.sd)
    taken = sum(pour.volume * pour.count for pour in pours)
    high = plant.round_up(max(need.mean + 6 * need.sd + taken, least * plant.step))
    stride = max(1, (high - low) // MOST_WEIGHED)
    seen: dict[int, Choice] = {}

    def look(counts: Iterable[int]) -> None:
        for steps in counts:
            if steps not in seen and steps > 0 and plant.can_bring(steps):
                seen[steps] = weigh(steps * plant.step)

    look([*range(low, high + 1, stride), least, high])
    if stride > 1:
        best = round(_cheapest(seen.values()).volume / plant.step)
        look(range(best - stride, best + stride + 1))
    best_choice = _cheapest([choice for steps, choice in seen.items() if steps >= least])
    others = [choice for choice in seen.values() if choice is not best_choice]
    return best_choice, _cheapest(others) if others else None


def _cheapest(choices: Collection[Choice]) -> Choice:
    """Least expected cost; of what costs the same within a millionth, the smallest."""
    most = min(choice.loss or 0.0 for choice in choices) * (1 + _ALIKE)
    alike = [choice for choice in choices if (choice.loss or 0.0) <= most]
    return min(alike, key=lambda choice: choice.volume)
