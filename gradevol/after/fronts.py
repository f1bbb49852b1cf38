"""Fronts: the part of a slab that lies behind where the concrete has reached."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure
from gradevol.site.slab import Slab

#: Places nearer than this are one, m: a tape held at a corner.
AT_CORNER = 1e-3
#: A line of points may end so far off the slab's edge, m: an arm's length.
_OFF_EDGE = 1.0


@dataclass(frozen=True, slots=True)
class Front:
    """
    Where the concrete has reached.

    Attributes
    ----------
    zone : shapely geometry
        What lies behind it, about the survey's origin, m.
    length : float
        Of the line across the slab that it is, m; 0 where nothing or all lies behind it.
    is_by_one : bool
        Whether it hangs on one tape alone.
    """

    zone: shapely.Geometry
    length: float
    is_by_one: bool = False


def sides_beside(start: int, count: int) -> tuple[int, int]:
    """Sides before and after the one where placing begins, of so many; all from 1."""
    return (start - 2) % count + 1, start % count + 1


class Edge:
    """
    The way around a slab, from the middle of the side where placing began.

    Parameters
    ----------
    slab : Slab
    start : int
        That side, from 1.
    """

    def __init__(self, slab: Slab, start: int) -> None:
        self.sides = slab.paths
        if not 1 <= start <= len(self.sides):
            raise ValueError(f"there is no side {start}")
        self.outline = slab.outline
        self.start = start - 1
        self.lengths = slab.lengths
        self.total = float(self.lengths.sum())
        places = np.concatenate([side[:-1] for side in self.sides])
        self.ring = shapely.LineString([*places, places[0]])
        around = shapely.Polygon(self.ring.coords).area
        if abs(around - shapely.Polygon(slab.edge).area) > 1e-9 * around:
            raise ValueError("the sides are not all of the slab's edge")
        self._begins = np.concatenate([[0.0], np.cumsum(self.lengths)[:-1]])
        self.zero = float(self._begins[self.start] + self.lengths[self.start] / 2)

    def go(self, number: int, tape: float) -> float:
        """
        How far round a place lies: positive forward, negative backward.

        Parameters
        ----------
        number : int
            A side, from 1.
        tape : float
            Along it from its end nearer to where placing began, m.

        Raises
        ------
        GeometryError
            If there is no such side, or it is the one where placing began.
        """
        at = number - 1
        if not 0 <= at < len(self.sides) or at == self.start:
            why = "placing begins there" if at == self.start else f"there are {len(self.sides)}"
            raise GeometryError(f"No front can be taped along side {number}: {why}.")
        half = self.lengths[self.start] / 2
        forward = (self._begins[at] - self._begins[self.start]) % self.total - 2 * half
        backward = self.total - forward - 2 * half - self.lengths[at]
        tape = min(tape, float(self.lengths[at]))
        if forward <= backward + 1e-9:
            return float(half + forward + tape)
        return -float(half + backward + tape)

    def find_span(self, number: int, zone: shapely.Geometry) -> tuple[float, float] | None:
        """
        Where along a side a part of the slab begins and ends, m, taped as for `go`.

        Returns
        -------
        tuple of float or None
            None where the side does not touch it.
        """
        side = shapely.LineString(self.sides[number - 1])
        touched = shapely.intersection(side, shapely.buffer(zone, AT_CORNER))
        if touched.is_empty:
            return None
        ways = [side.project(shapely.Point(at)) for at in shapely.get_coordinates(touched)]
        low, high, length = min(ways), max(ways), float(self.lengths[number - 1])
        return (low, high) if self.go(number, 0.0) > 0 else (length - high, length - low)

    def find(self, place: FloatArray) -> float:
        """How far round, forward, the place of the edge nearest to a place (2,) lies."""
        return float((self.ring.project(shapely.Point(place)) - self.zero) % self.total)

    def walk(self, back: float, forward: float) -> FloatArray:
        """Places (k, 2) along the edge from `back` behind the start to `forward` ahead of it."""
        low, high = self.zero - back, self.zero + forward
        marks = np.concatenate([self._corner_marks() + turn * self.total for turn in (-1, 0, 1)])
        inner = np.sort(marks[(marks > low + 1e-9) & (marks < high - 1e-9)])
        stops = np.concatenate([[low], inner, [high]]) % self.total
        return np.array([self.ring.interpolate(stop).coords[0] for stop in stops])

    def _corner_marks(self) -> FloatArray:
        steps = np.linalg.norm(np.diff(np.array(self.ring.coords), axis=0), axis=1)
        return np.concatenate([[0.0], np.cumsum(steps)[:-1]])

    def is_far_side(self, back: float, forward: float) -> bool:
        """Whether just one whole side is left ahead of a front."""
        low, high = self.zero + forward, self.zero + self.total - back
        for begin, length in zip(self._begins, self.lengths, strict=True):
            off = (begin - low + self.total / 2) % self.total - self.total / 2
            if abs(off) <= AT_CORNER and abs(length - (high - low)) <= 2 * AT_CORNER:
                return True
        return high - low <= 2 * AT_CORNER

    def is_at_start(self, back: float, forward: float) -> bool:
        """Whether a front still lies along the side where placing began."""
        half = float(self.lengths[self.start]) / 2
        return max(abs(back - half), abs(forward - half)) <= AT_CORNER


def find_front(
    edge: Edge,
    tapes: Sequence[tuple[int, float]] = (),
    points: FloatArray | None = None,
) -> Front:
    """
    Find what lies behind a front.

    Parameters
    ----------
    edge : Edge
    tapes : sequence of (int, float)
        Sides and the tape along each, m: two, of which one lies each way round from the start, make
        a line across. Of several the same way round, the farthest counts. One alone makes a line
        square to its side.
    points : (k, 2) array of float, optional
        A line of points from edge to edge instead, about the survey's origin, m.

    Raises
    ------
    GeometryError
        If the line does not reach from edge to edge.
    """
    if points is not None:
        return _front_of_points(edge, points)
    ways = [edge.go(number, tape) for number, tape in tapes]
    forward = max((way for way in ways if way > 0), default=None)
    back = max((-way for way in ways if way <= 0), default=None)
    is_by_one = forward is None or back is None
    if is_by_one:
        forward, back = _square_across(edge, forward, back)
    assert forward is not None
    assert back is not None
    if back + forward >= edge.total - AT_CORNER or edge.is_far_side(back, forward):
        return Front(edge.outline, 0.0)
    if edge.is_at_start(back, forward):
        return Front(shapely.Polygon(), 0.0)
    return _front_of_ring(edge, edge.walk(back, forward), np.empty((0, 2)), is_by_one)


def _square_across(edge: Edge, forward: float | None, back: float | None) -> tuple[float, float]:
    """Where the line square to a side meets the edge again."""
    way = forward if forward is not None else -(back or 0.0)
    at = (edge.zero + way) % edge.total
    place = np.array(edge.ring.interpolate(at).coords[0])
    step = min(0.01, edge.total / 1000)
    ahead, behind = (
        np.array(edge.ring.interpolate((at + move) % edge.total).coords[0])
        for move in (step, -step)
    )
    along = (ahead - behind) / max(np.linalg.norm(ahead - behind), 1e-12)
    reach = edge.total
    across = np.array([-along[1], along[0]])
    line = shapely.LineString([place - reach * across, place + reach * across])
    met = shapely.get_coordinates(shapely.intersection(line, edge.ring))
    off = np.linalg.norm(met - place, axis=1) if len(met) else np.empty(0)
    far = met[off > 10 * step]
    if not len(far):
        raise GeometryError("A front by one tape does not reach across the slab: give two.")
    other = edge.find(far[np.argmin(np.linalg.norm(far - place, axis=1))])
    return (way, edge.total - other) if forward is not None else (other, -way)


def _front_of_points(edge: Edge, points: FloatArray) -> Front:
    for end in (points[0], points[-1]):
        gap = float(edge.ring.distance(shapely.Point(end)))
        if gap > _OFF_EDGE:
            raise GeometryError(
                "A front line ends {} off the slab's edge: give points from edge to edge.",
                place=(float(end[0]), float(end[1])),
            ).measuring(Measure(gap, Kind.TAPE))
    first, last = edge.find(points[0]), edge.find(points[-1])
    line = points if first < last else points[::-1]
    forward, back = min(first, last), edge.total - max(first, last)
    return _front_of_ring(edge, edge.walk(back, forward), line, is_by_one=False)


def _front_of_ring(edge: Edge, behind: FloatArray, line: FloatArray, is_by_one: bool) -> Front:
    """Front of the edge behind it (k, 2) and of the line across (m, 2), from its end on."""
    ring = np.concatenate([behind, line])
    if shapely.LineString(ring).length <= AT_CORNER or len(np.unique(ring, axis=0)) < 3:
        return Front(shapely.Polygon(), 0.0)
    body = shapely.Polygon(ring)
    zone = shapely.intersection(body if body.is_valid else shapely.make_valid(body), edge.outline)
    across = shapely.LineString([behind[-1], *line, behind[0]])
    length = float(shapely.intersection(across, edge.outline).length)
    return Front(zone, length, is_by_one)
