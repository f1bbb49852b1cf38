"""Doubt: how unsure it is whether a process lies above a limit, and what settles it."""

from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from gradevol.geometry.normal import OwensT, chance_below
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.uncertainty.next_for_volume import pick_first
from gradevol.uncertainty.posterior import Conditioned

#: A place is open while the chance that the process lies above its limit is neither less than this
#: nor greater than one less it. Common practice, no source.
NEGLIGIBLE = 0.01
#: Where a normal figure's tail holds that much, in standard deviations.
_TAIL = NormalDist().inv_cdf(1 - NEGLIGIBLE)
#: Places over which further shots are weighed, at most: those likeliest to be open.
_WEIGHED = 300


def stay_open(excess: FloatArray, explained: FloatArray) -> FloatArray:
    r"""
    Chance that it is still open whether a normal figure is above 0, once part of it is known.

    Parameters
    ----------
    excess : (...) array of float
        Mean of the figure over its standard deviation.
    explained : (...) array of float
        Share of its variance that will be known, 0 to 1.

    Returns
    -------
    (...) array of float
        Chance that the chance to come lies between `NEGLIGIBLE` and one less it.

    Notes
    -----
    With a the excess, r the share and Z what will be read, a standard normal, the excess to come is
    :math:`(a + \sqrt r Z) / \sqrt{1 - r}`: a normal whose part between the two tails is what is
    asked. Nothing is simulated.
    """
    known = np.clip(explained, 1e-12, 1 - 1e-12)
    margin = _TAIL * np.sqrt(1 - known)
    spread = np.sqrt(known)
    return chance_below((margin - excess) / spread) - chance_below((-margin - excess) / spread)


def stay_wrong(excess: OwensT, explained: FloatArray) -> FloatArray:
    r"""
    Chance that a place is told wrong as thin or not, once part of it is known.

    Parameters
    ----------
    excess : OwensT
        Of the figure's mean over its standard deviation, (m,).
    explained : (..., m) array of float
        Share of its variance that will be known, 0 to 1.

    Returns
    -------
    (..., m) array of float
        Chance that the figure's mean to come and the figure itself stand on two sides of nought.

    Notes
    -----
    The two are normal, both with the mean a, and correlate by :math:`\sqrt r`: that they differ in
    sign is :math:`2\,T(a, \sqrt{(1 - r)/r})`, with T Owen's function (derived here; held against
    drawn pairs in ``tests/unit/test_doubt.py``).
    """
    known = np.clip(explained, 1e-12, 1 - 1e-12)
    return 2 * excess.at(np.arccos(np.sqrt(known)))


@dataclass(frozen=True, slots=True)
class Doubt:
    """
    Whether a process lies above its limit at places, given the shots, doubtful ones left out.

    Attributes
    ----------
    excess : (c, m) array of float
        On each combination: mean less limit, over the standard deviation.
    variance : (c, m) array of float
        m².
    chance : (m,) array of float
        That it lies above, 0 to 1, on the mean of the combinations.
    is_open : (m,) array of float
        That it is open at each place, once the doubtful shots are taken again, 0 to 1.
    """

    excess: FloatArray
    variance: FloatArray
    chance: FloatArray
    is_open: FloatArray


def find_doubt(known: list[Conditioned], limit: FloatArray, *, readings: FloatArray) -> Doubt:
    """
    Find how unsure it is whether a process lies above a limit.

    Parameters
    ----------
    known : list of Conditioned
        The process on each of the likely combinations: at m places, and then at those of k shots
        whose readings are left out.
    limit : (m,) array of float
        m.
    readings : (k,) array of float
        Of those shots, m.
    """
    count = len(limit)
    excess, variance = [], []
    for each in known:
        mean, own = _forget(each, readings)
        variance.append(np.maximum(own[:count], 1e-18))
        excess.append((mean[:count] - limit) / np.sqrt(variance[-1]))
    ratio = np.array(excess)
    chance = chance_below(ratio)
    by = np.array([each.chance for each in known])
    own = np.array([each.variance[:count] for each in known])
    before = np.array(variance)
    return Doubt(ratio, before, by @ chance, by @ stay_open(ratio, 1 - own / before))


def _forget(known: Conditioned, readings: FloatArray) -> tuple[FloatArray, FloatArray]:
    """
    Mean and variance at each place without the last shots, whose readings are given.

    To leave a reading out is to take it once more with a noise of its variance's opposite.
    """
    mean, variance = known.mean.copy(), known.variance.copy()
    seen: list[FloatArray] = []
    spreads: list[float] = []
    first = len(known.places) - len(readings)
    for place, reading in enumerate(readings.tolist(), start=first):
        row = known.covariance(np.array([place]))[0]
        for other, spread in zip(seen, spreads, strict=True):
            row = row - other * other[place] / spread
        spread = min(row[place] - known.noise, -1e-6 * known.noise)
        mean += row * (reading - mean[place]) / spread
        variance -= row**2 / spread
        seen.append(row)
        spreads.append(spread)
    return mean, variance


def settle_doubt(
    known: list[Conditioned],
    doubt: Doubt,
    places: FloatArray,
    is_free: BoolArray,
    *,
    most: int,
    near: float,
) -> tuple[list[int], list[float]]:
    """
    Choose where more shots would leave the fewest places told wrong, one by one.

    Parameters
    ----------
    known : list of Conditioned
        As `find_doubt` had them.
    doubt : Doubt
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
    gain : list of float
        How many places each is expected to settle, beyond what those before it do.

    Notes
    -----
    The shots that are left out are taken to be taken again first. How much of the variance any set
    of shots explains does not hang on what they read, so what they leave open on the mean is in
    closed form (`stay_open`).
    """
    likeliest = np.argsort(-np.round(doubt.is_open, 9), kind="stable")[:_WEIGHED]
    weighed = np.sort(likeliest[doubt.is_open[likeliest] > NEGLIGIBLE])
    spots, is_free = places[weighed], is_free[weighed].copy()
    open_ = [
        _Open(each, each.covariance(weighed, weighed), before, excess, OwensT.of(excess))
        for each, before, excess in zip(
            known, doubt.variance[:, weighed], doubt.excess[:, weighed], strict=True
        )
    ]
    picked: list[int] = []
    gain: list[float] = []
    now = float(doubt.is_open[weighed].sum())
    while len(picked) < most and is_free.any():
        wrong = np.full(len(weighed), np.inf)
        wrong[is_free] = np.sum([each.tell_wrong(is_free) for each in open_], axis=0)
        pick = pick_first(-wrong, is_free)
        left = sum(each.tell_open(pick) for each in open_)
        picked.append(int(weighed[pick]))
        gain.append(now - left)
        now = left
        is_free &= np.hypot(*(spots - spots[pick]).T) >= near
        for each in open_:
            each.shoot(pick)
    return picked, gain


@dataclass(slots=True)
class _Open:
    """What is open of a process at m places while shots are added to it."""

    known: Conditioned
    covariance: FloatArray
    before: FloatArray
    excess: FloatArray
    apart: OwensT

    def explain(self, rows: slice | BoolArray) -> FloatArray:
        """Share of the variance at each place that is known once a shot is taken: (rows, m)."""
        own = np.diag(self.covariance)
        more = self.covariance[rows] ** 2 / (own[rows] + self.known.shot_noise)[:, None]
        return np.asarray(1 - (own - more) / self.before)

    def tell_wrong(self, rows: BoolArray) -> FloatArray:
        """How many places a shot at each of some leaves told wrong, by chance."""
        return self.known.chance * stay_wrong(self.apart, self.explain(rows)).sum(axis=1)

    def tell_open(self, place: int) -> float:
        """How many places a shot leaves open, by chance."""
        explained = self.explain(slice(place, place + 1))[0]
        return self.known.chance * float(stay_open(self.excess, explained).sum())

    def shoot(self, place: int) -> None:
        """Take a shot at a place, whatever it reads."""
        own = self.covariance[place, place] + self.known.shot_noise
        row = self.covariance[place] / np.sqrt(own)
        self.covariance = self.covariance - np.outer(row, row)
