"""The room that is left for words on a sheet."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
import shapely

from gradevol.ground.arrays import AnyArray, BoolArray, FloatArray

#: Side of a square, in.
_GRAIN = 0.02


@dataclass(frozen=True, slots=True)
class Room:
    """
    A sheet in small squares.

    Attributes
    ----------
    taken : (rows, columns) array of bool
        Squares where no word may stand any more.
    words, names : list of shapely.Polygon
        Where words stand that room was found for, and names at the end of a line.
    """

    taken: BoolArray = field(repr=False)
    words: list[shapely.Geometry] = field(default_factory=list, repr=False)
    names: list[shapely.Geometry] = field(default_factory=list, repr=False)

    @classmethod
    def over(cls, width: float, height: float) -> "Room":
        """Return the room of an empty sheet, in."""
        return cls(np.zeros((int(height / _GRAIN) + 1, int(width / _GRAIN) + 1), bool))

    def _squares(
        self, x: float, y: float, wide: float, high: float, angle: float
    ) -> tuple[AnyArray, AnyArray, bool]:
        """Squares under a turned rectangle about its middle, and whether all are on the sheet."""
        if angle == 0.0:
            return self._upright(x, y, wide, high)
        across = np.linspace(-wide / 2, wide / 2, max(2, int(np.ceil(wide / _GRAIN)) + 1))
        up = np.linspace(-high / 2, high / 2, max(2, int(np.ceil(high / _GRAIN)) + 1))
        a, b = np.meshgrid(across, up)
        turn = np.radians(angle)
        column = ((x + a * np.cos(turn) - b * np.sin(turn)) / _GRAIN).astype(int).ravel()
        row = ((y + a * np.sin(turn) + b * np.cos(turn)) / _GRAIN).astype(int).ravel()
        rows, columns = self.taken.shape
        is_on = (column >= 0) & (column < columns) & (row >= 0) & (row < rows)
        return row[is_on], column[is_on], bool(is_on.all())

    def _upright(
        self, x: float, y: float, wide: float, high: float
    ) -> tuple[AnyArray, AnyArray, bool]:
        """The same of an upright one, as rows (r, 1) and columns: many are asked for."""
        held, is_on = [], True
        for middle, size, count in zip((y, x), (high, wide), self.taken.shape, strict=True):
            first, last = int((middle - size / 2) / _GRAIN), int((middle + size / 2) / _GRAIN)
            is_on &= first >= 0 and last < count
            held.append(np.arange(max(first, 0), min(last, count - 1) + 1))
        return held[0][:, None], held[1], is_on

    def is_free(self, x: float, y: float, wide: float, high: float, angle: float = 0.0) -> bool:
        """Whether a turned rectangle about (x, y) holds nothing yet, in and degrees."""
        row, column, is_on = self._squares(x, y, wide, high, angle)
        return is_on and not bool(self.taken[row, column].any())

    def take(self, x: float, y: float, wide: float, high: float, angle: float = 0.0) -> None:
        """Keep words off a turned rectangle about (x, y), in and degrees."""
        row, column, _ = self._squares(x, y, wide, high, angle)
        self.taken[row, column] = True

    def find(
        self,
        places: Sequence[tuple[float, float, float]],
        wide: float,
        high: float,
        *,
        is_name: bool = False,
    ) -> tuple[float, float, float] | None:
        """Take the first of the places (x, y, in, and an angle) with room; None where none has."""
        for x, y, angle in places:
            if self.is_free(x, y, wide, high, angle):
                self.take(x, y, wide, high, angle)
                across, up = np.array([wide, 0.0]) / 2, np.array([0.0, high]) / 2
                turn = np.radians(angle)
                way = np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
                corners = np.array([-across - up, across - up, across + up, up - across])
                (self.names if is_name else self.words).append(
                    shapely.Polygon(corners @ way + (x, y))
                )
                return x, y, angle
        return None

    def is_clear(self, path: FloatArray, *, of_names: bool = True) -> bool:
        """Whether a line (n, 2), in, crosses no words, nor, where asked, names."""
        held = self.words + (self.names if of_names else [])
        return not shapely.intersects(shapely.LineString(path), held).any()

    def take_line(self, path: AnyArray) -> None:
        """Keep words off a line, in."""
        for start, end in pairwise(path):
            count = max(2, int(np.hypot(*(end - start)) / _GRAIN * 1.5))
            steps = start + np.linspace(0, 1, count)[:, None] * (end - start)
            column = np.clip((steps[:, 0] / _GRAIN).astype(int), 0, self.taken.shape[1] - 1)
            row = np.clip((steps[:, 1] / _GRAIN).astype(int), 0, self.taken.shape[0] - 1)
            self.taken[row, column] = True
