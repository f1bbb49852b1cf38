"""Neighbours of points in plan, and what they lead one to expect at a point."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from gradevol.ground.arrays import FloatArray, RowArray, at_a_time

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

#: How firmly a plane is sought where the neighbours stand almost on a line: the prior variance of
#: its slopes is the inverse of this, in units of the differences at the neighbours' spacing.
_SLOPES = 1e-3
#: No more points of a lattice than this are equally near to one, where few are looked for.
_AS_NEAR = 12
#: So few points are held against one another: a tree takes longer to load than that.
_FEW = 1500
#: Points that a tree is asked for at a time.
_AT_ONCE = 20_000


def measure_nearest(plan: FloatArray) -> FloatArray:
    """Distance from each of (n, 2) places to the nearest other, (n,), m."""
    if len(plan) <= _FEW:
        return _measure_all(plan).min(axis=1)
    return _plant(plan).query(plan, 2)[0][:, 1]


def ask_nearest(plan: FloatArray) -> Callable[[FloatArray], FloatArray]:
    """Return what tells how far each of (m, 2) places is from the nearest of (n, 2), (m,), m."""
    if len(plan) <= _FEW:
        return lambda places: measure_apart(places, plan).min(axis=1)
    tree = _plant(plan)

    def ask(places: FloatArray) -> FloatArray:
        away = np.empty(len(places))
        for some in at_a_time(len(places), _AT_ONCE):  # Ctrl-C is heard between two calls
            away[some] = tree.query(places[some])[0]
        return away

    return ask


def _plant(plan: FloatArray) -> "cKDTree":
    """Plant a tree of (n, 2) places: unbalanced it is made in half the time, and asked as fast."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    return cKDTree(plan, balanced_tree=False, compact_nodes=False)


def measure_apart(places: FloatArray, others: FloatArray) -> FloatArray:
    """Distance of each of (m, 2) places from each of (n, 2) others: (m, n), m."""
    # an eighth of the time of `hypot`, which minds numbers near the ends of what can be stored
    square = np.square(places[:, None, 0] - others[:, 0])
    square += np.square(places[:, None, 1] - others[:, 1])
    return np.sqrt(square, out=square)


def _measure_all(plan: FloatArray) -> FloatArray:
    """Distance from each of (n, 2) places to each other, (n, n), m; infinite to itself."""
    away = measure_apart(plan, plan)
    np.fill_diagonal(away, np.inf)
    return away


def find_neighbours(plan: FloatArray, count: int) -> RowArray:
    """
    Find each point's nearest others.

    Parameters
    ----------
    plan : (n, 2) array of float
        Places, m, no two alike.
    count : int
        How many, fewer than n.

    Returns
    -------
    (n, count) array of int
        Nearest first; of those equally near the first by index.
    """
    if len(plan) <= _FEW:
        # the distance in millionths and the index in one whole number: no two of a row are equal
        key = np.rint(measure_apart(plan, plan) * 1e6).astype(np.int64) * len(plan)
        key += np.arange(len(plan))
        np.fill_diagonal(key, np.iinfo(np.int64).max)
        nearest = np.sort(np.partition(key, count - 1, axis=1)[:, :count], axis=1)
        return (nearest % len(plan)).astype(np.int32)
    tree = _plant(plan)
    found = np.empty((len(plan), count), np.int32)
    for start in range(0, len(plan), _AT_ONCE):
        some = plan[start : start + _AT_ONCE]
        away, near = tree.query(some, min(len(plan), count + 2))
        # the first is the point itself; a tree names equals in an order of its own
        away, near = away[:, 1:], near[:, 1:]
        found[start : start + len(some)] = near[:, :count]
        tied = np.flatnonzero((away[:, 1:] - away[:, :-1] < 2e-6).any(axis=1))
        rounded = np.round(away[tied], 6)
        tied = tied[(rounded[:, 1:] == rounded[:, :-1]).any(axis=1)]
        if len(tied):
            away, near = tree.query(some[tied], min(len(plan), count + 1 + _AS_NEAR))
            away, near = np.round(away[:, 1:], 6), near[:, 1:]
            order = np.lexsort((near, away), axis=1)[:, :count]
            found[start + tied] = np.take_along_axis(near, order, axis=1)
    return found


def expect_values(
    off: FloatArray, value: FloatArray, power: float, nugget: float
) -> tuple[FloatArray, FloatArray]:
    """
    What neighbours lead one to expect at each of some points, by universal kriging.

    Parameters
    ----------
    off : (2, k, n) array of float
        Where the k neighbours of each point stand from it, in units of their usual spacing.
    value : (k, n) array of float
        The neighbours' values.
    power : float
        Half the mean square of a difference grows with distance to this power, 0 to 2 exclusive,
        about a plane: the larger, the smoother the ground.
    nugget : float
        Variance of a single value, in units of that at one spacing.

    Returns
    -------
    expected : (n,) array of float
    spread : (n,) array of float
        Standard deviation of value less prediction, in the same units.

    Notes
    -----
    With C the covariances of the neighbours' differences from the point and slopes b that a prior
    holds, the weights that sum to one are C⁻¹1 less what the slopes take, over their sum. All that
    is asked for are products a'C⁻¹b of ones, places and values: these are rows below C, and
    Cholesky's elimination leaves them as rows whose products they are. Neighbours stand along the
    first axes: each step is one of numpy for all points.
    """
    near, count = value.shape
    reach = _raise(off[0] ** 2 + off[1] ** 2, power)
    rows = np.empty((near + 4, near, count))
    for at in range(near):
        rows[at, at] = 2 * reach[at] + nugget
        away, north = off[:, at + 1 :] - off[:, at, None]
        away *= away
        north *= north
        away += north
        below = np.add(reach[at + 1 :], reach[at], out=rows[at + 1 : near, at])
        below -= _raise(away, power)
    rows[near] = 1
    rows[near + 1 : near + 3] = off
    rows[near + 3] = value - value[0]
    for at in range(near):
        below = rows[at:, at]
        below -= np.einsum("rmn,mn->rn", rows[at:, :at], rows[at, :at])
        below /= np.sqrt(below[0])
    (one, *one_by), (_, ee, en, ev), (_, _, nn, nv), _ = np.einsum(
        "amn,bmn->abn", rows[near:], rows[near:]
    )
    by_east, by_north, by_value = one_by
    ee, nn = ee + _SLOPES, nn + _SLOPES
    whole = ee * nn - en**2
    east, north = (nn * by_east - en * by_north) / whole, (ee * by_north - en * by_east) / whole
    total = one - east * by_east - north * by_north
    expected = value[0] + (by_value - east * ev - north * nv) / total
    return expected, np.sqrt(1 / total + nugget)


def _raise(square: FloatArray, power: float) -> FloatArray:
    """Distances, given squared, to a power: by roots or logarithms, several times quicker."""
    match power:
        case 1.0:
            return np.sqrt(square)
        case 1.5:
            root = np.sqrt(square)
            return root * np.sqrt(root)
    with np.errstate(divide="ignore"):  # nought stays nought
        raised = np.log(square)
    raised *= power / 2
    return np.exp(raised, out=raised)
