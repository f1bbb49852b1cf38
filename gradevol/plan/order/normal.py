"""The normal distribution, and its partial means, in closed form."""

import math
from dataclasses import dataclass
from statistics import NormalDist

_STANDARD = NormalDist()
#: Beyond this many standard deviations nothing is counted.
_FAR = 38.0


@dataclass(frozen=True, slots=True)
class Normal:
    """
    A normally distributed figure.

    Attributes
    ----------
    mean, sd : float
        An `sd` of 0 is a figure that is known.
    """

    mean: float
    sd: float

    def quantile(self, chance: float) -> float:
        """Value that the figure stays below with a chance, 0 to 1 exclusive."""
        return self.mean + self.sd * _STANDARD.inv_cdf(chance)

    def chance_above(self, value: float) -> float:
        """Chance that the figure is more than a value."""
        z = self._standardise(value)
        return math.erfc(z / math.sqrt(2)) / 2 if z > -math.inf else 1.0

    def chance_between(self, low: float, high: float) -> float:
        """Chance that the figure lies between two values."""
        if high <= low:
            return 0.0
        # in the upper tail the complements keep their digits, below the mean the mirrored ones
        if low < self.mean:
            mirrored = Normal(-self.mean, self.sd)
            return mirrored.chance_above(-high) - mirrored.chance_above(-low)
        return self.chance_above(low) - self.chance_above(high)

    def partial_mean(self, low: float, high: float) -> float:
        r"""
        Expected excess over `low`, counted where the figure lies between `low` and `high`.

        Notes
        -----
        :math:`\int_a^b (x-a) f(x)\,dx = (\mu-a)(\Phi_b-\Phi_a) + \sigma(\varphi_a-\varphi_b)`, by
        parts. With :math:`b \to \infty` it is the partial loss function of inventory theory,
        :math:`\sigma[\varphi(z) - z(1-\Phi(z))]` (MIT OpenCourseWare 15.772J, Fall 2014, on the
        newsboy's expected profit, studylib.net/doc/13621730).
        """
        if high <= low:
            return 0.0
        slopes = self._density(low) - self._density(high)
        return (self.mean - low) * self.chance_between(low, high) + self.sd * slopes

    def _standardise(self, value: float) -> float:
        off = value - self.mean
        if self.sd <= abs(off) / _FAR:
            return math.copysign(math.inf, off) if off else math.inf
        return off / self.sd

    def _density(self, value: float) -> float:
        z = self._standardise(value)
        return math.exp(-z * z / 2) / math.sqrt(2 * math.pi) if math.isfinite(z) else 0.0
