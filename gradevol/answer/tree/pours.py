"""The pours as declared data: parts of the slab, and small ones elsewhere."""

from dataclasses import dataclass
from typing import Annotated, Literal

from gradevol.answer.declared import Number, Size, Volume
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.tree.order import OrderData, compose_order


@dataclass(frozen=True, slots=True, kw_only=True)
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
    count: Annotated[Number | None, "How many of a small pour there are."] = None
    partial: Annotated[bool | None, "Whether a small pour can stop part-way."] = None
    order: Annotated[
        OrderData | None, "What to order for a part: keys as of [the order](#the-order)."
    ] = None


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
            order=compose_order(order, rounding, title=part.name) if order else None,
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
