"""What an order must cover, as declared data: line by line, and how sure the sum is."""

from typing import Annotated

from gradevol.answer.declared import Kind, Share, Size, Volume, declared
from gradevol.answer.rounding import Rounding, if_known
from gradevol.plan.order.need import Need


@declared
class LineData:
    """One line of what is needed."""

    kind: Annotated[
        str,
        Kind(
            enum=(
                *("slab", "part", "waste", "settlement", "yield_short", "learned"),
                *("pump line", "pump hopper"),
            )
        ),
        "`slab`, `part`, `waste`, `settlement`, `yield_short`, `learned` (what earlier jobs took "
        "beyond these three), `pump line` or `pump hopper`.",
    ]
    name: Annotated[str, "What it is called."]
    volume: Annotated[Volume, "Negative where it displaces concrete."]
    share: Annotated[Share | None, "Of an allowance: its share of the volume in place."] = None


@declared
class NeedData:
    """What is needed."""

    volume: Annotated[Volume, "The lines together."]
    in_place: Annotated[Volume, "`concrete.volume`, or that of the part."]
    lines: Annotated[
        list[LineData],
        "The slab, each thickening and void, each allowance, what stays in a pump.",
    ]
    allowance_sd: Annotated[Size, "One standard deviation of the allowances together."]
    survey_sd: Annotated[
        Size | None,
        "One standard deviation of the volume in place, from `concrete.interval`; absent where "
        "that is not known, as are the next five.",
    ] = None
    sd: Annotated[Size | None, "Of both together."] = None
    level: Annotated[
        Share | None,
        "Chance that the need lies between low and high: the job's `interval`.",
    ] = None
    middle: Annotated[
        Volume | None,
        "Middle of the need's distribution: `order.need.volume`, and by how much the middle of the "
        "volume's lies off the one stated.",
    ] = None
    low: Annotated[Volume | None, "See `order.need.level`."] = None
    high: Annotated[Volume | None, "See `order.need.level`."] = None


def compose_need(need: Need, level: float, rounding: Rounding) -> NeedData:
    """
    Compose what is needed.

    Parameters
    ----------
    need : Need
    level : float
        Of the range that is told.
    rounding : Rounding
    """
    spread = need.spread
    low, high = need.find_range(level) or (None, None)
    return NeedData(
        volume=rounding.volume(need.mean),
        in_place=rounding.volume(need.in_place),
        lines=[
            LineData(
                kind=line.kind,
                name=line.name,
                volume=rounding.volume(line.volume),
                share=if_known(rounding.share, line.share),
            )
            for line in need.lines
        ],
        allowance_sd=rounding.volume(need.allowance_sd),
        survey_sd=if_known(rounding.volume, need.survey_sd),
        sd=rounding.volume(spread.sd) if spread else None,
        level=rounding.share(level) if spread else None,
        middle=rounding.volume(spread.mean) if spread else None,
        low=if_known(rounding.volume, low),
        high=if_known(rounding.volume, high),
    )
