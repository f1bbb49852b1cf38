"""Files of a cloud where several show the same ground: whether they stand at one level there."""

from dataclasses import dataclass, field
from functools import partial
from itertools import combinations

import numpy as np

from gradevol.files.clouds.chunks import Bounds, CloudFile, find_common, meets
from gradevol.files.clouds.stored import Stored
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note, escape

#: Side of a square in which files are held against one another, m, and squares at most.
_SIDE, _MOST_SQUARES = 0.5, 40_000
#: Points that each must have in a square, and squares that tell something.
_POINTS, _SQUARES = 5, 8
#: Their middles may lie so far apart in a square, as a share of its side: where a square is cut by
#: the end of a file, these lie half a side apart, and a sloping base stands at two levels there.
_MIDDLES = 0.25
#: Files farther apart than this do not fit, m: twice what a scan's registration is usually off by
#: (common practice, no source).
_APART = 0.008
#: Standard errors of the median by which that is told from scatter, and what one is of the middle
#: difference from it: of a normal distribution.
_SURE, _OF_MIDDLE = 3.0, 1.86
#: More files than this are tiles, which show each ground once.
_MOST_FILES = 40
#: Places and levels are added up in these steps, m, so that their sums are exact, whatever comes
#: first.
_STEP = 1e-4


def watch_overlap(files: list[CloudFile], bounds: Bounds | None) -> "Overlap | None":
    """Watch what files show of the same ground within bounds; None where none can, as of tiles."""
    if bounds is None or not 1 < len(files) <= _MOST_FILES:
        return None
    west, south, east, north = bounds
    side = max(_SIDE, float(np.sqrt((east - west) * (north - south) / _MOST_SQUARES)))
    least = _SQUARES * side**2
    if all(_share(one, other) < least for one, other in combinations(files, 2)):
        return None
    shape = int((east - west) // side) + 1, int((north - south) // side) + 1
    return Overlap((west, south), side, shape)


def _share(one: CloudFile, other: CloudFile) -> float:
    """Area that two files have in common, m², by the ends that they declare."""
    if one.extent is None or other.extent is None:
        return np.inf
    if not meets(one.extent, other.extent):
        return 0.0
    west, south, east, north = find_common(one.extent, other.extent)
    return (east - west) * (north - south)


@dataclass
class Overlap:
    """
    What each file shows, square by square.

    Attributes
    ----------
    corner : (float, float)
        The least easting and northing, m.
    side : float
        Of a square, m.
    shape : (int, int)
        Squares to the east, and to the north.
    """

    corner: tuple[float, float]
    side: float
    shape: tuple[int, int]
    _held: dict[int, FloatArray] = field(default_factory=dict)

    def watch(self, stored: Stored, number: int) -> None:
        """Count some points of a file, by its number, and add up their places in steps."""
        column, row = (stored.work_out(axis, partial(self._number, axis=axis)) for axis in (0, 1))
        square = column * self.shape[1] + row
        size = self.shape[0] * self.shape[1]
        steps = (stored.work_out(axis, partial(self._step, axis=axis)) for axis in range(3))
        sums = (np.bincount(square, step, minlength=size) for step in steps)
        self._add(number, np.array([np.bincount(square, minlength=size), *sums], np.float64))

    def merge(self, other: "Overlap") -> None:
        """Take in what was watched elsewhere."""
        for number, found in other._held.items():
            self._add(number, found)

    def tell(self, names: list[str]) -> list[Note]:
        """Tell of the two files, of all by their names, that stand farthest apart; if any do."""
        worst = 0.0, 0.0, (0, 0)
        for one, other in combinations(sorted(self._held), 2):
            held = np.array([self._held[one], self._held[other]])
            held = held[..., (held[:, 0] >= _POINTS).all(axis=0)]
            apart = np.diff(held[:, 1:] / held[:, :1], axis=0)[0] * _STEP
            apart = apart[2, np.hypot(*apart[:2]) <= _MIDDLES * self.side]
            if len(apart) < _SQUARES:
                continue
            middle = float(np.median(apart))
            error = _OF_MIDDLE * float(np.median(np.abs(apart - middle))) / np.sqrt(len(apart))
            if abs(middle) > max(_APART, _SURE * error, abs(worst[0])):
                worst = middle, len(apart) * self.side**2, (one, other)
        by, area, (one, other) = worst
        if by == 0:
            return []
        low, high = (names[at] for at in ((one, other) if by > 0 else (other, one)))
        text = (
            f"{escape(high)} stands {{}} above {escape(low)} where both show the same ground, "
            "{}: they are not at one level, and half of that goes into the volume there. Register "
            "the scans anew, or take the file that three marks show to be right (base.control)."
        )
        return [Note("scans-apart", text, (Measure(abs(by), Kind.LEVEL), Measure(area, Kind.AREA)))]

    def _add(self, number: int, found: FloatArray) -> None:
        self._held[number] = self._held[number] + found if number in self._held else found

    def _step(self, places: FloatArray, axis: int) -> FloatArray:
        return np.rint((places - (*self.corner, 0.0)[axis]) / _STEP)

    def _number(self, places: FloatArray, axis: int) -> IntArray:
        number = ((places - self.corner[axis]) // self.side).astype(np.intp)
        return np.clip(number, 0, self.shape[axis] - 1)
