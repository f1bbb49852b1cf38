"""The day of the pour as declared data: what ``gradevol pour --json`` prints."""

from collections.abc import Sequence
from typing import Annotated, Any, Literal

from gradevol.after.forecast import Alert
from gradevol.after.progress import Choice, Progress
from gradevol.answer.declared import (
    Count,
    Number,
    Positive,
    Share,
    Size,
    Volume,
    declared,
    to_plain,
)
from gradevol.answer.rounding import SHARE, Rounding, if_known
from gradevol.answer.said.day import say_alert
from gradevol.answer.said.day_call import say_rests_on
from gradevol.answer.said.day_words import say_clock
from gradevol.answer.tree.notes import BareNoteData, compose_bare
from gradevol.answer.tree.units import UnitsData
from gradevol.ground.notes import Note


@declared
class FactorData:
    """Concrete ticketed for each modelled concrete."""

    mean: Annotated[
        Positive,
        "What the slab will have taken, less what stays in a pump, for each of what is modelled: "
        "waste, settlement, yield and errors of the survey together, which tickets can't tell "
        "apart.",
    ]
    low: Annotated[float, "Between what it lies, at `level`."]
    high: Annotated[float, "The same."]
    expected: Annotated[Positive, "As expected before the pour."]
    jobs: Annotated[
        Number | None, "Earlier jobs that the expectation rests on; absent where there are none."
    ] = None


@declared
class RangeData:
    """A volume, and between what it lies."""

    volume: Annotated[Volume, "As expected."]
    low: Annotated[Volume, "Between what it lies, at `level`."]
    high: Annotated[Volume, "The same."]


@declared
class FedData:
    """A small pour that is filled."""

    name: Annotated[str, "From the job."]
    count: Annotated[Number, "How many of it."]
    volume: Annotated[Positive, "Of these together."]


@declared
class CallData:
    """The balance."""

    volume: Annotated[
        Size, "What to call: whole steps of the plant; 0 where what is on its way is enough."
    ]
    coming: Annotated[Size, "Released or called, and not ticketed yet: it is on its way."]
    late: Annotated[bool, "Whether `by` has gone by when the last load was out: call now."]
    left_over: Annotated[Size, "Expected above what the slab takes, before small pours."]
    rests_on: Annotated[str, "What it rests on, in words."]
    by: Annotated[
        str | None,
        "When to call at the latest, by the clock: what is on its way is then placed when the "
        "balance comes. Absent where the job gives no notice, or nothing tells how fast it goes.",
    ] = None
    loads: Annotated[
        list[Positive] | None, "They add up to `volume`; absent where the job gives no truck."
    ] = None
    chance_short: Annotated[Share | None, "Chance that it is too little for the slab."] = None
    small_pours: Annotated[
        list[FedData] | None, "What it feeds besides, if the slab takes just what is expected."
    ] = None


@declared
class CaseData:
    """What to call in some cases of what is off."""

    cases: Annotated[
        list[Literal["slab", "ticket", "front"]],
        "Of the loads out of line: `ticket`, the ticket is wrong; `front`, the tape is; `slab`, "
        "both are right, and the slab took that much more or less.",
    ]
    call: Annotated[CallData, "What to call then."]


@declared
class AlertData:
    """A load whose front is out of line with the others."""

    load: Annotated[str, "Its number, or its ticket's, or its line."]
    line: Annotated[Number, "Of the file of tickets."]
    text: Annotated[str, "What is out of line, what it may be, and what that would mean."]
    verdict: Annotated[
        Literal["front", "concrete", "open"],
        "What the loads after it say it is: `front`, it was misread; `concrete`, it was not, or it "
        "would lie beyond the slab: the ticket is wrong, or the slab took that much more or less; "
        "`open`, they don't tell.",
    ]
    excess: Annotated[
        Volume, "Ticketed beyond what its front accounts for; negative where it is less."
    ]
    total_if_misread: Annotated[Volume, "`total.volume` if its front alone is misread."]
    total_if_ticket: Annotated[Volume, "`total.volume` if its ticket alone is wrong."]
    total_if_gone: Annotated[Volume, "`total.volume` if the slab took that much more or less."]


@declared
class DayData:
    """Where a pour stands. What can't be known is None."""

    schema: Annotated[Literal[1], "1: version of the keys and their meaning."]
    title: Annotated[str, "From the job."]
    units: Annotated[UnitsData, "The units of all numbers here."]
    level: Annotated[Share, "Of all ranges here: `interval` of the job."]
    loads: Annotated[Count, "Loads that count."]
    ticketed: Annotated[
        Size, "Sum of the tickets, less what was returned or went into small pours."
    ]
    modelled: Annotated[Positive, "Concrete in all that is poured, as the check has it."]
    factor: Annotated[FactorData, "Concrete ticketed for each modelled concrete."]
    total: Annotated[RangeData, "What the slab will have taken."]
    still: Annotated[RangeData, "What is still to come into the slab after what is ticketed."]
    done: Annotated[bool, "Whether all of the slab lies behind the front."]
    alerts: Annotated[list[AlertData], "Loads whose front is out of line with the others."]
    notes: Annotated[list[BareNoteData], "What was left out, joined or assumed."]
    pour: Annotated[str | None, "The part of the slab that is poured; absent: all of it."] = None
    behind_front: Annotated[
        Size | None, "What the model says lies behind the last front; absent before the first."
    ] = None
    surplus: Annotated[
        Size | None,
        "Ticketed beyond what the slab takes, where loads without a front make that out of line: a "
        "ticket is wrong, or the slab is full. Absent otherwise.",
    ] = None
    ticket_unit: Annotated[
        Literal["m3", "yd3"] | None,
        "Where loads are out of line, the unit in which all tickets would fit, read in the other.",
    ] = None
    call: Annotated[
        CallData | None,
        "What to call, and of `calls` the largest; absent once the slab is done.",
    ] = None
    calls: Annotated[
        list[CaseData] | None,
        "What to call case by case, where that hangs on what is wrong with a load out of line: ask "
        "the plant first. Absent where it is the same in all.",
    ] = None
    small_pours: Annotated[list[FedData] | None, "Small pours that loads have filled."] = None
    returned: Annotated[Size | None, "What went back; absent where nothing did."] = None
    called: Annotated[
        Size | None,
        "Called at the plant beside what was released, by the tickets file; absent where nothing "
        "was.",
    ] = None


def compose_day(
    progress: Progress,
    rounding: Rounding,
    *,
    title: str,
    part: str,
    loads: int,
    modelled: float,
    notes: Sequence[Note],
) -> dict[str, Any]:
    """
    Compose where a pour stands.

    Returns
    -------
    dict
        Plain data in the order of the declarations.
    """
    volume, share, units = rounding.volume, rounding.share, rounding.units
    mean, low, high = progress.factor
    return to_plain(
        DayData(
            schema=1,
            title=title,
            units=UnitsData.of(units),
            level=share(progress.level),
            loads=loads,
            ticketed=volume(progress.ticketed),
            modelled=volume(modelled),
            factor=FactorData(
                mean=round(mean, SHARE),
                low=round(low, SHARE),
                high=round(high, SHARE),
                expected=round(progress.expected.mean, SHARE),
                jobs=progress.expected.jobs or None,
            ),
            total=_range(progress.total, rounding),
            still=_range(progress.still, rounding),
            done=progress.is_done,
            alerts=[_alert(alert, rounding) for alert in progress.forecast.alerts],
            notes=compose_bare(notes, units),
            pour=part or None,
            behind_front=if_known(volume, progress.behind),
            surplus=if_known(volume, progress.surplus),
            ticket_unit=progress.unit,
            call=_call(progress.calls[0], progress.step, rounding) if progress.calls else None,
            calls=[
                CaseData(cases=list(choice.cases), call=_call(choice, progress.step, rounding))
                for choice in progress.calls
                if choice.cases
            ]
            or None,
            small_pours=_fed(progress.placed.filled, rounding),
            returned=if_known(volume, progress.placed.returned or None),
            called=if_known(volume, progress.called or None),
        )
    )


def _range(bounds: tuple[float, float, float], rounding: Rounding) -> RangeData:
    mean, low, high = (rounding.volume(bound) for bound in bounds)
    return RangeData(volume=mean, low=low, high=high)


def _call(choice: Choice, step: float, rounding: Rounding) -> CallData:
    call = choice.call
    return CallData(
        volume=rounding.volume(call.volume),
        coming=rounding.volume(call.coming),
        late=call.is_late,
        left_over=rounding.volume(call.left_over),
        rests_on=str(say_rests_on(choice, step, rounding.units)),
        by=None if call.by is None else say_clock(call.by, call.pace.since),
        loads=[rounding.volume(load) for load in call.loads] or None,
        chance_short=if_known(rounding.share, call.chance_short),
        small_pours=_fed(call.feeds, rounding),
    )


def _fed(feeds: Sequence[tuple[str, int, float]], rounding: Rounding) -> list[FedData] | None:
    fed = [
        FedData(name=name, count=count, volume=rounding.volume(volume))
        for name, count, volume in feeds
    ]
    return fed or None


def _alert(alert: Alert, rounding: Rounding) -> AlertData:
    load = alert.step.load
    return AlertData(
        load=load.number or load.ticket or f"line {load.line}",
        line=load.line,
        text=str(say_alert(alert, rounding.units)),
        verdict=alert.verdict,
        excess=rounding.volume(alert.excess),
        total_if_misread=rounding.volume(alert.total_if_front),
        total_if_ticket=rounding.volume(alert.total_if_ticket),
        total_if_gone=rounding.volume(alert.total_if_step),
    )
