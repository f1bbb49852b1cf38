"""The normal distribution, and Student's, in arrays: loading a library for them takes longer."""

import math
from functools import cache

import numpy as np

from gradevol.ground.arrays import FloatArray

#: Chances are held at places so far apart, between these; beyond they are 0, or 1 but for rounding.
_STEP, _LOW, _HIGH = 1 / 64, -38.0, 9.0
#: Terms of the series from a place that is held; with them 14 digits are right down to -10.
_TERMS = 8
#: Places at which Owen's integral is summed, by Gauss and Legendre; 13 decimals are right.
_PLACES = 24


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
    held = np.clip(np.nan_to_num(np.asarray(value, float), nan=0.0), _LOW, _HIGH)
    at = np.rint((held - _LOW) / _STEP).astype(np.intp)
    off = held - (_LOW + _STEP * at)
    series = _hold()
    total = series[_TERMS][at]
    for term in range(_TERMS - 1, -1, -1):
        total = total * off + series[term][at]
    return np.where(np.isnan(value), np.nan, np.clip(total, 0.0, 1.0))


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


def chance_apart(height: FloatArray, slope: FloatArray) -> FloatArray:
    r"""
    Owen's T: :math:`\frac{1}{2\pi}\int_0^a \frac{\exp(-h^2(1+x^2)/2)}{1+x^2}\,dx`.

    Parameters
    ----------
    height, slope : (...) array of float
        h and a, not negative.

    Returns
    -------
    (...) array of float

    Notes
    -----
    Summed by Gauss and Legendre where a is 1 at most; else by what T(h, a) and T(ah, 1/a) make
    together (Owen 1956, from memory; the tests hold them against another library).
    """
    height, slope = np.broadcast_arrays(np.asarray(height, float), np.asarray(slope, float))
    is_steep = slope > 1
    upper = np.where(is_steep, 1 / np.where(is_steep, slope, 1.0), slope)
    far = np.where(is_steep, height * slope, height)
    places, weights = np.polynomial.legendre.leggauss(_PLACES)
    total = np.zeros_like(upper)
    for place, weight in zip(((places + 1) / 2).tolist(), (weights / 2).tolist(), strict=True):
        square = 1 + (place * upper) ** 2
        total += weight * np.exp(-(far**2) * square / 2) / square
    total *= upper / (2 * math.pi)
    if is_steep.any():
        # by tails: near one chances have no digits left
        one, other = chance_below(-height[is_steep]), chance_below(-far[is_steep])
        total[is_steep] = (one + other) / 2 - one * other - total[is_steep]
    return np.maximum(total, 0.0)


def find_student(freedom: int, above: float) -> float:
    """
    Find the value that Student's t passes with a chance, by halving.

    Parameters
    ----------
    freedom : int
        Odd, 3 at least.
    above : float
        The chance, less than a half.

    Returns
    -------
    float
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
