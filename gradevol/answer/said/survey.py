"""The survey: its points, how it was measured and by whom, and the limits it is held against."""

import math
from collections.abc import Iterator

from gradevol.answer.result import Result
from gradevol.answer.statement import Figure, Said, Statement, Topic, Weight, Words, words
from gradevol.ground.words import first_of

#: Of the slab, a share beyond the survey that is rounding.
_HAIR = 1e-6
#: Shots that are named where later ones replace them.
_NAMED = 20
#: What the job says of the shots, never used.
_CREDITS = {
    "by": "Measured by",
    "date": "Measured on",
    "instrument": "Instrument",
    "benchmark": "Bench mark",
}


def points_of(result: Result) -> str:
    """Return what the points of the survey are called: ``shots``, or ``points`` of a cloud."""
    return "shots" if result.survey.ids else "points"


def is_within(result: Result) -> bool:
    """Whether all of the slab lies within the survey."""
    return result.coverage > 1 - _HAIR


def say_share(share: float) -> str:
    """Say a share in per cent, rounded up by no more than a hair: ``92.1 %``."""
    return f"{math.floor(1000 * (share + _HAIR)) / 10:g} %"


def say_survey(result: Result, *, whose: str = "") -> Words:
    """
    Say what the answer rests on: ``60 shots; 92.1 % of the slab within them``.

    Parameters
    ----------
    result : Result
    whose : str
        Follows the points: by whom they were measured, and when.
    """
    share: Said = "all"
    if not is_within(result):
        share = Figure(say_share(result.coverage), "survey.coverage")
    places = words("")
    if result.used != result.survey.count:
        places = words(" at {} places", Figure(f"{result.used:,}", "survey.used"))
    return words("{}{}{}; {} of the slab inside them", _count(result), places, whose, share)


def tell_survey(result: Result) -> tuple[Topic, ...]:
    """Tell what the answer rests on, who measured it when with what, and the limits of the job."""
    method, points = result.survey.method, points_of(result)
    how = "" if method == points else f" ({method})"
    credited = result.credits
    by = f" by {credited.by}" if credited.by else ""
    whose = f"{how}{by}{f', {credited.date}' if credited.date else ''}"
    head = Statement(
        "survey",
        Weight.TELLS,
        short=say_survey(result),
        long=say_survey(result, whose=whose) if whose else Words(),
    )
    facts = (
        Statement(figure.key or label.lower(), Weight.DETAILS, label, figure)
        for label, figure in _list_facts(result)
    )
    return (Topic("survey", "Survey and limits", "Survey", (head, *_tell_control(result), *facts)),)


def _tell_control(result: Result) -> Iterator[Statement]:
    """Tell what control did to a scan's height, or would do, in concrete."""
    shift, height, units = result.survey.shift, result.height, result.units
    if shift is None or height is None or height.shifted is None:
        return
    by = Figure(units.say_level(abs(shift.by)), "survey.control.shift")
    volume = Figure(units.say_volume(abs(height.shifted)), "survey.control.volume")
    way, more = ("up", "less") if shift.by > 0 else ("down", "more")
    if shift.is_applied:
        said = words("Control moved the scan {} by {}: {} {} concrete", way, by, volume, more)
    else:
        said = words(
            "Control would move the scan {} by {}: {} {} concrete (base.control.apply = true)",
            *(way, by, volume, more),
        )
    weight = Weight.TELLS if shift.is_applied else Weight.ACTS
    yield Statement("survey.control", weight, short=said)


def tell_rechecks(result: Result) -> tuple[Topic, ...]:
    """Tell how many later shots replace how many, which, and the volume before the rework."""
    epochs, before = result.epochs, result.volume_before_rechecks
    if epochs is None:
        return ()
    said = words(
        "{} later shots replace {} of the first {}",
        f"{len(epochs.later)}",
        f"{len(epochs.retired)}",
        Figure(f"{len(epochs.first.points)}", "survey.rechecks.first_count"),
    )
    names = [epochs.first.name(int(index)) for index in epochs.retired]
    which = words("{}: {}", said, first_of(names, _NAMED)) if names else said
    then = words("")
    if before is not None:
        volume = Figure(result.units.say_volume(before), "survey.rechecks.volume_before")
        then = words(". Before the rework: {}", volume)
    told = Statement("survey.rechecks", short=said + then, long=which + then)
    return (Topic("rechecks", "Rechecks", "Rechecks", (told,)),)


def _count(result: Result) -> Figure:
    return Figure(f"{result.survey.count:,} {points_of(result)}", "survey.count")


def _list_facts(result: Result) -> Iterator[tuple[str, Figure]]:
    survey, slab, say = result.survey, result.slab, result.units.say_thickness
    yield "Method", Figure(survey.method, "survey.method")
    yield "Read", _count(result)
    yield "Used", Figure(f"{result.used:,}", "survey.used")
    yield "Slab inside them", Figure(say_share(result.coverage), "survey.coverage")
    yield "Slab", Figure(result.units.say_area(slab.area), "slab.area")
    yield "Design thickness", Figure(say(slab.thickness), "slab.thickness")
    yield "Thin below", Figure(say(slab.least_thickness), "slab.least_thickness")
    if slab.base_high is not None:
        yield "High spots above", Figure(say(slab.base_high), "slab.base_high")
    if slab.base_low is not None:
        yield "Low spots below", Figure(say(slab.base_low), "slab.base_low")
    spread = Figure(result.units.say_fine(result.thickness.sd), "thickness.sd")
    yield "Standard deviation of thickness", spread
    for name, label in _CREDITS.items():
        if text := getattr(result.credits, name):
            yield label, Figure(text, f"survey.credits.{name}")
    if setups := {name for name in survey.setups if name}:
        yield "Setups", Figure(f"{len(setups)}")
