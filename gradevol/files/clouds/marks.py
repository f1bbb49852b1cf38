"""Points of a cloud about marks: kept as they were read, whether or not they are base."""

from dataclasses import dataclass, field

import numpy as np

from gradevol.files.clouds.stored import Stored
from gradevol.ground.arrays import BoolArray, FloatArray

#: Points this near to a mark are kept, m.
REACH = 0.1


@dataclass
class Keeper:
    """
    Keeps the points about marks while a cloud passes.

    Attributes
    ----------
    marks : (m, 2) array of float
        Easting, northing, m.
    """

    marks: FloatArray
    _kept: dict[tuple[int, ...], FloatArray] = field(default_factory=dict)

    def watch(self, stored: Stored, place: tuple[int, ...]) -> None:
        """Keep what is near a mark; `place` orders points among others."""
        is_near = stored.work_out(0, lambda east: self._reach(east, 0))
        is_near = is_near & stored.work_out(1, lambda north: self._reach(north, 1))
        points = stored.keep(is_near).points()
        apart = points[:, None, :2] - self.marks
        points = points[(np.hypot(apart[..., 0], apart[..., 1]) <= REACH).any(axis=1)]
        if len(points):
            self._kept[place] = points

    def merge(self, other: "Keeper") -> None:
        """Take in what was kept elsewhere."""
        self._kept |= other._kept

    def _reach(self, places: FloatArray, axis: int) -> BoolArray:
        """Whether coordinates are about as near as that to those of a mark."""
        is_near = np.zeros(len(places), bool)
        for middle in self.marks[:, axis]:
            is_near |= np.abs(places - middle) <= REACH * (1 + 1e-6)
        return is_near

    @property
    def kept(self) -> FloatArray:
        """Points about the marks, (k, 3), m."""
        parts = [self._kept[place] for place in sorted(self._kept)]
        return np.concatenate([np.empty((0, 3)), *parts])
