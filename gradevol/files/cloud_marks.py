"""Points of a cloud about marks: kept as they were read, whether or not they are base."""

from collections.abc import Iterator

import numpy as np

from gradevol.ground.arrays import FloatArray

#: Points this near to a mark are kept, m.
REACH = 0.1


class Keeper:
    """
    Keeps the points about marks while a cloud passes.

    Parameters
    ----------
    marks : (m, 2) array of float
        Easting, northing, m.
    """

    def __init__(self, marks: FloatArray) -> None:
        self._marks = marks
        self._kept: list[FloatArray] = []

    def watch(self, chunks: Iterator[FloatArray]) -> Iterator[FloatArray]:
        """Let chunks pass as they are."""
        for points in chunks:
            is_near = np.zeros(len(points), bool)
            for east, north in self._marks:
                is_near |= np.hypot(points[:, 0] - east, points[:, 1] - north) <= REACH
            self._kept.append(points[is_near])
            yield points

    @property
    def kept(self) -> FloatArray:
        """Points about the marks, (k, 3), m."""
        return np.concatenate([np.empty((0, 3)), *self._kept])
