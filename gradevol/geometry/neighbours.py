"""Neighbours of points in plan, and what they lead one to expect at a point."""

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np

from gradevol.geometry.squares import Layers
from gradevol.ground.arrays import FloatArray, IntArray, RowArray

if TYPE_CHECKING:
    from scipy.spatial import cKDTree

#: How firmly a plane is sought where the neighbours stand almost on a line: the prior variance of
#: its slopes is the inverse of this, in units of the differences at the neighbours' spacing.
_SLOPES = 1e-3
#: No more points of a lattice than this are equally near to one, where few are looked for.
_AS_NEAR = 12
#: So few points are held against one another: a tree takes longer to load than that.
_FEW = 1500
#: Distances are told apart by so many steps a metre.
_STEPS = 1e6
#: Of more than this the least are parted off before they are sorted.
_MANY = 400


def measure_nearest(plan: FloatArray) -> FloatArray:
    """Distance from each of (n, 2) places to the nearest other, (n,), m."""
    if len(plan) <= _FEW:
        return _measure_all(plan).min(axis=1)
    return _measure(Layers.of(plan), plan, 1)


def ask_nearest(plan: FloatArray) -> Callable[[FloatArray], FloatArray]:
    """Return what tells how far each of (m, 2) places is from the nearest of (n, 2), (m,), m."""
    if len(plan) <= _FEW:
        return lambda places: measure_apart(places, plan).min(axis=1)
    layers = Layers.of(plan)
    return lambda places: _measure(layers, places, 0)


def _measure(layers: Layers, places: FloatArray, nearer: int) -> FloatArray:
    """Distance from (m, 2) places to the nearest points but so many, (m,), m."""
    found, is_left = np.empty(len(places)), np.ones(len(places), bool)
    for which, away, _, reach in layers.each_window(places, is_left, fewest=nearer + 1):
        away.partition(nearer, axis=2)
        off = away[:, :, nearer]
        is_found = off <= reach
        found[which[is_found]] = off[is_found]
        is_left[which[is_found]] = False
    if is_left.any():
        found[is_left] = _plant(layers.plan).query(places[is_left], [nearer + 1])[0][:, 0]
    return found


def _plant(plan: FloatArray) -> "cKDTree":
    """Plant a tree of (n, 2) places, for those that squares serve badly: unbalanced, as fast."""
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
    size = len(plan)
    found, is_left = np.empty((size, count), np.int32), np.ones(size, bool)
    bits = size.bit_length()
    windows = Layers.of(plan).each_window(
        plan, is_left, fewest=count + 1, most=2.0 ** (63 - bits) / _STEPS
    )
    for which, away, point, reach in windows:
        # how far in steps, and then which: one number each, whose order is that of both
        np.multiply(away, _STEPS, out=away)
        key = np.rint(away, out=away).astype(np.int64)
        key <<= bits
        key |= point[:, None, :]
        key = key.reshape(which.size, -1)
        if key.shape[1] > _MANY:
            key.partition(count, axis=1)
            key = key[:, : count + 1]
        key.sort(axis=1)
        near, own = key[:, : count + 1] & ((1 << bits) - 1), which.ravel()
        is_other = near != own[:, None]
        is_other[is_other.all(axis=1), -1] = False  # of many at one place it need not be there
        is_found = (key[:, count] >> bits) < reach.ravel() * _STEPS - 1
        found[own[is_found]] = near[is_other].reshape(len(own), count)[is_found]
        is_left[own[is_found]] = False
    if is_left.any():
        found[is_left] = _ask_tree(plan, np.flatnonzero(is_left), count)
    return found


def _ask_tree(plan: FloatArray, which: IntArray, count: int) -> IntArray:
    """Nearest others of some points, as `find_neighbours`, where they crowd as on no survey."""
    away, near = _plant(plan).query(plan[which], min(len(plan), count + 1 + _AS_NEAR))
    away[near == which[:, None]] = np.inf
    order = np.lexsort((near, np.round(away, 6)), axis=1)[:, :count]
    return np.take_along_axis(near, order, axis=1)


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
