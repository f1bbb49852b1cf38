"""What the shots can't see, in the job's units and in words that never say it is nothing."""

from itertools import groupby
from typing import Any

from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.ground.units import Units
from gradevol.uncertainty.thin_risk import Hidden, Outcome

#: A chance is told to the hundredth, and neither as 0 nor as 1: neither can be known.
_STEP = 0.01
#: The least expected area that is told, in the unit of area.
_LEAST_AREA = 1e-4


def present_hidden(result: Result, rounding: Rounding) -> dict[str, Any]:
    """
    Put what the shots can't see into the job's units.

    Returns
    -------
    dict
        What ``thin.could_hide`` of the result holds; empty where nothing is known of it.
    """
    shown: dict[str, Any] = {}
    if result.widest_gap is not None:
        shown["width"] = rounding.length(result.widest_gap)
    if (hidden := result.hidden) is not None:
        shown |= {
            "core_chance": round_chance(hidden.core_chance),
            "area": max(rounding.area(hidden.area), _LEAST_AREA),
            "area_low": rounding.area(hidden.area_low),
            "area_high": rounding.area(hidden.area_high),
            "acceptance": [_present_test(tested, rounding) for tested in hidden.acceptance],
        }
    return shown


def _present_test(tested: Outcome, rounding: Rounding) -> dict[str, Any]:
    test = tested.test
    limits = {"average": test.average, "single": test.single, "over": test.over}
    stated = {key: rounding.length(limit) for key, limit in limits.items() if limit is not None}
    return {
        "name": test.name,
        **stated,
        "samples": tested.samples,
        "chance": round_chance(tested.chance),
        "source": test.source,
    }


def round_chance(chance: float) -> float:
    """Round a chance to the hundredth, 0.01 at least and 0.99 at most."""
    return round(min(max(chance, _STEP), 1 - _STEP), 2)


def say_chance(chance: float) -> str:
    """Say a chance: ``9 %``; one that is next to nothing or to certain as such."""
    if chance < _STEP / 2:
        return "less than 1 %"
    if chance >= 1 - _STEP / 2:
        return "more than 99 %"
    return f"{100 * round_chance(chance):.0f} %"


def say_expected(hidden: Hidden, units: Units) -> str:
    """Say the thin area that may be expected: ``61 ft²``, ``less than 1 ft²``."""
    least = units.say_area(0.0)
    said = units.say_area(hidden.area)
    if said != least:
        return said
    return f"less than {'0.1 m²' if units.is_metric else '1 ft²'}"


def say_bounds(hidden: Hidden, units: Units) -> str:
    """Say between what it lies: ``0 to 151 ft²``; nothing where that is nought."""
    low, high = (units.say_area(area) for area in (hidden.area_low, hidden.area_high))
    return "" if high == units.say_area(0.0) else f"{low.partition(' ')[0]} to {high}"


def say_ground(result: Result) -> str:
    """Say what the expectation rests on."""
    if result.survey.ids:
        return "That is so if the base between the shots is as uneven as the shots show"
    return "What all points may be off together is counted in"


def say_briefly(result: Result) -> str:
    """
    Say how much is likely to be thin, after the words *Likely thin*; nothing where it is not known.

    Such as ``61 ft² by the shots (0 to 151), seen or not; 2 cores in 100``.
    """
    if (hidden := result.hidden) is None:
        return ""
    bounds = say_bounds(hidden, result.units).rpartition(" ")[0]
    by = "by the shots" if result.survey.ids else "by what points may be off"
    return (
        f"{say_expected(hidden, result.units)} {by}{f' ({bounds})' if bounds else ''}, seen or "
        f"not; {say_cores(hidden.core_chance)}"
    )


def say_cores(chance: float) -> str:
    """Say how many of a hundred cores would be thin: ``2 cores in 100``."""
    said = say_chance(chance).removesuffix(" %")
    said = said.replace("less than", "under").replace("more than", "over")
    return f"{said} core{'s' if said not in ('1', 'under 1') else ''} in 100"


def say_tests(hidden: Hidden) -> str:
    """Say with what chance tests fail: ``fail on 4 samples: ACI 117-10 average 2 %``."""
    runs = groupby(hidden.acceptance, key=lambda tested: tested.samples)
    return "; ".join(
        f"fail on {count} samples: "
        + "; ".join(f"{tested.test.name} {say_chance(tested.chance)}" for tested in run)
        for count, run in runs
    )
