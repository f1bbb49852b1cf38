"""The units of what is told, as declared data."""

from typing import Annotated, Self

from gradevol.answer.declared import Kind, declared
from gradevol.ground.units import Units


@declared
class UnitsData:
    """The units of all numbers."""

    length: Annotated[str, Kind(enum=("m", "ft", "us-ft")), "`m`, `ft` or `us-ft`."]
    area: Annotated[str, Kind(enum=("m2", "ft2")), "`m2` or `ft2`."]
    volume: Annotated[str, Kind(enum=("m3", "yd3")), "`m3` or `yd3`."]

    @classmethod
    def of(cls, units: Units) -> Self:
        """Compose them."""
        return cls(length=units.length, area=units.area, volume=units.volume)
