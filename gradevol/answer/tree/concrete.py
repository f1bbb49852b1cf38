"""The concrete as declared data: the volume, its parts and its interval."""

from typing import Annotated

from gradevol.answer.assumed import ASSUMED, list_assumed
from gradevol.answer.declared import Kind, Size, Volume, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.site.survey import Survey
from gradevol.uncertainty.interval import Interval


@declared
class AssumedData:
    """What the interval rests on, and whether the job states it."""

    name: Annotated[
        str,
        Kind(enum=tuple(ASSUMED)),
        "The key of the job file.",
    ]
    value: Annotated[Size, "In the unit of length."]
    source: Annotated[
        str,
        Kind(enum=("job", "default")),
        "Whether the job states it, or it is the default of the method.",
    ]
    setup: Annotated[
        str | None,
        "Of `base.setups.closing`: the setup that did not close, by `value`.",
    ] = None


@declared
class BoundsData:
    """Between what a volume lies."""

    low: Annotated[Volume, "Lower end."]
    high: Annotated[Volume, "Upper end."]


@declared
class IntervalData:
    """Between what the volume lies, and one standard deviation of each cause."""

    level: Annotated[
        float,
        Kind(exclusive_minimum=0, exclusive_maximum=1),
        "Chance that the volume lies between low and high; `interval` of the job.",
    ]
    low: Annotated[Volume, "Lower end; it holds the stated volume."]
    high: Annotated[Volume, "Upper end."]
    shots: Annotated[Size, "One standard deviation from random errors of single shots."]
    between_shots: Annotated[Size, "One from what the base does between the shots and beyond them."]
    datum: Annotated[Size, "One from what the shots of a setup, or all of them, share."]
    top: Annotated[
        Size,
        "One from the finished top's mean level, and from `top_shots` and `top_gaps`.",
    ]
    top_shots: Annotated[
        Size | None,
        "The part of `top` from random errors of the top's own shots; absent where it is drawn.",
    ] = None
    top_gaps: Annotated[
        Size | None,
        "The part of `top` from what forms do between the shots of the top, or by which points "
        "leave the plane laid through them; absent where it is drawn.",
    ] = None
    without_shared: Annotated[
        BoundsData | None,
        "The interval without `datum` and `top`: what single shots and the base between them leave "
        "open.",
    ] = None
    assumed: Annotated[
        list[AssumedData],
        "What the interval rests on, one standard deviation each; of `base.foot_high` the value.",
    ]


@declared
class PartData:
    """A thickening or a void."""

    name: Annotated[str, "From the job."]
    volume: Annotated[Volume, "Positive where it adds concrete."]


@declared
class ConcreteData:
    """The volume and its parts."""

    volume: Annotated[Volume, "`concrete.slab` and `concrete.thickenings` less `concrete.voids`."]
    slab: Annotated[Size, "Integral of top less base where that is positive."]
    thickenings: Annotated[Size, "As drawn; those that the shots show add nothing here."]
    voids: Annotated[Volume, "What voids displace; negative where they add."]
    beyond_survey: Annotated[
        Size,
        "The part of `concrete.slab` over a base that is assumed: beyond the survey, and in holes "
        "of a scan.",
    ]
    overlap: Annotated[Size, "Integral of base less top where the base stands above the top."]
    over_nominal: Annotated[Volume, "`concrete.slab` less `slab.nominal_volume`."]
    parts: Annotated[list[PartData], "Each thickening and void."]
    interval: Annotated[
        IntervalData | None,
        "Between what `concrete.volume` lies, and what makes it unsure: see "
        "[interval](../explanation/interval.md).",
    ] = None


def compose_concrete(result: Result, rounding: Rounding) -> ConcreteData:
    """Compose the volume and its parts."""
    concrete, interval = result.concrete, result.interval
    return ConcreteData(
        volume=rounding.volume(concrete.volume),
        slab=rounding.volume(concrete.slab),
        thickenings=rounding.volume(concrete.thickenings),
        voids=rounding.volume(concrete.voids),
        beyond_survey=rounding.volume(concrete.beyond_survey),
        overlap=rounding.volume(concrete.overlap),
        over_nominal=rounding.volume(concrete.over_nominal),
        parts=[
            PartData(name=name, volume=rounding.volume(volume)) for name, volume in concrete.parts
        ],
        interval=_compose_interval(interval, result.survey, rounding) if interval else None,
    )


def _compose_interval(interval: Interval, survey: Survey, rounding: Rounding) -> IntervalData:
    top = interval.top_shots
    return IntervalData(
        level=rounding.share(interval.level),
        low=rounding.volume(interval.low),
        high=rounding.volume(interval.high),
        shots=rounding.volume(interval.shots),
        between_shots=rounding.volume(interval.between_shots),
        datum=rounding.volume(interval.datum),
        top=rounding.volume(interval.top),
        top_shots=rounding.volume(top.shots) if top else None,
        top_gaps=rounding.volume(top.gaps) if top else None,
        without_shared=_compose_bounds(interval.without_shared, rounding),
        assumed=[
            AssumedData(
                name=assumed.name,
                value=rounding.length(assumed.value),
                source="job" if assumed.is_stated else "default",
                setup=assumed.setup or None,
            )
            for assumed in list_assumed(survey, interval)
        ],
    )


def _compose_bounds(bounds: tuple[float, float] | None, rounding: Rounding) -> BoundsData | None:
    if bounds is None:
        return None
    return BoundsData(low=rounding.volume(bounds[0]), high=rounding.volume(bounds[1]))
