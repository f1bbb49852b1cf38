"""The slab as declared data."""

from typing import Annotated

from gradevol.answer.declared import Length, Positive, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known


@declared
class SlabData:
    """The slab as drawn."""

    area: Annotated[Positive, "Plan area without openings."]
    nominal_volume: Annotated[Positive, "`slab.area` times `slab.thickness`."]
    thickness: Annotated[Positive, "Design thickness."]
    least_thickness: Annotated[Positive, "Below it concrete is a thin spot."]
    base_high: Annotated[
        Length | None, "Grading tolerance above the design base; absent where none is stated."
    ] = None
    base_low: Annotated[Length | None, "The same below it."] = None


def compose_slab(result: Result, rounding: Rounding) -> SlabData:
    """Compose the slab as drawn."""
    return SlabData(
        area=rounding.area(result.slab.area),
        nominal_volume=rounding.volume(result.concrete.nominal),
        thickness=rounding.length(result.slab.thickness),
        least_thickness=rounding.length(result.slab.least_thickness),
        base_high=if_known(rounding.length, result.slab.base_high),
        base_low=if_known(rounding.length, result.slab.base_low),
    )
