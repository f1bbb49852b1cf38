"""Pieces of a point cloud as its files give them, and what is refused in any of them."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TypeAlias

import numpy as np

from gradevol.files.globe import DEGREES, FARTHEST, SITE, are_degrees
from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note

#: West, south, east, north, m.
Bounds: TypeAlias = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Chunk:
    """
    Some points of a file.

    Attributes
    ----------
    points : (n, 3) array of float
        Those kept: easting, northing, elevation, m.
    count, withheld, outside : int
        Points read; of these flagged as withheld; of a class that is kept but outside the bounds.
    classes : (256,) array of int
        Points of each class that were not withheld.
    done : float
        Share of the file that has been read.
    """

    points: FloatArray
    count: int
    withheld: int
    outside: int
    classes: AnyArray
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

    def read(self, is_kept: BoolArray, bounds: Bounds | None) -> Iterator[Chunk]:
        """Read the points of kept classes within bounds; all, or it is refused."""


def sift_plain(path: Path, points: FloatArray, bounds: Bounds | None, done: float) -> Chunk:
    """Chunk of points (n, 3), m, that carry neither classes nor flags."""
    if len(points):
        check_place(path, np.array([points.min(axis=0), points.max(axis=0)]))
    is_in = find_within(points, bounds)
    outside = len(points) - int(is_in.sum())
    classes = np.bincount([0], weights=[len(points)], minlength=256).astype(np.intp)
    return Chunk(points[is_in] if outside else points, len(points), 0, outside, classes, done)


def find_within(points: FloatArray, bounds: Bounds | None) -> BoolArray:
    """Whether each point lies within bounds in plan."""
    if bounds is None:
        return np.ones(len(points), bool)
    east, north = points[:, 0], points[:, 1]
    west, south, most_east, most_north = bounds
    is_in: BoolArray = (east >= west) & (east <= most_east) & (north >= south)
    return is_in & (north <= most_north)


def meets(extent: Bounds, bounds: Bounds) -> bool:
    """Whether two rectangles touch."""
    return (
        extent[0] <= bounds[2]
        and extent[2] >= bounds[0]
        and extent[1] <= bounds[3]
        and extent[3] >= bounds[1]
    )


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
