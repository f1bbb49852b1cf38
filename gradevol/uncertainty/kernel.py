"""Kernels: how alike the departures of a base are at two places, and which are tried."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np
import shapely

from gradevol.geometry.neighbours import measure_apart
from gradevol.geometry.quadrature import integrate_radial
from gradevol.ground.arrays import FloatArray
from gradevol.uncertainty.kriging import correlate, correlate_within, decay, decay_within

#: How many times as far a process reaches along as across: what a grader leaves, and what wheels,
#: a trench or the edge of a lane do. Common practice, no source.
STREAKED, LANED = 3.0, 64.0
#: How wide such lanes are, from a rut to a machine, m. Common practice, no source.
_LANES = np.geomspace(0.4, 2.5, 3)
#: Chance beforehand of no direction, of a direction, of lanes. Common practice, no source.
_EVEN, _STREAKED, _LANED = 0.4, 0.48, 0.12
#: Neighbours' directions more alike than this make rows; the resultant's length, 0 to 1.
_IN_ROWS = 0.8
#: Sides whose directions are less alike than this have none.
_ALIKE = 0.05
#: Neighbours whose distances differ by no more than this are equally near, m.
_AS_NEAR = 1e-6


@dataclass(frozen=True, slots=True)
class Kernel:
    """
    Correlation of a process at two places.

    Attributes
    ----------
    reach : float
        Range, the geometric mean of those along and across, m.
    ratio, bearing : float
        How many times the range along is that across, and the direction along, radians from east.
    is_rough : bool
        The process has steps (exponential) or none (Matérn of smoothness 3/2).
    """

    reach: float
    ratio: float = 1.0
    bearing: float = 0.0
    is_rough: bool = False

    def turn(self, plan: FloatArray) -> FloatArray:
        """Turn and stretch places (n, 2) so that the process has no direction there; area stays."""
        if self.ratio == 1:
            return plan
        cos, sin, by = np.cos(self.bearing), np.sin(self.bearing), np.sqrt(self.ratio)
        return plan @ np.array([[cos / by, -sin * by], [sin / by, cos * by]])

    def correlate(self, apart: FloatArray) -> FloatArray:
        """Give the correlation at distances between places turned, m."""
        return (decay if self.is_rough else correlate)(apart, self.reach)

    def between(self, plan: FloatArray, others: FloatArray) -> FloatArray:
        """Give the correlation of each of (m, 2) places with each of (n, 2) others: (m, n)."""
        return self.correlate(measure_apart(self.turn(plan), self.turn(others)))

    def integrate(self, outline: shapely.Geometry, plan: FloatArray) -> FloatArray:
        """Integrate the correlation with each of (n, 2) places over an outline: (n,), m²."""
        within = decay_within if self.is_rough else correlate_within
        turned = shapely.transform(outline, self.turn)
        return integrate_radial(
            turned, self.turn(plan), partial(within, reach=self.reach), reach=self.reach
        )

    def vary(self, half: float) -> float:
        """What the process varies over half the extent, in units of its variance."""
        return float(1 - self.correlate(np.array(half)))


def list_even(reaches: FloatArray) -> Iterator[tuple[list[Kernel], float]]:
    """Shapes without a direction, smooth and rough: kernels by range, chance beforehand."""
    for is_rough in (False, True):
        yield _list(reaches, 1.0, 0.0, is_rough), _EVEN / 2


def list_streaked(reaches: FloatArray, bearing: float) -> Iterator[tuple[list[Kernel], float]]:
    """Shapes with one of four directions off a bearing, smooth and rough."""
    for is_rough in (False, True):
        for turn in np.arange(4) * np.pi / 4:
            yield _list(reaches, STREAKED, bearing + turn, is_rough), _STREAKED / 8


def list_lanes(bearing: float) -> Iterator[tuple[list[Kernel], float]]:
    """Lanes along a bearing and across it, by their width."""
    for turn in (0, np.pi / 2):
        yield _list(_LANES * np.sqrt(LANED) / 2, LANED, bearing + turn, True), _LANED / 2


def _list(reaches: FloatArray, ratio: float, bearing: float, is_rough: bool) -> list[Kernel]:
    # a rough process of twice the range falls off about as far
    return [Kernel(reach * (1 + is_rough), ratio, bearing, is_rough) for reach in reaches.tolist()]


def find_bearing(places: FloatArray, outline: shapely.Geometry) -> float:
    """
    Direction of the rows in which shots stand, or of the outline's sides where they don't.

    Parameters
    ----------
    places : (n, 2) array of float
        Of the shots, m.
    outline : shapely geometry

    Returns
    -------
    float
        Radians from east, a quarter turn left open.
    """
    apart = measure_apart(places, places)
    np.fill_diagonal(apart, np.inf)
    # of a lattice several are equally near: they share a shot's part, for rounding would pick one
    is_near = apart <= apart.min(axis=1, keepdims=True) + _AS_NEAR
    one, other = np.nonzero(is_near)
    off = places[other] - places[one]
    alike = np.exp(4j * np.arctan2(off[:, 1], off[:, 0])) @ (1 / is_near.sum(axis=1))[one]
    if abs(alike) < _IN_ROWS * len(places) or len(places) < 10:
        return find_bearing_of_sides(outline, places)
    return _halve_twice(alike)


def find_bearing_of_sides(outline: shapely.Geometry, places: FloatArray) -> float:
    """
    Direction of an outline's sides, as `find_bearing` returns it.

    Those of an octagon or a circle have none: then one that turns with the places (n, 2) of shots.
    """
    sides = np.concatenate(
        [
            np.diff(shapely.get_coordinates(ring), axis=0)
            for part in shapely.get_parts(outline)
            for ring in shapely.get_rings(part)
        ]
    )
    length = np.hypot(*sides.T)
    alike = length @ np.exp(4j * np.arctan2(sides[:, 1], sides[:, 0]))
    if abs(alike) < _ALIKE * length.sum():
        off = (places - shapely.get_coordinates(outline.centroid)) @ [1, 1j]
        alike = (off**4).sum()
    return _halve_twice(alike)


def _halve_twice(alike: complex) -> float:
    # a turn of -180 and of 180 degrees is the same, whatever rounding makes of it
    return float(np.angle(alike * np.exp(-1e-9j))) / 4
