"""Blends: points whose elevation is made of others', and weights handed back to those."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray, IntArray


@dataclass(frozen=True, slots=True)
class Blend:
    """
    Points made in one step: each one's elevation is a sum of shares of earlier points'.

    Attributes
    ----------
    made : (k,) array of int
        The point that is made; it may stand in several rows.
    of : (k,) array of int
        An earlier point that it rests on.
    share : (k,) array of float
        With what share; those of one point add up to 1.
    """

    made: IntArray
    of: IntArray
    share: FloatArray

    def __post_init__(self) -> None:
        if not len(self.made) == len(self.of) == len(self.share):
            raise ValueError(f"{len(self.made)} made, {len(self.of)} of, {len(self.share)} shares")
        is_after = len(self.made) and self.of.max() < self.made.min()  # as mostly: none is sorted
        if not is_after and np.intersect1d(self.made, self.of).size:
            raise ValueError("a point of a blend rests on one that the same blend makes")
        for array in (self.made, self.of, self.share):
            array.setflags(write=False)


def hand_back(weights: FloatArray, blends: Sequence[Blend]) -> FloatArray:
    """
    Hand the weights of made points back to the points that they rest on.

    Parameters
    ----------
    weights : (p,) array of float
        Derivative of some figure by the elevation of each point.
    blends : sequence of Blend
        In the order in which they were made.

    Returns
    -------
    (p,) array of float
        Derivative by the points that nothing was made of; 0 at those made. The sum is kept.
    """
    left = weights.copy()
    for blend in reversed(blends):
        given = left[blend.made] * blend.share
        left += np.bincount(blend.of, weights=given, minlength=len(left))
        left[blend.made] = 0.0
    return left
