"""The thickness as declared data."""

from typing import Annotated

from gradevol.answer.declared import Length, Place, Size, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.places import say_place


@declared
class ThicknessData:
    """Top less base over the plan area."""

    mean: Annotated[Length, "Area-weighted."]
    min: Annotated[Length, "Negative where the base stands above the top."]
    max: Annotated[Length, "The greatest."]
    sd: Annotated[
        Size,
        "Standard deviation over the area: how uneven the base is, not how sure the mean.",
    ]
    min_at: Annotated[Place, "Easting, northing of the least."]
    min_where: Annotated[str, "The same by tape."]
    max_at: Annotated[Place, "Easting, northing of the greatest."]
    max_where: Annotated[str, "The same by tape."]


def compose_thickness(result: Result, rounding: Rounding) -> ThicknessData:
    """Compose the thickness."""
    moments = result.thickness
    return ThicknessData(
        mean=rounding.length(moments.mean),
        min=rounding.length(moments.min),
        max=rounding.length(moments.max),
        sd=rounding.length(moments.sd),
        min_at=rounding.place(moments.min_at),
        min_where=say_place(moments.min_at, result.slab, result.units),
        max_at=rounding.place(moments.max_at),
        max_where=say_place(moments.max_at, result.slab, result.units),
    )
