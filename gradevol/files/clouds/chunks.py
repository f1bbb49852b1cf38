"""Pieces of a point cloud as its files give them, and what is refused in any of them."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TypeAlias

import numpy as np

from gradevol.files.clouds.stored import Steps, Stored, store_points
from gradevol.files.globe import DEGREES, FARTHEST, SITE, are_degrees
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note

#: West, south, east, north, m.
Bounds: TypeAlias = tuple[float, float, float, float]
#: Ends of no points: lowest and highest easting, northing, elevation.
NOWHERE = np.array([[np.inf] * 3, [-np.inf] * 3])


@dataclass(frozen=True, slots=True)
class Chunk:
    """
    Some points of a file.

    Attributes
    ----------
    stored : Stored
        Those kept.
    count, withheld, outside : int
        Points read; of these flagged as withheld; of a class that is kept but outside the bounds.
    classes : (256,) array of int
        Points of each class that were not withheld.
    ends : (2, 3) array of float
        Lowest and highest coordinates of kept classes, m, whatever the bounds.
    done : float
        Share of the file that has been read.
    """

    stored: Stored
    count: int
    withheld: int
    outside: int
    classes: AnyArray
    ends: FloatArray
    done: float


class CloudFile(Protocol):
    """A file of a cloud, whatever its format."""

    @property
    def path(self) -> Path:
        """The file."""

    @property
    def has_classes(self) -> bool:
        """Whether its points carry LAS classes."""

    @property
    def notes(self) -> tuple[Note, ...]:
        """What opening it showed."""

    @property
    def whole(self) -> int | None:
        """Points that it holds, where fewer may be read."""

    @property
    def extent(self) -> Bounds | None:
        """Ends in plan that it declares, m; None where it says nothing."""

    @property
    def steps(self) -> Steps | None:
        """What its coordinates are whole numbers of; None where of nothing."""

    @property
    def parts(self) -> int:
        """Into how many parts its reading may be shared out."""

    def read(self, is_kept: BoolArray, bounds: Bounds | None) -> Iterator[Callable[[], Chunk]]:
        """Give what reads the points of kept classes within bounds, chunk by chunk.

        Together the calls read all, or one refuses the file.
        """

    def check_ends(self, ends: FloatArray) -> None:
        """Refuse ends (2, 3) of all points, m, that can't be."""


def sift(path: Path, stored: Stored, bounds: Bounds | None) -> tuple[Stored, FloatArray]:
    """Points of a file that lie within bounds, and the ends of all of them, m."""
    if len(stored) == 0:
        return stored, NOWHERE
    ends = stored.ends()
    check_place(path, ends)
    if bounds is None:
        return stored, ends
    west, south, east, north = bounds
    if (ends[0, :2] >= (west, south)).all() and (ends[1, :2] <= (east, north)).all():
        return stored, ends
    is_in = stored.work_out(0, lambda east_of: (east_of >= west) & (east_of <= east))
    is_in = is_in & stored.work_out(1, lambda north_of: (north_of >= south) & (north_of <= north))
    return stored.keep(is_in), ends


def sift_plain(path: Path, points: FloatArray, bounds: Bounds | None, done: float) -> Chunk:
    """Chunk of points (n, 3), m, that carry neither classes nor flags."""
    stored, ends = sift(path, store_points(points), bounds)
    classes = np.bincount([0], weights=[len(points)], minlength=256).astype(np.intp)
    return Chunk(stored, len(points), 0, len(points) - len(stored), classes, ends, done)


def meets(extent: Bounds, bounds: Bounds) -> bool:
    """Whether two rectangles touch."""
    return (
        extent[0] <= bounds[2]
        and extent[2] >= bounds[0]
        and extent[1] <= bounds[3]
        and extent[3] >= bounds[1]
    )


def find_common(one: Bounds, other: Bounds) -> Bounds:
    """What two rectangles that touch have in common."""
    west, south = max(one[0], other[0]), max(one[1], other[1])
    return west, south, min(one[2], other[2]), min(one[3], other[3])


def check_place(path: Path, ends: FloatArray) -> None:
    """Refuse points whose lowest and highest coordinates, (2, 3), m, are none."""
    if not (np.abs(ends) < FARTHEST).all():
        raise InputError(
            "its points reach off the Earth: {} to {}, {} to {}, {} to {}",
            remedy="The scale or offset of its coordinates is wrong: export it again",
            path=path,
        ).measuring(*(Measure(end, Kind.EXACT_LENGTH) for end in ends.T.ravel().tolist()))


def check_degrees(path: Path, low: FloatArray, high: FloatArray) -> None:
    """
    Refuse a file whose ends in plan, (2,), as written, are those of a site in degrees.

    For files that declare no system and are stored finely enough for degrees.
    """
    if are_degrees(low, high, widest=SITE):
        raise InputError(
            f"its coordinates look like degrees: {low[0]:.6f} to {high[0]:.6f} and {low[1]:.6f} "
            f"to {high[1]:.6f}",
            remedy="Export it in the projected or local coordinates of the job",
            path=path,
            code=DEGREES,
        )
