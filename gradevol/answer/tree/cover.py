"""Cover over what is cast in, as declared data."""

from typing import Annotated

from gradevol.answer.declared import Length, Place, Size, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known
from gradevol.answer.said.places import say_place


@declared
class CoverData:
    """Concrete over one void that has a line."""

    name: Annotated[str, "From the job."]
    least: Annotated[Length, "Least cover within the slab."]
    at: Annotated[Place, "Easting, northing of it."]
    where: Annotated[str, "The same by tape."]
    length: Annotated[Size, "Length of the item within the slab."]
    required: Annotated[Length | None, "What must stand over it; absent where none is stated."] = (
        None
    )
    short: Annotated[Size | None, "Length on which the cover is less than that."] = None


def compose_cover(result: Result, rounding: Rounding) -> list[CoverData]:
    """Compose the concrete over each void that has a line."""
    return [
        CoverData(
            name=cover.name,
            least=rounding.length(cover.least),
            at=rounding.place(cover.at),
            where=say_place(cover.at, result.slab, result.units),
            length=rounding.length(cover.length),
            required=if_known(rounding.length, cover.required),
            short=None if cover.required is None else rounding.length(cover.short),
        )
        for cover in result.cover
    ]
