"""Spread that a few slips do not widen."""

import numpy as np

from gradevol.ground.arrays import FloatArray

#: A normal distribution's standard deviation over its median absolute value: 1 / Φ⁻¹(3/4).
_SPREAD_OF_MEDIAN = 1.4826022185056018


def robust_spread(off: FloatArray) -> float:
    """Standard deviation of deviations (n,), estimated from their median absolute value."""
    return _SPREAD_OF_MEDIAN * float(np.median(np.abs(off)))


def spread_about_median(values: FloatArray) -> float:
    """Standard deviation of values (n,), estimated from their distances to their median."""
    return robust_spread(values - np.median(values))
