"""What the work costs in all, as declared data: line by line, and by bringing all to grade."""

from typing import Annotated, Literal

from gradevol.answer.declared import Money, Size, Volume, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, round_hours, round_tons
from gradevol.answer.said.fix_costs import tell_regrading, tell_sums


@declared
class FixCostsData:
    """What the lines of work come to."""

    must: Annotated[
        Size | None,
        "To shave what must be put right; absent where a crew has no price.",
    ] = None
    shave: Annotated[
        Size | None,
        "To shave what is beyond its tolerance only; absent where a crew has no price.",
    ] = None
    saved: Annotated[Size, "By filling low places in the cheapest way, against pouring them all."]
    text: Annotated[str, "The same in words; empty where nothing has a price."]


@declared
class RegradingData:
    """All of the slab brought to the design base."""

    concrete: Annotated[Volume, "Saved: fill less cut; negative where it takes more."]
    pour: Annotated[Money, "What that much concrete costs, rounded as other amounts are."]
    fix: Annotated[
        Money | None,
        "What the work costs; absent where crew or material has no price.",
    ] = None
    hours: Annotated[Size, "Of a crew."]
    tons: Annotated[Size, "Material bought: tons of 2,000 lb where lengths are feet, else tonnes."]
    call: Annotated[Literal["fix", "pour"], "`fix` or `pour`; a tie says pour."]
    text: Annotated[str, "The same in a sentence."]


def compose_fix_costs(result: Result) -> FixCostsData | None:
    """Compose what the lines of work come to; None where the job gives no costs."""
    sums = result.work.sums
    if sums is None:
        return None
    return FixCostsData(
        must=sums.must, shave=sums.shave, saved=sums.saved, text=str(tell_sums(result))
    )


def compose_regrading(result: Result, rounding: Rounding) -> RegradingData | None:
    """Compose all of the slab brought to the design base; None where the job gives no costs."""
    whole = result.work.regrade
    if whole is None:
        return None
    return RegradingData(
        concrete=rounding.volume(whole.concrete),
        pour=whole.pour,
        fix=whole.fix,
        hours=round_hours(whole.hours),
        tons=round_tons(whole.weight, result.units),
        call="fix" if whole.is_worth_it else "pour",
        text=str(tell_regrading(result)),
    )
