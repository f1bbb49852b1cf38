"""What is off as pictures have it: thin, high and low places, and the lines of work."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.grade import find_grade
from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.ground.words import with_minus
from gradevol.measures.spots import Spots
from gradevol.plan.fixes.fix import Fix

#: Corners of all outlines together, at most; more are drawn with fewer corners.
MOST_CORNERS = 20_000
#: Decimals of outlines with fewer corners, m.
_DECIMALS = 3


@dataclass(frozen=True, slots=True)
class Place:
    """
    A thin, high or low place, about the survey's origin, m.

    Attributes
    ----------
    rings : tuple of (n, 2) arrays of float
        Its outline, holes among them; none closed.
    area : float
        m².
    at : (2,) array of float
        Where it is worst.
    text : str
        How thin it is there, or how far off: ``high 3/8 in``.
    """

    rings: tuple[FloatArray, ...]
    area: float
    at: FloatArray
    text: str


@dataclass(frozen=True, slots=True)
class Tape:
    """Where a tape begins on the slab's edge, (2,), m, and what it reads at the place."""

    foot: FloatArray
    text: str


@dataclass(frozen=True, slots=True)
class WorkPlace:
    """
    A line of the fix list on a map.

    Attributes
    ----------
    rank : int
    kind : {"thin", "high", "low", "cover"}
    is_must : bool
        Whether more concrete can't make it good.
    is_left : bool
        Whether it is below what a grader can tell.
    at : (2,) array of float
        Its worst place, m.
    rings : tuple of (n, 2) arrays of float
        Its outline; empty for cover.
    tapes : tuple of Tape
        What finds its worst place.
    """

    rank: int
    kind: str
    is_must: bool
    is_left: bool
    at: FloatArray
    rings: tuple[FloatArray, ...]
    tapes: tuple[Tape, ...]


@dataclass(frozen=True, slots=True)
class DrawnSpots:
    """
    All that is off.

    Attributes
    ----------
    is_thin : bool
        Whether any place is too thin.
    thin, high, low : tuple of Place
        Those listed: thin ones worst first, the others the largest by volume first.
    works : tuple of WorkPlace
        By rank.
    """

    is_thin: bool
    thin: tuple[Place, ...]
    high: tuple[Place, ...]
    low: tuple[Place, ...]
    works: tuple[WorkPlace, ...]

    @property
    def outlines(self) -> tuple[tuple[FloatArray, ...], ...]:
        """Rings of all places that are drawn."""
        return tuple(place.rings for place in (*self.thin, *self.high, *self.low))

    @property
    def tasks(self) -> tuple[WorkPlace, ...]:
        """The lines of work that are not best left."""
        return tuple(work for work in self.works if not work.is_left)


def draw_spots(result: Result) -> DrawnSpots:
    """Draw up what is off; outlines of very many corners lose some, but none is moved far."""
    say, fixes, thin = result.units.say_thickness, result.work.fixes, result.thin.listed
    size = float(np.sqrt(result.slab.area))
    outlines = bound_outlines([fix.rings for fix in fixes] + [spot.rings for spot in thin], size)
    works = [
        WorkPlace(
            rank=fix.rank,
            kind=fix.kind,
            is_must=fix.is_must,
            is_left=fix.call == "leave",
            at=np.array(fix.at[:2]),
            rings=rings,
            tapes=_tapes_to(fix, result),
        )
        for fix, rings in zip(fixes, outlines, strict=False)
    ]
    places = [
        Place(rings, spot.area, np.array(spot.at[:2]), with_minus(say(spot.worst, down=True)))
        for spot, rings in zip(thin, outlines[len(fixes) :], strict=True)
    ]
    high, low = (
        _places(spots, word, result) for spots, word in ((result.high, "high"), (result.low, "low"))
    )
    return DrawnSpots(result.thin.area > 0, tuple(places), high, low, tuple(works))


def _places(spots: Spots | None, word: str, result: Result) -> tuple[Place, ...]:
    grade = find_grade(result)
    listed = sorted(spots.listed, key=lambda spot: -spot.volume) if spots else []
    outlines = bound_outlines([spot.rings for spot in listed], float(np.sqrt(result.slab.area)))
    return tuple(
        Place(
            rings=rings,
            area=spot.area,
            at=np.array(spot.at[:2]),
            text=f"{word} {grade.say_length(-spot.worst if word == 'low' else spot.worst)}",
        )
        for spot, rings in zip(listed, outlines, strict=True)
    )


def _tapes_to(fix: Fix, result: Result) -> tuple[Tape, ...]:
    """Tapes square off the sides, or from the corners, that find a place."""
    slab, at, tapes = result.slab, np.array(fix.at[:2]), []
    for number, away in fix.where.sides:
        start, end = slab.sides[number - 1]
        along = (end - start) / np.hypot(*(end - start))
        tapes.append((start + ((at - start) @ along) * along, away))
    tapes += [(slab.corners[number - 1], away) for number, away in fix.where.corners]
    if fix.where.along is not None:
        number, station, away = fix.where.along
        foot = shapely.LineString(slab.paths[number - 1]).interpolate(station)
        tapes.append((shapely.get_coordinates(foot)[0], away))
    return tuple(Tape(foot, result.units.say_tape(away)) for foot, away in tapes)


def bound_outlines(
    outlines: Sequence[tuple[FloatArray, ...]], size: float
) -> list[tuple[FloatArray, ...]]:
    """
    Outlines with no more than `MOST_CORNERS` corners together, none moved far.

    Parameters
    ----------
    outlines : sequence of tuple of (n, 2) arrays
        Rings of each place, m.
    size : float
        Of the slab, m: a five-hundredth of it is below what is seen on a phone.

    Returns
    -------
    list of tuple of (n, 2) arrays
        As given where they are few. Else the tolerance begins there and grows until they are: rings
        within it are left out, but for the largest of each place.
    """
    bound, tolerance = list(outlines), 0.0
    while sum(len(ring) for rings in bound for ring in rings) > MOST_CORNERS:
        tolerance = 2 * tolerance or size / 500
        if tolerance > size:
            break  # so many places that a corner of each is too much: there are not so many
        bound = [_thin_out(rings, tolerance) for rings in bound]
    return bound


def _thin_out(rings: tuple[FloatArray, ...], tolerance: float) -> tuple[FloatArray, ...]:
    """Rings with fewer corners, none moved further than `tolerance`, m; small ones left out."""
    sizes = [float(np.ptp(ring, axis=0).max()) for ring in rings]
    return tuple(
        np.round(straighten(ring, tolerance) if len(ring) >= 8 else ring, _DECIMALS)
        for ring, size in zip(rings, sizes, strict=True)
        if size > tolerance or size == max(sizes)
    )


def straighten(ring: FloatArray, tolerance: float) -> FloatArray:
    """Leave out corners of a ring (n, 2) that are no farther off than `tolerance`."""
    closed = shapely.simplify(shapely.LinearRing(ring), tolerance)
    return np.asarray(shapely.get_coordinates(closed)[:-1])
