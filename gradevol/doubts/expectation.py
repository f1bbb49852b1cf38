"""What its neighbours lead one to expect of a place, and how far the ground strays from that."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from gradevol.geometry.neighbours import expect_values, find_neighbours
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, RowArray, at_a_time

#: Neighbours that a place is predicted from, and those that tell how uneven the ground is there.
NEIGHBOURS, AROUND = 16, 24
#: Kinds of ground that are tried: power and nugget of `geometry.neighbours.expect_values`.
GROUNDS = ((1.0, 0.1), (1.5, 0.1), (1.9, 0.03), (1.9, 0.3))
#: How far what is seen around a place counts against what is seen all over, 0 to 1, of logarithms.
LOCAL = 0.7
#: Share of the survey's highest, or lowest, places that tell how far its ground strays; and no more
#: than this spread is taken for straying, m: several slips are none.
TAIL, MOST_STRAY = 0.03, 0.02
#: No difference of two shots is held to be surer than this many of a shot's sigma, nor a shot than
#: this, m.
SURE = 2.5
_LEAST_SIGMA = 0.001
#: A normal distribution's standard deviations beyond which `TAIL` of it lies.
_TAIL_SPREAD = 1.8807936081512509
#: The mean square of a dozen or two normal values less the largest is less than their variance by
#: about this.
_WITHOUT_LARGEST = 1.35
#: Neighbours' residuals count up to this many times the usual one: a slip among them is no ground.
_MOST_AROUND = 4.0
#: Places that the kind of ground is chosen by, and those that are worked through at a time: their
#: systems stay near the processor, and so do the squares around them.
_SAMPLE, _BATCH, _AT_ONCE = 2000, 1500, 20_000


@dataclass(slots=True)
class Places:
    """
    Places of a survey, each with what its neighbours lead one to expect; some no longer trusted.

    Attributes
    ----------
    plan : (p, 2) array of float
        Easting, northing, m.
    level : (p,) array of float
        Elevation, m.
    near : (p, m) array of int
        Nearest places, nearest first.
    is_trusted : (p,) array of bool
        Whether a place counts in the prediction of others.
    spacing : float
        Usual distance of neighbours, m.
    ground : (float, float)
        One of `GROUNDS`.
    expected : (p,) array of float
        The prediction, m.
    spread : (p,) array of float
        What a residual spreads by, in units of the ground's: more far from others.
    """

    plan: FloatArray
    level: FloatArray
    near: RowArray
    is_trusted: BoolArray
    spacing: float
    ground: tuple[float, float]
    expected: FloatArray
    spread: FloatArray

    @classmethod
    def of(
        cls,
        plan: FloatArray,
        level: FloatArray,
        *,
        progress: Callable[[float], None] = lambda _: None,
    ) -> "Places":
        """Predict each place from its neighbours, on that kind of ground that predicts best."""
        count = len(plan)
        progress(0.0)
        near = find_neighbours(plan, min(count - 1, NEIGHBOURS + NEIGHBOURS // 2))
        places = cls(
            plan=np.asfortranarray(plan),  # eastings stand together, and northings
            level=level,
            near=near,
            is_trusted=np.ones(count, bool),
            spacing=find_spacing(plan, near),
            ground=GROUNDS[0],
            expected=np.zeros(count),
            spread=np.ones(count),
        )
        sample = np.unique(np.linspace(0, count - 1, min(count, _SAMPLE)).astype(np.intp))
        places.ground = min(GROUNDS, key=lambda ground: places._miss(ground, sample))
        places.predict(np.arange(count), progress=progress)
        return places

    def _miss(self, ground: tuple[float, float], which: IntArray) -> float:
        """Judge a kind of ground: the logarithm of how far its predictions miss, slips apart."""
        expected, spread = self._expect(which, self.near[which, :NEIGHBOURS], ground)
        squares = np.sort(((self.level[which] - expected) / spread) ** 2)
        squares = squares[: int(np.ceil(0.97 * len(which)))]
        return float(np.log(max(squares.mean(), 1e-12)) / 2 + np.log(spread).mean())

    def predict(
        self, which: IntArray, *, progress: Callable[[float], None] = lambda _: None
    ) -> None:
        """Predict places from their nearest trusted neighbours, m."""
        is_all = self.is_trusted.all()
        parts = np.array_split(which, -(-len(which) // _BATCH) or 1)
        for number, part in enumerate(parts):
            progress(number / len(parts))
            others = self.near[part]
            if not is_all:
                order = np.argsort(~self.is_trusted[others], axis=1, kind="stable")
                others = np.take_along_axis(others, order, axis=1)
            self.expected[part], self.spread[part] = self._expect(
                part, others[:, :NEIGHBOURS], self.ground
            )

    def _expect(
        self, which: IntArray, others: RowArray, ground: tuple[float, float]
    ) -> tuple[FloatArray, FloatArray]:
        """Prediction and spread at places (n,) from others (n, k), on a kind of ground."""
        others = np.ascontiguousarray(others.T)
        off = np.stack([at.take(others) - at.take(which) for at in self.plan.T])
        off /= self.spacing
        return expect_values(off, self.level.take(others), *ground)

    def trust(self, which: IntArray, *, again: bool) -> None:
        """Predict the others without some places, or with them again."""
        self.is_trusted[which] = again
        is_changed = np.zeros(len(self.near), bool)
        is_changed[which] = True
        self.predict(np.flatnonzero(is_changed[self.near].any(axis=1)))

    def find_unevenness(self, sigma: float, is_ground: BoolArray) -> FloatArray:
        """
        Find how far each place may be off what is expected by the ground alone.

        Parameters
        ----------
        sigma : float
            One standard deviation of one shot's elevation, m.
        is_ground : (p,) array of bool
            Places that the ground is known by: all but what was found to be a slip.

        Returns
        -------
        (p,) array of float
            One standard deviation, m: what is seen all over, moved towards what is seen around
            the place; at least what the survey's ground strays on that side; and `sigma`.
        """
        scaled = (self.level - self.expected) / self.spread
        usual = _usual(np.abs(scaled[is_ground]))
        squares = np.minimum(np.abs(scaled), _MOST_AROUND * usual)
        squares[~self.is_trusted] = usual
        squares *= squares
        mean = np.empty_like(squares)
        for some in at_a_time(len(mean), _AT_ONCE):
            # neighbours along the first axis: sums over a short last one are slow
            around = squares.take(np.ascontiguousarray(self.near[some, :AROUND].T))
            kept = around.sum(axis=0) - around.max(axis=0)
            mean[some] = kept / (len(around) - 1)
        found = usual * (np.sqrt(_WITHOUT_LARGEST * mean + 1e-12) / usual) ** LOCAL
        del squares, mean
        scaled /= found
        for side in (1, -1):
            stray = float(np.quantile(side * scaled[is_ground], 1 - TAIL)) / _TAIL_SPREAD
            is_side = side * scaled > 0
            most = np.maximum(found, MOST_STRAY / self.spread)
            found[is_side] = np.clip(max(stray, 0.0) * found, found, most)[is_side]
        return np.maximum(found * self.spread, SURE * max(sigma, _LEAST_SIGMA))


def find_spacing(plan: FloatArray, near: RowArray) -> float:
    """Usual distance of places from their four nearest others, m."""
    away = np.zeros((min(4, near.shape[1]), len(plan)))
    for at in map(np.ascontiguousarray, plan.T):
        for number, others in enumerate(near[:, :4].T):
            away[number] += np.square(at.take(others) - at)
    return float(np.median(np.sqrt(away, out=away), overwrite_input=True))


def _usual(off: FloatArray) -> float:
    """Usual size of residuals, by those that are trusted."""
    return max(robust_spread(off), float(np.quantile(off, 0.9)) / 1.645, 1e-9)
