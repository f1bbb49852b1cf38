"""The normal distribution, and Student's, in arrays: loading a library for them takes longer."""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from gradevol.ground.arrays import FloatArray

#: Chances are held at places so far apart, between these; beyond they are 0, or 1 but for rounding.
_STEP, _LOW, _HIGH = 1 / 64, -38.0, 9.0
#: Terms of the series from a place that is held; with them 14 digits are right down to -10.
_TERMS = 8
#: Parts of a right angle, at whose ends Owen's integral is held.
_KNOTS = 128


def chance_below(value: FloatArray) -> FloatArray:
    """
    Chance that a standard normal figure is less than a value.

    Parameters
    ----------
    value : (...) array of float

    Returns
    -------
    (...) array of float
    """
    value = np.asarray(value, float)
    is_none = np.isnan(value)
    held = np.minimum(np.maximum(np.where(is_none, 0.0, value), _LOW), _HIGH)
    at = np.rint((held - _LOW) / _STEP).astype(np.intp)
    off = held - (_LOW + _STEP * at)
    series = _hold()
    total = series[_TERMS].take(at)
    for term in range(_TERMS - 1, -1, -1):
        total *= off
        total += series[term].take(at)
    return np.where(is_none, np.nan, np.minimum(np.maximum(total, 0.0), 1.0))


@cache
def _hold() -> FloatArray:
    """Taylor coefficients of the chance at each place held, (terms + 1, places)."""
    at = _LOW + _STEP * np.arange(round((_HIGH - _LOW) / _STEP) + 1)
    density = np.exp(-(at**2) / 2) / math.sqrt(2 * math.pi)
    series = [np.array([math.erfc(-each / math.sqrt(2)) / 2 for each in at.tolist()])]
    # derivatives of the density are Hermite polynomials times it, with signs that take turns
    before, hermite = np.zeros_like(at), np.ones_like(at)
    for term in range(_TERMS):
        series.append((-1) ** term * hermite * density / math.factorial(term + 1))
        before, hermite = hermite, at * hermite - term * before
    held = np.array(series)
    held.setflags(write=False)
    return held


@dataclass(frozen=True, slots=True)
class OwensT:
    r"""
    Owen's T of some heights, for any slopes.

    Attributes
    ----------
    held, slope : (m, knots) array of float
        For each height, T and its slope at each knot of the angle.

    Notes
    -----
    With the slope's angle in place of the slope, T(h, tan θ) is
    :math:`\frac{1}{2\pi}\int_0^\theta \exp(-h^2 / (2\cos^2\varphi))\,d\varphi` (substituted here).
    It is summed once a height, by Gauss and Legendre between knots, and is a cubic from knot to
    knot, of the right slope at both: many angles cost little. Knots stand closer towards the right
    angle, where a small height ends it of a sudden.
    """

    held: FloatArray
    slope: FloatArray

    @classmethod
    def of(cls, height: FloatArray) -> "OwensT":
        """Sum it for heights h, (m,)."""
        step = 1 / _KNOTS
        knots: FloatArray = np.linspace(0.0, 1.0, _KNOTS + 1)
        places, weights = np.polynomial.legendre.leggauss(3)
        steep = np.square(height)[:, None] / 2

        def rise(at: FloatArray) -> FloatArray:
            """By how much it grows from knot to knot if it grows everywhere as it does there."""
            left = 1 - at  # the angle lacks its square, times a right one, of a right one
            flat = np.maximum(np.square(np.sin(math.pi / 2 * left**2)), 1e-300)
            return np.asarray(step / 2 * left * np.exp(-steep / flat))

        between = np.zeros((len(steep), _KNOTS))
        for place, weight in zip(places.tolist(), weights.tolist(), strict=True):
            at: FloatArray = knots[:-1] + step * (place + 1) / 2
            between += weight / 2 * rise(at)
        held = np.zeros((len(steep), _KNOTS + 1))
        np.cumsum(between, axis=1, out=held[:, 1:])
        return cls(held, rise(knots))

    def at(self, angle: FloatArray) -> FloatArray:
        """Give it at angles of the slope, (..., m), 0 to a right one; 8 decimals are right."""
        off = _KNOTS * (1 - np.sqrt(np.maximum(1 - angle / (math.pi / 2), 0.0)))
        knot = np.minimum(off.astype(np.intp), _KNOTS - 1)
        off -= knot
        knot += (_KNOTS + 1) * np.arange(len(self.held))
        low, first, last = self.held.take(knot), self.slope.take(knot), self.slope.take(knot + 1)
        more = self.held.take(knot + 1) - low
        return low + off * (
            first + off * (3 * more - 2 * first - last + off * (first + last - 2 * more))
        )


@cache
def find_student(freedom: int, above: float) -> float:
    """
    Find the value that Student's t passes with a chance, by halving.

    Parameters
    ----------
    freedom : int
        Odd, 3 at least.
    above : float
        The chance, less than a half.
    """
    low, high = 0.0, 1e6
    for _ in range(200):
        middle = (low + high) / 2
        if _pass(freedom, middle) > above:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _pass(freedom: int, value: float) -> float:
    """Chance that Student's t of an odd freedom passes a value: in sines and cosines of its angle.

    Abramowitz and Stegun 26.7.3, from memory; held against another library.
    """
    angle = math.atan2(math.sqrt(freedom), value)  # of the tail: small where the value is great
    term = total = math.sin(angle)
    for at in range(2, freedom - 2, 2):
        term *= math.sin(angle) ** 2 * at / (at + 1)
        total += term
    return (angle - math.cos(angle) * total) / math.pi
