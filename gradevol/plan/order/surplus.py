"""Left over: what small pours take of it, in order, and what then remains."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.job.terms import SmallPour
from gradevol.plan.order.normal import Normal


@dataclass(frozen=True, slots=True)
class Stretch:
    """
    Amounts left over, of which something remains: what does grows with them.

    Attributes
    ----------
    start, end : float
        Left over at its ends, m³; the last stretch has no end.
    rest : float
        What remains at its start, m³.
    """

    start: float
    end: float
    rest: float


#: Standard deviation of what is known, m³: not 0, to divide by.
_KNOWN = 1e-12
#: Nothing taken: all that is left over remains.
ALL = (Stretch(0.0, float("inf"), 0.0),)


def fill(stretches: Iterable[Stretch], pour: SmallPour) -> tuple[Stretch, ...]:
    """
    Let a small pour take what it can.

    Parameters
    ----------
    stretches : iterable of Stretch
        What remains for it, by what is left over.
    pour : SmallPour

    Returns
    -------
    tuple of Stretch
        What remains after it: one that can stop part-way takes all up to its volume, another as
        many whole ones as there is concrete for.
    """
    size, most = (pour.volume * pour.count, 1) if pour.is_partial else (pour.volume, pour.count)
    made: list[Stretch] = []
    for stretch in stretches:
        start, rest = stretch.start, stretch.rest
        while start < stretch.end:
            whole = min(most, int(rest / size + 1e-9))
            reach = float("inf") if whole == most else (whole + 1) * size - rest
            end = min(stretch.end, start + reach)
            if whole == most or not pour.is_partial:
                made.append(Stretch(start, end, max(rest - whole * size, 0.0)))
            start, rest = end, rest + end - start
    return tuple(made)


def fill_all(pours: Sequence[SmallPour]) -> list[tuple[Stretch, ...]]:
    """What remains before the first pour, after it, after the second, and so on."""
    remaining: list[tuple[Stretch, ...]] = [ALL]
    for pour in pours:
        remaining.append(fill(remaining[-1], pour))
    return remaining


class Remains:
    """What remains, to be asked of many distributions of what is left over."""

    def __init__(self, stretches: Iterable[Stretch]) -> None:
        rows = [(stretch.start, stretch.end, stretch.rest) for stretch in stretches]
        self._start, self._end, self._rest = np.array(rows, float).reshape(-1, 3).T

    def expect(self, left: Normal) -> float:
        """
        Expected volume that remains, m³.

        Parameters
        ----------
        left : Normal
            What is left over; below 0 it is short, and nothing remains.

        Notes
        -----
        `Normal.partial_mean`, over all stretches at once.
        """
        low, high = self._standardise(self._start, left), self._standardise(self._end, left)
        grows = (left.mean - self._start) * _between(low, high)
        grows += left.sd * (_density(low) - _density(high))
        return float(np.sum(self._rest * _between(low, high) + grows))

    def chance_of(self, volume: float, left: Normal) -> float:
        """Chance that `volume` (above 0) or more remains."""
        start = np.maximum(self._start, self._start + volume - self._rest)
        low = self._standardise(np.minimum(start, self._end), left)
        return float(np.sum(_between(low, self._standardise(self._end, left))))

    @staticmethod
    def _standardise(values: FloatArray, left: Normal) -> FloatArray:
        return (values - left.mean) / max(left.sd, _KNOWN)


def _between(low: FloatArray, high: FloatArray) -> FloatArray:
    """Chance between standardised values, from the tail that keeps its digits."""
    is_above = low > 0
    return _below(np.where(is_above, -low, high)) - _below(np.where(is_above, -high, low))


def _below(values: FloatArray) -> FloatArray:
    """Chance below standardised values."""
    # scipy has it as ndtr, but takes longer to load than a pour to be answered
    return np.array([math.erfc(-value / math.sqrt(2)) / 2 for value in values.tolist()])


def _density(values: FloatArray) -> FloatArray:
    return np.exp(-(values**2) / 2) / np.sqrt(2 * np.pi)
