"""Rounding: metres to a number in the job's units, once and for all."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import Units, digits_of
from gradevol.job.terms import SHORT_TON, TONNE

#: Decimals kept. A micrometre of length and a millilitre of concrete are far below what can be
#: measured; coordinates of millions keep their millimetres.
LENGTH, AREA, VOLUME, SHARE = 6, 4, 6, 6
#: Of money; of a crew's hours and of tons, which are estimates.
COINS, _HOURS, _TONS = 2, 1, 2


@dataclass(frozen=True, slots=True)
class Rounding:
    """
    How the numbers of one result are put into its units.

    Attributes
    ----------
    origin : (3,) array of float
        The survey's, m; added back to every place.
    """

    units: Units
    origin: FloatArray

    def length(self, metres: float) -> float:
        """Return a length or an elevation in the unit of length."""
        return round_to(self.units.to_length(metres), LENGTH)

    def area(self, square_metres: float) -> float:
        """Return an area in the unit of area."""
        return round_to(self.units.to_area(square_metres), AREA)

    def volume(self, cubic_metres: float) -> float:
        """Return a volume in the unit of volume."""
        return round_to(self.units.to_volume(cubic_metres), VOLUME)

    def share(self, share: float) -> float:
        """Return a share, 0 to 1."""
        return round_to(share, SHARE)

    def place(self, place: Iterable[float]) -> list[float]:
        """Return easting, northing and, where given, elevation in the job's own coordinates."""
        return [
            self.length(float(value + origin))
            for value, origin in zip(place, self.origin, strict=False)
        ]


def balance(total: float, parts: Sequence[float], decimals: int) -> list[float]:
    """
    Round a total and its parts so that they add up still.

    Returns
    -------
    list of float
        The total, then its parts: the last of them takes what rounding leaves.
    """
    whole, *kept = (round_to(value, decimals) for value in (total, *parts[:-1]))
    return [whole, *kept, round_to(whole - sum(kept), decimals)]


def say_outwards(low: float, high: float, decimals: int = 1) -> tuple[str, str]:
    """Say between what a figure lies, its ends rounded outwards."""
    scale = 10**decimals
    down = math.floor(low * scale + 1e-6) / scale
    up = math.ceil(high * scale - 1e-6) / scale
    return f"{down:z.{decimals}f}", f"{up:z.{decimals}f}"


def bear_digits(half: float, value: float) -> int:
    """
    Decimals that a figure bears whose interval is `half` to both sides of it: two at most.

    The last digit stands for no more than a fifth of that half, and for more than a fiftieth; a
    figure of 10 or more is told to the tenth at most.
    """
    return max(0, min(digits_of(value), -math.floor(math.log10(max(half / 5, 1e-9)) + 1e-9)))


def bear_need(half: float, value: float, step: int) -> int:
    """Decimals of what is needed: as its interval bears, of a large one no more than a step's."""
    borne = bear_digits(half, value)
    return min(borne, step) if abs(value) >= 10 else borne


def round_to(value: float, decimals: int) -> float:
    """Return a number with so many decimals."""
    return round(float(value), decimals) + 0.0  # no number reads -0.0


def round_hours(hours: float) -> float:
    """Round hours of a crew."""
    return round(hours, _HOURS)


def round_tons(weight: float, units: Units) -> float:
    """Put a weight, kg, into tons of 2,000 lb where lengths are feet, else into tonnes."""
    return round(weight / (TONNE if units.is_metric else SHORT_TON), _TONS)


def if_known(put: Callable[[float], float], value: float | None) -> float | None:
    """Return `put` of a number, such as `Rounding.length`; None where there is none."""
    return None if value is None else put(value)
