"""The summary's lines of the survey: its points, those that replace others, and suspect ones."""

import math
from typing import Any

from gradevol.answer.result import Result
from gradevol.out.text.summary_sections import Section, list_some, points_of


def tell_survey(view: dict[str, Any], result: Result) -> Section:
    """Tell the points, and how much of the slab lies within them."""
    survey = view["survey"]
    count = f"{survey['count']:,} {points_of(result)}"
    if survey["used"] != survey["count"]:
        count += f" at {survey['used']:,} places"
    if result.coverage > 1 - 1e-6:
        return "Survey", [f"{count}; all of the slab lies within them"]
    return "Survey", [
        f"{count}; {math.floor(1000 * result.coverage) / 10:g} % of the slab lies within them. "
        f"Beyond, the base is held level: {result.units.say_volume(result.concrete.beyond_survey)} "
        "rests on that. Shoot it out to the edge."
    ]


def tell_rechecks(view: dict[str, Any], result: Result) -> Section:
    """Tell how many later shots replace how many, and the volume before."""
    if result.epochs is None:
        return "", []
    said = view["survey"]["rechecks"]
    before = (
        f" Before the rework: {result.units.say_volume(result.volume_before_rechecks)}."
        if result.volume_before_rechecks is not None
        else ""
    )
    return "Rechecks", [
        f"{len(said['later'])} later shots replace {len(said['retired'])} of the first "
        f"{said['first_count']}.{before}"
    ]


def tell_suspects(view: dict[str, Any], result: Result, most: int) -> Section:
    """Tell the suspect shots, their slips, and the volume without them."""
    if not result.suspects:
        return "", []
    units = result.units
    shots = [
        f"shot {shown['id']} is {units.say_level(abs(suspect.difference))} "
        f"{'above' if suspect.difference > 0 else 'below'} its neighbours"
        f"{': ' if suspect.slip else ''}{suspect.slip}"
        for suspect, shown in zip(result.suspects, view["survey"]["suspect"], strict=True)
    ]
    without = (
        f" Without {'it' if len(shots) == 1 else 'them'}: "
        f"{units.say_volume(result.volume_without_suspects)}."
        if result.volume_without_suspects is not None
        else ""
    )
    return "Suspect", [
        *list_some(shots, most, where="result.json"),
        f"Reshoot before you cut.{without}",
    ]
