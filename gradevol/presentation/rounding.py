"""Rounding: metres to a number in the job's units, once and for all."""

from collections.abc import Iterable
from dataclasses import dataclass

from gradevol._types import FloatArray
from gradevol.units import Units

#: Decimals kept. A micrometre of length and a millilitre of concrete are far below what can be
#: measured; coordinates of millions keep their millimetres.
LENGTH, AREA, VOLUME, SHARE = 6, 4, 6, 6


@dataclass(frozen=True, slots=True)
class Rounding:
    """
    How the numbers of one result are put into its units.

    Attributes
    ----------
    units : Units
    origin : (3,) array of float
        The survey's, m; added back to every place.
    """

    units: Units
    origin: FloatArray

    def length(self, metres: float) -> float:
        """Return a length or an elevation in the unit of length."""
        return _round(self.units.to_length(metres), LENGTH)

    def area(self, square_metres: float) -> float:
        """Return an area in the unit of area."""
        return _round(self.units.to_area(square_metres), AREA)

    def volume(self, cubic_metres: float) -> float:
        """Return a volume in the unit of volume."""
        return _round(self.units.to_volume(cubic_metres), VOLUME)

    def share(self, share: float) -> float:
        """Return a share, 0 to 1."""
        return _round(share, SHARE)

    def place(self, place: Iterable[float]) -> list[float]:
        """Return easting, northing and, where given, elevation in the job's own coordinates."""
        return [
            self.length(float(value + origin))
            for value, origin in zip(place, self.origin, strict=False)
        ]


def _round(value: float, decimals: int) -> float:
    return round(float(value), decimals) + 0.0  # no number reads -0.0
