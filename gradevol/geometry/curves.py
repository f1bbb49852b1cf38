"""Arcs in plan: as places that have the arc's area, and rings some sides of which are arcs.

An arc from one place to another is told by its bulge, the tangent of a quarter of the angle that it
turns through: positive where it runs counter-clockwise, 1 for half a circle, 0 for a straight line.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Self

import numpy as np

from gradevol.ground.arrays import FloatArray

#: Greatest distance between an arc and its chords, m.
SAGITTA = 0.001
#: Rounds in which the nearest place of a curve settles.
_ROUNDS = 9
#: At the centre of an arc all of it is equally near.
_LEAST_CLOSER = 0.1


@dataclass(frozen=True, slots=True)
class Ring:
    """
    A closed outline of straight sides and curves.

    Attributes
    ----------
    places : (m, 2) array of float
        Places along it in order, m; the first is not repeated.
    starts : tuple of int
        Rows of `places` at which sides begin, from 0 on; empty: at each.
    """

    places: FloatArray
    starts: tuple[int, ...] = ()

    @property
    def n_sides(self) -> int:
        """How many sides it has."""
        return len(self.starts) or len(self.places)

    @classmethod
    def of_sides(cls, sides: Sequence[FloatArray]) -> Self:
        """Join sides (k, 2), each with both ends, where one ends as the next begins."""
        counts = [len(side) - 1 for side in sides]
        places = np.concatenate([side[:-1] for side in sides])
        starts = np.concatenate([[0], np.cumsum(counts)[:-1]]).tolist()
        return cls(places, () if max(counts) == 1 else tuple(starts))


def divide_ring(places: FloatArray, starts: Sequence[int] = ()) -> tuple[FloatArray, ...]:
    """Sides of a ring, (k, 2) each with both ends: two places where it is straight."""
    begins = list(starts) or list(range(len(places)))
    ends = [*begins[1:], begins[0] + len(places)]
    return tuple(
        places[np.arange(begin, end + 1) % len(places)]
        for begin, end in zip(begins, ends, strict=True)
    )


def measure_along(path: FloatArray) -> FloatArray:
    """Way along a line (k, 2 or more) in plan from where it begins to each of its places, (k,)."""
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path[:, :2], axis=0).T))])


def find_foot(path: FloatArray, place: FloatArray) -> tuple[float, float, float]:
    """
    Find where a curve is nearest to a place.

    Parameters
    ----------
    path : (k, 2) array of float
        Places along the curve, m, three or more.
    place : (2,) array of float

    Returns
    -------
    station, off, beyond : float
        Along the curve to there, from there to the place, and how far the place lies out of square
        there, as it does beyond an end, m. Of the chords alone the station would leap at their
        ends: the curve's direction is taken to turn evenly between them.
    """
    steps, reached = np.diff(path, axis=0), measure_along(path)
    lengths = np.hypot(*steps.T)
    share = np.clip(((place - path[:-1]) * steps).sum(axis=1) / lengths**2, 0, 1)
    near = int(np.argmin(np.hypot(*(path[:-1] + share[:, None] * steps - place).T)))
    station = float(reached[near] + share[near] * lengths[near])
    middles = (reached[1:] + reached[:-1]) / 2
    heading = np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))
    turning = np.diff(heading) / np.diff(middles)
    for _ in range(_ROUNDS):
        foot = np.array([np.interp(station, reached, axis) for axis in path.T])
        at = int(np.clip(np.searchsorted(middles, station) - 1, 0, len(turning) - 1))
        angle = heading[at] + turning[at] * (station - middles[at])
        off, way = place - foot, np.array([np.cos(angle), np.sin(angle)])
        beyond = float(off @ way)
        closer = 1 - turning[at] * float(way[0] * off[1] - way[1] * off[0])
        step = beyond / max(closer, _LEAST_CLOSER)  # towards the centre of an arc
        step = float(np.clip(step, -lengths[near], lengths[near]))
        station = float(np.clip(station + step, 0, reached[-1]))
    return station, float(np.hypot(*off)), abs(beyond)


def bulge_through(start: FloatArray, place: FloatArray, end: FloatArray) -> float:
    """Bulge of the arc between two places, (2,), that passes through a third, off their line."""
    one, other = start - place, end - place
    cross = float(one[0] * other[1] - one[1] * other[0])
    # the angle at which the chord is seen from the arc is half of what the arc does not turn
    angle = np.arctan2(abs(cross), float(one @ other))
    return float(np.copysign(np.tan((np.pi - angle) / 2), -cross))


def measure_rounding(
    before: FloatArray, corner: FloatArray, after: FloatArray, radius: float
) -> tuple[float, float]:
    """
    Measure the arc of a radius that touches both sides of a corner, none of them (2,) in line.

    Returns
    -------
    along : float
        From the corner to where it begins and ends, m.
    bulge : float
        Of the arc, from the side before the corner to the one after it.
    """
    one, other = corner - before, after - corner
    cross, dot = float(one[0] * other[1] - one[1] * other[0]), float(one @ other)
    turn = np.arctan2(cross, dot)
    return radius * float(np.tan(abs(turn) / 2)), float(np.tan(turn / 4))


def measure_arc(start: FloatArray, end: FloatArray, bulge: float) -> tuple[float, float]:
    """Radius of an arc between two places, m, and the angle it turns through, radians."""
    radius = float(np.hypot(*(end - start))) * (1 + bulge**2) / (4 * abs(bulge))
    return radius, 4 * float(np.arctan(bulge))


def count_chords(radius: float, turn: float, sagitta: float = SAGITTA) -> float:
    """How many chords keep an arc of a radius that turns by so much within `sagitta` of it."""
    # places between two chords stand off it by up to 4/3 of what the chords alone would
    half_step = 2 * np.arcsin(np.sqrt(min(0.375 * sagitta / radius, 0.25)))
    return float(max(2.0, np.ceil(turn / (2 * half_step))))


def bow(start: FloatArray, end: FloatArray, bulge: float) -> FloatArray:
    """
    Places along an arc between two places; see `sweep`.

    Parameters
    ----------
    start, end : (2,) array of float
        Its ends, m.
    bulge : float
        Not 0.

    Returns
    -------
    (k, 2) array of float
        From `start` to `end`, both as given.
    """
    chord = end - start
    square = np.array([-chord[1], chord[0]])
    centre = (start + end) / 2 + square * (1 - bulge**2) / (4 * bulge)
    radius, turn = measure_arc(start, end, bulge)
    foot = (start - centre) * (radius / np.hypot(*(start - centre)))
    return np.vstack([start, centre + sweep(foot, turn)[1:-1], end])


def sweep(foot: FloatArray, turn: float, *, sagitta: float = SAGITTA) -> FloatArray:
    """
    Places along an arc about the origin.

    Parameters
    ----------
    foot : (2,) array of float
        Where it begins, m.
    turn : float
        Angle that it turns through, counter-clockwise, radians; not 0, at most a full circle.
    sagitta : float
        Greatest distance between chords and arc, m.

    Returns
    -------
    (k, 2) array of float
        Both ends stand on the arc. Those between stand a little outside it, so that chords and arc
        enclose one area: k - 1 steps of d on a radius r, with the places between at x, enclose
        ``((k - 3) x² + 2 r x) sin(d) / 2``, and the arc ``r² (k - 1) d / 2``.
    """
    count = int(count_chords(float(np.hypot(*foot)), abs(turn), sagitta))
    step = turn / count
    square, linear = (count - 2) * np.sin(abs(step)), 2 * np.sin(abs(step))
    # in radii; of the two roots the one near 1, in the form that loses no digits
    out = np.full(count + 1, 2 * abs(turn) / (linear + np.sqrt(linear**2 + 4 * square * abs(turn))))
    out[[0, -1]] = 1.0
    angle = step * np.arange(count + 1)
    cos, sin = out * np.cos(angle), out * np.sin(angle)
    return np.column_stack([cos * foot[0] - sin * foot[1], sin * foot[0] + cos * foot[1]])
