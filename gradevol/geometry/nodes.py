"""
Pieces that share their corners: what stands at a corner is held once.

Rows of places are taken by `take`, which is several times quicker there than an index.
"""

import numpy as np

from gradevol.ground.arrays import FloatArray, IntArray, RowArray


class OnNodes:
    """
    Plan triangles with values at their corners, held at nodes that pieces share.

    Attributes
    ----------
    places : (n, 2) array of float
        Easting, northing of the nodes, m.
    thickness_at, base_at : (n,) array of float
        Thickness of the concrete, and elevation of the base, at the nodes, m.
    rows : (k, 3) array of int
        The nodes at each piece's corners, counter-clockwise.
    """

    __slots__ = ()
    places: FloatArray
    thickness_at: FloatArray
    base_at: FloatArray
    rows: RowArray

    @property
    def corners(self) -> FloatArray:
        """Easting, northing at the corners of each piece, (k, 3, 2), m; made anew at each call."""
        return self.places.take(self.rows, axis=0)

    @property
    def thickness(self) -> FloatArray:
        """Thickness at the corners of each piece, (k, 3), m; made anew at each call."""
        return self.thickness_at[self.rows]

    @property
    def base(self) -> FloatArray:
        """Elevation of the base at the corners of each piece, (k, 3), m; made anew at each call."""
        return self.base_at[self.rows]

    @property
    def mid_thickness(self) -> FloatArray:
        """Thickness in the middle of each piece, (k,), m."""
        return _mean(self.thickness_at, self.rows)

    @property
    def mid_base(self) -> FloatArray:
        """Elevation of the base in the middle of each piece, (k,), m."""
        return _mean(self.base_at, self.rows)


def _mean(value: FloatArray, rows: RowArray) -> FloatArray:
    """Mean of what stands at three nodes: numpy reduces a short axis slowly."""
    mean = value.take(rows[:, 0])
    mean += value.take(rows[:, 1])
    mean += value.take(rows[:, 2])
    mean /= 3
    return mean


def number_used(rows: IntArray, count: int) -> tuple[IntArray, RowArray]:
    """Which of `count` nodes are in any of the rows, in order, and what number each has there."""
    is_used = np.zeros(count, bool)
    is_used[rows] = True
    used = np.flatnonzero(is_used)
    number = np.empty(count, np.int32)  # of the others it means nothing
    number[used] = np.arange(len(used))
    return used, number
