"""The fix list as declared data: a line of work for each place."""

from typing import Annotated

from gradevol.answer.declared import (
    Count,
    HalfBearing,
    Kind,
    Length,
    Money,
    Names,
    Number,
    Size,
    declared,
)
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, round_hours, round_tons
from gradevol.answer.said.fix_costs import price_of
from gradevol.answer.said.fixes import say_do, say_worst_place, tell_fix
from gradevol.plan.fixes.fix import Call, Fix, FixKind, Reason
from gradevol.plan.fixes.pricing import CutPrice, Way


@declared
class CostData:
    """What one line of work costs."""

    hours: Annotated[Size, "Of a crew, in the way that is chosen."]
    fix: Annotated[Money | None, "To shave it; absent where a crew has no price."] = None
    concrete: Annotated[Size | None, "Of what is shaved: the concrete that takes its place."] = None
    pour: Annotated[Money | None, "Left as it is and paid in concrete."] = None
    cuttings: Annotated[
        Money | None,
        "Filled as far as the cuttings brought to it reach, the rest paid in concrete.",
    ] = None
    both: Annotated[Money | None, "Filled: cuttings first, bought stone for the rest."] = None
    imported: Annotated[Money | None, "Filled with bought stone alone."] = None
    way: Annotated[
        Way | None,
        "The cheapest: `pour`, `cuttings`, `both` or `imported`; a tie says pour.",
    ] = None
    tons: Annotated[
        Size | None,
        "Material bought in that way: tons of 2,000 lb where lengths are feet, else tonnes.",
    ] = None


@declared
class FixData:
    """One line of work."""

    rank: Annotated[Number, "Its place in the fix list, counted from 1."]
    kind: Annotated[
        FixKind,
        "`thin`, `high`, `low`, or `cover`. A high place that holds a thin spot is thin; `cover`: "
        "something cast in lacks cover where the base keeps its tolerance.",
    ]
    reasons: Annotated[
        list[Reason],
        Kind(min_items=1),
        "`thin`; `near-thin`: not thicker than the least thickness by more than two standard "
        "deviations of a shot; `cover`; `high`, `low`: beyond the grading tolerance.",
    ]
    must: Annotated[
        bool,
        "Whether it must be put right before the pour: concrete can't make it good.",
    ]
    call: Annotated[
        Call,
        "`fix`; `pour`: cheaper in concrete; `either`: no costs to tell by; `leave`: below what a "
        "grader can tell; `reshoot`: it rests on suspect shots alone.",
    ]
    do: Annotated[str, "What is done, in a few words."]
    worst: Annotated[Size, "Cut or fill at the worst place; of cover, what lacks."]
    mean: Annotated[Size, "Mean cut or fill within the outline."]
    thickness: Annotated[
        Length,
        "Of the concrete at the worst place, as the base lies; of cover, over the item.",
    ]
    area: Annotated[Size, "Plan area; 0 for cover."]
    length: Annotated[Size, "Of the smallest rectangle around it."]
    width: Annotated[Size, "Of the smallest rectangle around it."]
    bearing: Annotated[HalfBearing, "Direction of its length, degrees clockwise from north."]
    volume: Annotated[Size, "To cut, or to fill, to the design base, bank measure."]
    loose_volume: Annotated[Size, "The same, loose."]
    at: Annotated[
        list[float],
        Kind(min_items=2, max_items=3),
        "The worst place: easting, northing, and elevation of the base; for cover without it.",
    ]
    where: Annotated[str, "The worst place in words that a crew can tape."]
    shots: Annotated[list[str], "Ids of the shots that say so."]
    is_shot: Annotated[bool, "Whether those lie within it; false: they are the nearest."]
    reshoot: Annotated[Names | None, "Suspect shots to take again first."] = None
    cover: Annotated[Names | None, "Items cast in that lack cover there."] = None
    cost: Annotated[
        CostData | None,
        "What it costs; absent where the job gives no costs, or nothing is done. Amounts are "
        "estimates, rounded to 10, those under 100 to a whole.",
    ] = None
    text: Annotated[str, "All of it in a sentence."]


@declared
class UnlistedData:
    """Places worth work beside those that are listed."""

    count: Annotated[Number, "How many."]
    must: Annotated[Count, "How many of them must be put right before the pour."]


def compose_fixes(result: Result, rounding: Rounding) -> list[FixData]:
    """Compose the lines of work."""
    return [_compose_fix(fix, result, rounding) for fix in result.work.fixes]


def compose_unlisted(result: Result) -> UnlistedData | None:
    """Compose how many places are worth work beside those; None where there are none."""
    work = result.work
    return UnlistedData(count=work.more, must=work.more_must) if work.more else None


def _compose_fix(fix: Fix, result: Result, rounding: Rounding) -> FixData:
    return FixData(
        rank=fix.rank,
        kind=fix.kind,
        reasons=list(fix.reasons),
        must=fix.is_must,
        call=fix.call,
        do=say_do(fix, result),
        worst=rounding.length(fix.worst),
        mean=rounding.length(fix.mean),
        thickness=rounding.length(fix.thickness),
        area=rounding.area(fix.area),
        length=rounding.length(fix.length),
        width=rounding.length(fix.width),
        bearing=round(fix.bearing, 1) % 180,
        volume=rounding.volume(fix.volume),
        loose_volume=rounding.volume(fix.volume * result.work.loose),
        at=rounding.place(fix.at[:2] if fix.kind == "cover" else fix.at),
        where=say_worst_place(fix, result),
        shots=[result.survey.name(index) for index in fix.shots],
        is_shot=fix.is_shot,
        reshoot=[result.survey.name(index) for index in fix.suspects] or None,
        cover=list(fix.covers) or None,
        cost=_compose_cost(fix, result),
        text=str(tell_fix(fix, result).full),
    )


def _compose_cost(fix: Fix, result: Result) -> CostData | None:
    price = price_of(fix, result)
    if price is None:
        return None
    hours = round_hours(price.hours)
    if isinstance(price, CutPrice):
        return CostData(hours=hours, fix=price.fix, concrete=price.concrete)
    return CostData(
        hours=hours,
        pour=price.pour,
        cuttings=price.cuttings,
        both=price.both,
        imported=price.imported,
        way=price.way,
        tons=round_tons(price.weight, result.units),
    )
