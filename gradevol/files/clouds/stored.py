"""Points of a cloud as their file stores them: whole numbers of steps, or numbers as they are.

Whole numbers add up exactly, so that sums of them are the same whatever is added first: by chunks,
by tiles or by machines.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np

from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray, IntArray

Three: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Steps:
    """
    How whole numbers stand for eastings, northings and elevations.

    Attributes
    ----------
    step, offset : (float, float, float)
        A coordinate is its number times the step, plus the offset; in the file's units.
    metres : (float, float, float)
        The file's units.
    """

    step: Three
    offset: Three
    metres: Three

    def place(self, axis: int, numbers: AnyArray) -> FloatArray:
        """Coordinates of whole numbers along an axis, m."""
        return (numbers * self.step[axis] + self.offset[axis]) * self.metres[axis]

    def nearest(self, axis: int, places: FloatArray) -> IntArray:
        """Whole numbers nearest to coordinates along an axis, m."""
        numbers = (places / self.metres[axis] - self.offset[axis]) / self.step[axis]
        return np.rint(numbers).astype(np.int64)

    def shift_to(self, other: "Steps", axis: int) -> int | None:
        """What is added to numbers of these steps for those of others; None if that is no number.

        Tiles of one scan mostly have offsets of their own, a whole number of steps apart.
        """
        if (self.step[axis], self.metres[axis]) != (other.step[axis], other.metres[axis]):
            return None
        apart = (self.offset[axis] - other.offset[axis]) / self.step[axis]
        whole = round(apart)
        return whole if abs(apart - whole) <= 1e-6 and abs(whole) < 2**40 else None


#: Steps of a nanometre, for numbers that are not stored in any, or in too many kinds.
FINE = Steps((2.0**-30,) * 3, (0.0,) * 3, (1.0,) * 3)


@dataclass(frozen=True, slots=True)
class Stored:
    """
    Points as they are stored.

    Attributes
    ----------
    axes : three (n,) arrays
        Eastings, northings, elevations: whole numbers, or m where there are no steps.
    span : (3, 2) array
        Least and greatest along each axis; of no points, noughts.
    """

    axes: tuple[AnyArray, AnyArray, AnyArray]
    steps: Steps | None = None
    span: AnyArray = field(init=False)

    def __post_init__(self) -> None:
        span = [(axis.min(), axis.max()) for axis in self.axes if len(axis)]
        object.__setattr__(self, "span", np.array(span or np.zeros((3, 2), np.int64)))

    def __len__(self) -> int:
        return len(self.axes[0])

    @property
    def nbytes(self) -> int:
        """Memory that they take, bytes."""
        return sum(axis.nbytes for axis in self.axes)

    def unpack(self) -> "Stored":
        """Give themselves: see `Packed`."""
        return self

    def keep(self, which: BoolArray | slice) -> "Stored":
        """Some of the points."""
        east, north, level = self.axes
        return Stored((east[which], north[which], level[which]), self.steps)

    def place(self, axis: int) -> FloatArray:
        """Coordinates along an axis, m."""
        values = self.axes[axis]
        return values if self.steps is None else self.steps.place(axis, values)

    def points(self) -> FloatArray:
        """Eastings, northings and elevations, (n, 3), m."""
        points = np.empty((len(self), 3))
        for axis in range(3):
            points[:, axis] = self.place(axis)
        return points

    def ends(self) -> FloatArray:
        """Lowest and highest coordinates, (2, 3), m; of at least one point."""
        if self.steps is None:
            return self.span.T
        ends = [self.steps.place(axis, self.span[axis]) for axis in range(3)]
        return np.sort(ends, axis=1).T

    def work_out(self, axis: int, how: Callable[[FloatArray], AnyArray]) -> AnyArray:
        """
        Work something out of each coordinate along an axis: once for each that occurs, if few do.

        It is worked out for each whole number between the least and the greatest, and looked up
        for each point, where the points are more than those.

        Parameters
        ----------
        axis : int
        how : callable
            From coordinates, m, to as many values; of each by itself.
        """
        values = self.axes[axis]
        if self.steps is None or len(values) == 0:
            return how(self.place(axis))
        low, high = self.span[axis].tolist()
        if high - low >= len(values):
            return how(self.steps.place(axis, values))
        table = how(self.steps.place(axis, np.arange(low, high + 1)))
        return table.take(values - low, mode="clip")  # no check of each: all lie within

    def count_in(self, steps: Steps) -> "Stored":
        """The same points as whole numbers of some steps: the file's own, or the nearest."""
        if self.steps == steps:
            return self
        east, north, level = (self._count_axis(steps, axis) for axis in range(3))
        return Stored((east, north, level), steps)

    def _count_axis(self, steps: Steps, axis: int) -> IntArray:
        if self.steps is not None:
            shift = self.steps.shift_to(steps, axis)
            if shift is not None:
                return self.axes[axis] + shift
        return self.work_out(axis, lambda places: steps.nearest(axis, places))


def store_points(points: FloatArray) -> Stored:
    """Points (n, 3), m, that no steps are known of."""
    east, north, level = np.ascontiguousarray(points.T)
    return Stored((east, north, level))


@dataclass(frozen=True, slots=True)
class Packed:
    """Stored points in little memory: along each axis the least number, and how far above it."""

    least: tuple[int, int, int]
    above: tuple[AnyArray, AnyArray, AnyArray]
    steps: Steps

    @property
    def nbytes(self) -> int:
        """Memory that they take, bytes."""
        return sum(axis.nbytes for axis in self.above)

    def unpack(self) -> Stored:
        """Give the points as they were."""
        east, north, level = map(lengthen, self.above, self.least)
        return Stored((east, north, level), self.steps)


def pack(stored: Stored) -> Packed | Stored:
    """Put points by; those without steps stay as they are."""
    if stored.steps is None or len(stored) == 0:
        return stored
    least, most = stored.span.T.tolist()
    east, north, level = map(shorten, stored.axes, least, most)
    return Packed((least[0], least[1], least[2]), (east, north, level), stored.steps)


def shorten(numbers: AnyArray, least: int, most: int) -> AnyArray:
    """How far whole numbers (n,) are above the least of them, in as few bytes as hold it."""
    return (numbers - least).astype(np.min_scalar_type(most - least))


def lengthen(above: AnyArray, least: int) -> IntArray:
    """Whole numbers (n,) as they were before `shorten`."""
    return above.astype(np.int64) + least
