"""Material as declared data: what the work takes and gives, and what goes where."""

from typing import Annotated

from gradevol.answer.declared import Kind, Number, Size, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.fixes import say_worst_place
from gradevol.plan.fixes.hauling import Haul


@declared
class HaulData:
    """Cuttings moved to one low place."""

    from_: Annotated[Number, "Rank of the row that gives."]
    to: Annotated[Number, "Rank of the row that takes."]
    volume: Annotated[Size, "Cut for it, bank measure."]
    loose_volume: Annotated[Size, "The same, loose."]
    filled: Annotated[Size, "What it fills, compacted."]
    distance: Annotated[Size, "From centre to centre."]
    from_where: Annotated[str, "The worst place of the one, by tape."]
    to_where: Annotated[str, "The worst place of the other."]


@declared
class MaterialData:
    """What the work takes and gives, bank measure."""

    cut: Annotated[Size, "Cut in all."]
    fill: Annotated[Size, "Room in the low places."]
    moved: Annotated[Size, "Cuttings that fill low places."]
    left_over: Annotated[Size, "`cut` less `moved`: spread or taken away."]
    wanting: Annotated[Size, "`fill` less `moved`: bought, or paid in concrete."]
    loose: Annotated[float, Kind(minimum=1), "Loose volume in one volume of bank measure."]


def compose_hauls(result: Result, rounding: Rounding) -> list[HaulData]:
    """Compose which cuttings fill which low place."""
    return [_compose_haul(haul, result, rounding) for haul in result.work.hauls]


def _compose_haul(haul: Haul, result: Result, rounding: Rounding) -> HaulData:
    source, target = (result.work.fixes[rank - 1] for rank in (haul.source, haul.target))
    volume = rounding.volume(haul.volume)
    return HaulData(
        from_=haul.source,
        to=haul.target,
        volume=volume,
        loose_volume=rounding.volume(haul.volume * result.work.loose),
        filled=volume,
        distance=rounding.length(haul.distance),
        from_where=say_worst_place(source, result),
        to_where=say_worst_place(target, result),
    )


def compose_material(result: Result, rounding: Rounding) -> MaterialData:
    """Compose what the work takes and gives."""
    work = result.work
    return MaterialData(
        cut=rounding.volume(work.cut),
        fill=rounding.volume(work.fill),
        moved=rounding.volume(sum(haul.volume for haul in work.hauls)),
        left_over=rounding.volume(work.left_over),
        wanting=rounding.volume(work.wanting),
        loose=round(work.loose, 3),
    )
