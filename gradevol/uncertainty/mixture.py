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
        off = (value - self.mean) / np.maximum(self.sd, 1e-300)
        return float(self.chance @ chance_below(off))

    def quantile(self, chance: float) -> float:
        """Value that the figure stays below with a chance, 0 to 1 exclusive."""
        low = float((self.mean - 10 * self.sd).min())
        high = float((self.mean + 10 * self.sd).max())
        for _ in range(45):
            middle = (low + high) / 2
            if self.chance_below(middle) < chance:
                low = middle
            else:
                high = middle
        return (low + high) / 2

    def widen(self, sd: float) -> "Mixture":
        """Return the mixture of the figure with an independent normal error added."""
        return Mixture(self.chance, self.mean, np.hypot(self.sd, sd))

    def turn(self, about: float) -> "Mixture":
        """Return the mixture of `about` less the figure."""
        return Mixture(self.chance, about - self.mean, self.sd)
