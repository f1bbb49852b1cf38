"""The pours as declared data: parts of the slab, and small ones elsewhere."""

from typing import Annotated, Any, Literal

from gradevol.answer.declared import Number, Size, Volume, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known
from gradevol.answer.said.suspects import say_first
from gradevol.answer.tree.concrete import PartData
from gradevol.answer.tree.order import OrderData, compose_order
from gradevol.measures.concrete import Concrete


@declared
class PourData:
    """A part of the slab that is poured on its own, or a small pour elsewhere."""

    name: Annotated[str, "From the job; `rest of the slab` for what the parts leave."]
    kind: Annotated[Literal["part", "small"], "`part` or `small`."]
    area: Annotated[Size | None, "Plan area of a part."] = None
    volume: Annotated[
        Volume,
        "Of a part: concrete in place, the parts add up to `concrete.volume`. Of a small pour: of "
        "each.",
    ]
    nominal_volume: Annotated[
        Size | None, "Of a part, like all up to `parts`: its area times the design thickness."
    ] = None
    slab: Annotated[Size | None, "As `concrete.slab`."] = None
    over_nominal: Annotated[Volume | None, "`slab` less `nominal_volume`."] = None
    thickenings: Annotated[Size | None, "As `concrete.thickenings`."] = None
    voids: Annotated[Volume | None, "As `concrete.voids`."] = None
    beyond_survey: Annotated[Size | None, "As `concrete.beyond_survey`."] = None
    parts: Annotated[
        list[PartData] | None, "Each thickening and void that lies in it, as `concrete.parts`."
    ] = None
    volume_without_suspects: Annotated[
        Volume | None, "`volume` of a part without the suspect shots; absent as that of the survey."
    ] = None
    count: Annotated[Number | None, "How many of a small pour there are."] = None
    partial: Annotated[bool | None, "Whether a small pour can stop part-way."] = None
    order: Annotated[
        OrderData | None, "What to order for a part: keys as of [the order](#the-order)."
    ] = None


def _compose_parts(concrete: Concrete, rounding: Rounding) -> dict[str, Any]:
    volumes = {
        "nominal_volume": concrete.nominal,
        "slab": concrete.slab,
        "over_nominal": concrete.over_nominal,
        "thickenings": concrete.thickenings,
        "voids": concrete.voids,
        "beyond_survey": concrete.beyond_survey,
    }
    return {
        **{key: rounding.volume(volume) for key, volume in volumes.items()},
        "parts": [
            PartData(name=name, volume=rounding.volume(volume))
            for name, volume in concrete.parts
            if volume
        ],
    }


def compose_pours(result: Result, rounding: Rounding) -> list[PourData]:
    """Compose the parts of the slab that are poured on their own, then the small pours."""
    delivery = result.delivery
    orders = delivery.part_orders or (None,) * len(delivery.parts)
    parts = [
        PourData(
            name=part.name,
            kind="part",
            area=rounding.area(part.area),
            volume=rounding.volume(part.concrete.volume),
            **_compose_parts(part.concrete, rounding),
            volume_without_suspects=if_known(rounding.volume, part.volume_without),
            order=(
                compose_order(
                    *(order, rounding),
                    title=result.title,
                    part=part.name,
                    first=say_first(result, part),
                )
                if order
                else None
            ),
        )
        for part, order in zip(delivery.parts, orders, strict=True)
    ]
    small = [
        PourData(
            name=pour.name,
            kind="small",
            volume=rounding.volume(pour.volume),
            count=pour.count,
            partial=pour.is_partial,
        )
        for pour in delivery.small_pours
    ]
    return parts + small
