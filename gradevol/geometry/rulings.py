"""Straight rulings between two edges, as triangles."""

import numpy as np

from gradevol.geometry.curves import measure_along
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError

#: A ruled surface is cut into triangles that nowhere leave its rulings by more than this, m.
RULING_TOLERANCE = 0.0001
#: But into no more cells than this along a patch: rulings that run into a point as steep as a wall
#: would ask for any number.
_MOST_CELLS = 200
#: Patches are cut alike, so that cells meet corner to corner, where that takes no more cells than
#: this in all; else each as finely as its own twist asks for.
_MOST_ALIKE = 4_000
#: And into no more in all, however many points the edges have: time and memory have a bound.
_MOST_IN_ALL = 40_000


def rule(first: FloatArray, second: FloatArray) -> FloatArray:
    """
    Lay straight rulings between two edges.

    Parameters
    ----------
    first, second : (n, 3), (m, 3) arrays of float
        Points of the edges in order, m; either may be listed from either end.

    Returns
    -------
    (k, 3, 3) array of float
        Triangles, m; all turn the same way, but for those without area.

    Raises
    ------
    GeometryError
        If an edge has two points at one place, or rulings cross one another in plan.

    Notes
    -----
    Edges are matched by the share of their plan length. Each patch between neighbouring corners
    is cut into n by n cells, and a cell into four about its middle: a patch twisted by w, a
    vector in space, leaves its rulings by ``|w_z - slope · w_plan| / (16 n²)`` (derived here;
    ``tests/unit/test_rulings.py``). A plane, however its edges run, is cut once.
    """
    if _span(first, second[::-1]) < _span(first, second):
        second = second[::-1]  # listed from the other end
    try:
        return _rule(first, second)
    except GeometryError as crossed:
        try:  # edges that run askew: their ends alone do not tell
            return _rule(first, second[::-1])
        except GeometryError:
            raise crossed from None


def _rule(first: FloatArray, second: FloatArray) -> FloatArray:
    """Lay rulings between two edges listed the same way."""
    stations = _match(_stations(first), _stations(second), measure_along(first)[-1])
    shared = np.sort(np.concatenate(stations))
    shared = shared[np.diff(shared, prepend=-1.0) > 1e-9]
    corners = np.stack(
        [
            _at(line, station, shared)
            for line, station in zip((first, second), stations, strict=True)
        ]
    )
    wanted = np.ceil(np.sqrt(_measure_twist(corners) / (16 * RULING_TOLERANCE)))
    cuts = wanted.clip(1, _MOST_CELLS)
    if len(cuts) * cuts.max() ** 2 <= _MOST_ALIKE:
        cuts[:] = cuts.max()
    if (excess := float((cuts**2).sum()) / _MOST_IN_ALL) > 1:
        cuts = np.floor(cuts / np.sqrt(excess)).clip(1)
    faces = np.concatenate(
        [_cut(corners[:, at : at + 2], n) for at, n in enumerate(cuts.astype(int).tolist())]
    )
    area = plan_area(faces)
    rounding = 1e-9 * np.abs(area).max()  # rulings that start at one place have no area there
    if (area > rounding).any() and (area < -rounding).any():
        raise GeometryError(
            "The rulings between the two edges cross one another in plan: check the order of the "
            "points of 'between'."
        )
    return faces[np.abs(area) > rounding]


def _cut(corners: FloatArray, n: int) -> FloatArray:
    """Cut the patch of (2, 2, 3) corners into n by n cells, and each into four, (4 n², 3, 3)."""
    along, across = np.linspace(0, 1, n + 1)[:, None], np.linspace(0, 1, n + 1)[:, None, None]
    ends = (1 - along) * corners[:, :1] + along * corners[:, 1:]  # (2, n + 1, 3)
    grid = (1 - across) * ends[0] + across * ends[1]  # (n + 1, n + 1, 3)
    cell = np.stack([grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]], axis=2)
    cell = cell.reshape(-1, 4, 3)
    middle = np.broadcast_to(cell.mean(axis=1, keepdims=True), cell.shape)
    return np.stack([cell, np.roll(cell, -1, axis=1), middle], axis=2).reshape(-1, 3, 3)


def _measure_twist(corners: FloatArray) -> FloatArray:
    """Twist of each patch of (2, s, 3) corners out of plane, (s - 1,), m."""
    start, end = corners[:, :-1], corners[:, 1:]  # (2, s - 1, 3)
    twist = start[0] - end[0] - start[1] + end[1]  # (s - 1, 3)
    worst = np.zeros(len(twist))
    for across in (0.0, 0.5, 1.0):
        for along in (0.0, 0.5, 1.0):
            u = (1 - across) * (end[0] - start[0]) + across * (end[1] - start[1])
            v = (1 - along) * (start[1] - start[0]) + along * (end[1] - end[0])
            twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
            has_slope = np.abs(twice) > 1e-9 * (np.abs(u) + np.abs(v)).max() ** 2
            twice = np.where(has_slope, twice, 1.0)
            east = (u[:, 2] * v[:, 1] - v[:, 2] * u[:, 1]) / twice
            north = (u[:, 0] * v[:, 2] - v[:, 0] * u[:, 2]) / twice
            out = np.abs(twist[:, 2] - east * twist[:, 0] - north * twist[:, 1])
            worst = np.maximum(worst, np.where(has_slope, out, 0.0))
    return worst


def _span(first: FloatArray, second: FloatArray) -> float:
    return float(sum(np.hypot(*(first[end] - second[end])[:2]) for end in (0, -1)))


def _stations(line: FloatArray) -> FloatArray:
    """Share of the plan length at each point of a line, 0 to 1."""
    length = measure_along(line)
    if len(line) < 2 or (np.diff(length) <= 0).any():
        raise GeometryError("An edge of 'between' needs two points or more, no two at one place.")
    return length / length[-1]


def _match(own: FloatArray, met: FloatArray, length: float) -> tuple[FloatArray, FloatArray]:
    """Put stations of two lines at one that differ by rounding: between them lie splinters."""
    nearest = own[np.abs(met[:, None] - own).argmin(axis=1)]
    joined = np.where(np.abs(met - nearest) * length <= ONE_PLACE, nearest, met)
    return own, joined if (np.diff(joined) > 0).all() else met


def _at(line: FloatArray, stations: FloatArray, shared: FloatArray) -> FloatArray:
    return np.column_stack([np.interp(shared, stations, column) for column in line.T])
