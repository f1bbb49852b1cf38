"""A mixture of normal distributions: what is known of a figure whose spread is itself unsure."""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.normal import chance_below
from gradevol.ground.arrays import FloatArray


@dataclass(frozen=True, slots=True)
class Mixture:
    """
    Normal distributions, each with a chance of being the one.

    Attributes
    ----------
    chance, mean, sd : (m,) array of float
        The chances add up to 1.
    """

    chance: FloatArray
    mean: FloatArray
    sd: FloatArray

    @classmethod
    def of_one(cls, mean: float, sd: float) -> "Mixture":
        """Make the mixture of one normal distribution."""
        return cls(np.array([1.0]), np.array([mean]), np.array([sd]))

    @property
    def middle(self) -> float:
        """Mean of the whole."""
        return float(self.chance @ self.mean)

    @property
    def variance(self) -> float:
        """Variance of the whole."""
        return float(self.chance @ (self.sd**2 + (self.mean - self.middle) ** 2))

    def chance_below(self, value: float) -> float:
        """Chance that the figure is less than a value."""
        return float(self.chance @ chance_below(self._off(value)))

    def quantile(self, chance: float) -> float:
        """Value that the figure stays below with a chance, 0 to 1 exclusive."""
        low = float((self.mean - 10 * self.sd).min())
        high = float((self.mean + 10 * self.sd).max())
        at = (low + high) / 2
        least = max((high - low) * 2.0**-46, 4 * float(np.spacing(max(abs(low), abs(high)))))
        while high - low > 2 * least:
            lacking = chance - self.chance_below(at)
            low, high = (at, high) if lacking > 0 else (low, at)
            # by Newton's step where it stays between what is known, else by halving
            dense = float(self.chance @ self._density(at))
            step = lacking / dense if dense > abs(lacking) / (high - low) else np.inf
            if abs(step) <= least:
                return at + step
            at = at + step if low < at + step < high else (low + high) / 2
        return (low + high) / 2

    def _off(self, value: float) -> FloatArray:
        return (value - self.mean) / np.maximum(self.sd, 1e-300)

    def _density(self, value: float) -> FloatArray:
        off = np.minimum(np.abs(self._off(value)), 1e3)
        return np.exp(-(off**2) / 2) / (np.sqrt(2 * np.pi) * np.maximum(self.sd, 1e-300))

    def widen(self, sd: float) -> "Mixture":
        """Return the mixture of the figure with an independent normal error added."""
        return Mixture(self.chance, self.mean, np.hypot(self.sd, sd))

    def turn(self, about: float) -> "Mixture":
        """Return the mixture of `about` less the figure."""
        return Mixture(self.chance, about - self.mean, self.sd)
