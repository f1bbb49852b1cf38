"""Narrowing: what more shots would take from the spread of an integral."""

from dataclasses import dataclass, field

import numpy as np

from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.uncertainty.posterior import Conditioned


def narrow_integral(
    known: list[Conditioned], places: FloatArray, is_free: BoolArray, *, most: int, near: float
) -> tuple[list[int], FloatArray]:
    """
    Choose where more shots would take the most from the variance of an integral, one by one.

    Parameters
    ----------
    known : list of Conditioned
        The process on each of the likely combinations, at places that begin with `places`.
    places : (m, 2) array of float
        m.
    is_free : (m,) array of bool
        Which of them may be chosen.
    most : int
        How many are chosen at most.
    near : float
        No nearer to one another than this, m.

    Returns
    -------
    picked : list of int
    share : (k,) array of float
        Share of the variance that is gone once each, and all before it, is shot, 0 to 1.

    Notes
    -----
    A shot y of noise τ² takes cov(I, y)² / (var y + τ²) from the variance of the integral I,
    whatever it reads. The place that takes the most on the mean of the combinations is the next.
    """
    open_ = [_Open(each, len(places)) for each in known]
    is_free = is_free.copy()
    variance = sum(each.chance * each.whole for each in known)
    picked: list[int] = []
    taken = [0.0]
    while len(picked) < most and is_free.any():
        score = np.sum([each.tell() for each in open_], axis=0)
        picked.append(pick_first(score, is_free))
        taken.append(taken[-1] + float(score[picked[-1]]))
        is_free &= np.hypot(*(places - places[picked[-1]]).T) >= near
        for each in open_:
            each.shoot(picked[-1])
    return picked, np.clip(np.array(taken[1:]) / variance, 0.0, 1.0)


def pick_first(score: FloatArray, is_free: BoolArray) -> int:
    """Place of the highest score: among equals the first, whatever rounding makes of them."""
    held = np.where(is_free, score, -np.inf)
    return int(np.argmax(held >= held.max() - 1e-7 * abs(held.max())))


@dataclass(slots=True)
class _Open:
    """What is open of a process while shots are added to it."""

    known: Conditioned
    count: int
    with_whole: FloatArray = field(init=False)
    variance: FloatArray = field(init=False)
    seen: list[FloatArray] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.with_whole = self.known.with_whole[: self.count].copy()
        self.variance = self.known.variance[: self.count].copy()

    def tell(self) -> FloatArray:
        """What a shot at each place would take from the integral's variance, by chance."""
        return self.known.chance * self.with_whole**2 / (self.variance + self.known.shot_noise)

    def shoot(self, place: int) -> None:
        """Take a shot at a place, whatever it reads."""
        row = self.known.covariance(np.array([place]))[0, : self.count]
        for other in self.seen:
            row -= other * other[place]
        row /= np.sqrt(self.variance[place] + self.known.shot_noise)
        own = self.with_whole[place] / np.sqrt(self.variance[place] + self.known.shot_noise)
        self.with_whole -= row * own
        self.variance -= row**2
        self.seen.append(row)
