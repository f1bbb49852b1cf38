"""Neighbours of points in plan, and what they lead one to expect at a point."""

from collections.abc import Callable

import numpy as np

from gradevol.ground.arrays import FloatArray, RowArray, at_a_time

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
    from scipy.spatial import cKDTree  # noqa: PLC0415

    away: FloatArray = cKDTree(plan).query(plan, 2)[0][:, 1]
    return away


def ask_nearest(plan: FloatArray) -> Callable[[FloatArray], FloatArray]:
    """Return what tells how far each of (m, 2) places is from the nearest of (n, 2), (m,), m."""
    if len(plan) <= _FEW:
        return lambda places: measure_apart(places, plan).min(axis=1)
    from scipy.spatial import cKDTree  # noqa: PLC0415

    tree = cKDTree(plan)

    def ask(places: FloatArray) -> FloatArray:
        away = np.empty(len(places))
        for some in at_a_time(len(places), _AT_ONCE):  # Ctrl-C is heard between two calls
            away[some] = tree.query(places[some])[0]
        return away

    return ask


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
        return np.argsort(np.round(_measure_all(plan), 6), axis=1, kind="stable")[:, :count].astype(
            np.int32
        )
    from scipy.spatial import cKDTree  # noqa: PLC0415

    tree = cKDTree(plan)
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


def weigh_neighbours(off: FloatArray, power: float, nugget: float) -> tuple[FloatArray, FloatArray]:
    """
    Weights that predict the value at each point from its neighbours', by universal kriging.

    Parameters
    ----------
    off : (n, k, 2) array of float
        Where the neighbours stand from the point, in units of their usual spacing.
    power : float
        Half the mean square of a difference grows with distance to this power, 0 to 2 exclusive,
        about a plane: the larger, the smoother the ground.
    nugget : float
        Variance of a single value, in units of that at one spacing.

    Returns
    -------
    weights : (n, k) array of float
        They sum to one.
    spread : (n,) array of float
        Standard deviation of value less prediction, in the same units.
    """
    count, near = off.shape[:2]
    size = near + 3
    system = np.zeros((count, size, size))
    east, north = np.moveaxis(off, 2, 0)
    square = (east[:, :, None] - east[:, None]) ** 2 + (north[:, :, None] - north[:, None]) ** 2
    system[:, :near, :near] = -_raise(square, power)
    system[:, range(near), range(near)] = nugget
    system[:, :near, near] = system[:, near, :near] = 1
    system[:, :near, near + 1 :] = off
    system[:, near + 1 :, :near] = off.transpose(0, 2, 1)
    system[:, range(near + 1, size), range(near + 1, size)] = -_SLOPES
    wanted = np.zeros((count, size))
    wanted[:, :near] = -_raise(east**2 + north**2, power)
    wanted[:, near] = 1
    found = np.linalg.solve(system, wanted[..., None])[..., 0]
    variance = nugget - (found * wanted).sum(axis=1)
    return found[:, :near], np.sqrt(np.maximum(variance, nugget))


def _raise(square: FloatArray, power: float) -> FloatArray:
    """Distances, given squared, to a power: by roots, which are several times quicker."""
    root = np.sqrt(square)
    match power:
        case 1.0:
            return root
        case 1.5:
            return np.sqrt(root) * root
    return root**power
