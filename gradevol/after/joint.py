r"""The joint distribution of what was ticketed at each front and of the whole: linear, Gaussian.

Of the loads up to a front,

.. math:: T_k = f V_k + a_k u + w_k + g_k (b + e_k) + h_k + r_k + x_k

with :math:`T` what was ticketed into the slab, :math:`V` the modelled concrete behind the front,
:math:`a` its share of the area, :math:`g` what a metre of front is worth. Unknown are

- :math:`f`, the factor: waste, settlement, short yield, and what earlier jobs have shown;
- :math:`u`, what the whole survey shares (datum, rod's foot, top), m³;
- :math:`w`, what differs from place to place and from load to load: it grows in independent pieces,
  so that two fronts share what lies behind the nearer one;
- :math:`b`, where on the sloping face the crew holds the tape: the same each time;
- :math:`e_k`, the error of one front; :math:`h_k`, what lies in truck and chute;
- :math:`r_k`, the error of what went elsewhere so far;
- :math:`x_k`, what lies beyond panels that are told by name to be done: anything from nothing to
  the load that finished them.

All of the slab is :math:`Y = f V + u + w`. The `T` and `Y` are jointly normal; `Y` given the `T` is
what `condition` returns. A load out of line adds, from its own size, a step :math:`c` that stays in
all later `T` and, unless only a ticket says so, in `Y`, and an error of that one front: the next
loads tell a step from a misread front, but never a wrong ticket from concrete that is gone.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.after.steps import Step
from gradevol.ground.arrays import FloatArray

#: The variance of what may be anything up to a bound, its square over this.
EVENLY = 12


@dataclass(frozen=True, slots=True)
class Noise:
    """
    One standard deviation of what a front and a ticket tell wrongly. Judgements, no source.

    Attributes
    ----------
    front : float
        Of a front across the slab, m: tapes, and a front that is not straight.
    face : float
        Of where on its sloping face it is taken, m: the same for all of a pour.
    held : float
        What lies in truck and chute when a front is read, m³.
    ticket : float
        Of what a load holds, m³: load for load another.
    load : float
        Size of such a load, m³.
    """

    front: float = 0.06
    face: float = 0.045
    held: float = 0.08
    ticket: float = 0.04
    load: float = 7.65

    @property
    def per_volume(self) -> float:
        """Variance that tickets add, m³ for each m³."""
        return self.ticket**2 / self.load


@dataclass(frozen=True, slots=True)
class Prior:
    """
    What is expected before the pour.

    Attributes
    ----------
    factor, factor_sd : float
        Concrete ticketed for each modelled concrete.
    volume : float
        Modelled, of all that is poured, m³.
    off : float
        How far the survey's own expectation lies above that, m³.
    shared, own : float
        One standard deviation of its errors, m³: see `model.Sureness`.
    pump : float
        Ticketed from the first load on, and not in the slab: what stays in a pump, m³.
    """

    factor: float
    factor_sd: float
    volume: float
    off: float
    shared: float
    own: float
    pump: float = 0.0


class Joint:
    """
    The joint distribution of what was ticketed at each step and of the whole.

    Parameters
    ----------
    steps : sequence of Step
        n of them.
    prior : Prior
    noise : Noise
    """

    def __init__(self, steps: Sequence[Step], prior: Prior, noise: Noise) -> None:
        self.prior, self.count = prior, len(steps)
        behind = np.array([step.behind for step in steps])
        share = np.array([step.share for step in steps])
        grip = np.array([step.grip * (2.0 if step.is_by_one else 1.0) for step in steps])
        gone = np.array([step.elsewhere for step in steps])
        self.ticketed = np.array([step.ticketed for step in steps])
        self.beyond = np.array([step.beyond for step in steps])
        filled = prior.factor * behind + prior.off * share
        self.mean = filled + prior.pump + self.beyond / 2
        order = np.arange(self.count)
        first = np.minimum.outer(order, order)
        self.cov = (
            prior.factor_sd**2 * np.outer(behind, behind)
            + prior.shared**2 * np.outer(share, share)
            + prior.own**2 * np.minimum.outer(share, share)
            + noise.per_volume * np.minimum.outer(behind, behind)
            + noise.face**2 * np.outer(grip, grip)
            + (gone**2)[first]
            + np.diag((grip * noise.front) ** 2 + noise.held**2 + self.beyond**2 / EVENLY)
        )
        volume = prior.volume
        self.with_total = (
            prior.factor_sd**2 * volume * behind
            + (prior.shared**2 + prior.own**2) * share
            + noise.per_volume * behind
        )
        self.total_variance = (
            (prior.factor_sd * volume) ** 2
            + prior.shared**2
            + prior.own**2
            + noise.per_volume * volume
        )

    def since(self, at: int) -> FloatArray:
        """1 at a step and all later ones, else 0."""
        return (np.arange(self.count) >= at).astype(float)

    def only(self, at: int) -> FloatArray:
        """1 at a step, else 0."""
        return (np.arange(self.count) == at).astype(float)

    def add_step(self, at: int, variance: float, *, is_real: bool = True) -> None:
        """
        Let more or less be ticketed from a step on: it stays in all that follows.

        If `is_real` concrete has gone, or come, and is in the whole; else a ticket only says so.
        """
        later = self.since(at)
        self.cov = self.cov + variance * np.outer(later, later)
        if is_real:
            self.with_total = self.with_total + variance * later
            self.total_variance += variance

    def add_misread(self, at: int, variance: float) -> None:
        """Let one front be misread."""
        self.cov = self.cov + variance * np.diag(self.only(at))

    def look_at(self, at: int) -> tuple[float, float]:
        """How far a step is off what those before it tell: in standard deviations, and m³."""
        mean, variance = self.condition(self.mean[at], self.cov[at, at], self.cov[:, at], upto=at)
        off = float(self.ticketed[at] - mean)
        spare = float(self.beyond[at]) / 2  # up to there it lies beyond what is done
        excess = off - min(max(off, -spare), spare)
        return abs(excess) / math.sqrt(variance - spare**2 * 4 / EVENLY), excess

    def condition(
        self, mean: float, variance: float, beside: FloatArray, *, upto: int | None = None
    ) -> tuple[float, float]:
        """Mean and variance of a figure, given what was ticketed at the first `upto` steps."""
        n = self.count if upto is None else upto
        if n == 0:
            return mean, variance
        weights = np.linalg.solve(self.cov[:n, :n], beside[:n])
        off = self.ticketed[:n] - self.mean[:n]
        return mean + float(weights @ off), max(variance - float(weights @ beside[:n]), 0.0)

    def find_total(self) -> tuple[float, float]:
        """Mean and variance of the whole, m³."""
        prior = self.prior
        mean = prior.factor * prior.volume + prior.off + prior.pump
        return self.condition(mean, self.total_variance, self.with_total)
