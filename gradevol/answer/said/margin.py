"""The margin of the volume, with no more digits than it bears, and what it is made of."""

import math

from gradevol.answer.assumed import Assumed, has_rod, list_assumed
from gradevol.answer.result import Result
from gradevol.answer.rounding import bear_digits
from gradevol.answer.said.survey import points_of
from gradevol.answer.statement import Figure, Statement, Topic, Weight, Words, join, words
from gradevol.ground.units import Units
from gradevol.uncertainty.interval import Interval

#: A standard deviation that is there is told as no less, in the job's unit of volume.
_LEAST = 0.01


def count_digits(interval: Interval, units: Units) -> int:
    """
    Decimals of a volume and of the ends of its interval.

    Returns
    -------
    int
        No more than the interval bears, nor than any volume of that size is told with: two at most.
    """
    half = units.to_volume(interval.high - interval.low) / 2
    return bear_digits(half, units.to_volume(interval.stated))


def say_like_stated(volume: float, interval: Interval | None, units: Units) -> str:
    """Say a volume of a slab, m³, with no more digits than its interval bears: ``72.7 yd³``."""
    if interval is None:
        return units.say_volume(volume)
    return f"{units.to_volume(volume):z,.{count_digits(interval, units)}f} {units.volume_symbol}"


def say_ends(interval: Interval, units: Units) -> tuple[str, str]:
    """Say between what the volume lies, rounded outwards: ``71.0`` and ``74.3 yd³``."""
    digits = count_digits(interval, units)
    step = 10.0**-digits
    low = math.floor(units.to_volume(interval.low) / step + 1e-6) * step
    high = math.ceil(units.to_volume(interval.high) / step - 1e-6) * step
    return f"{low:z,.{digits}f}", f"{high:z,.{digits}f} {units.volume_symbol}"


def say_level_of(interval: Interval) -> str:
    """Say how sure the interval is: ``90 % sure``."""
    return f"{100 * interval.level:.1f}".removesuffix(".0") + " % sure"


def say_spread(sd: float, units: Units) -> str:
    """Say one standard deviation of the volume, m³: ``0.79 yd³``, ``less than 0.01 yd³``."""
    value = units.to_volume(sd)
    if 0 < value < _LEAST / 2:
        return f"less than {_LEAST} {units.volume_symbol}"
    return f"{value:.2f} {units.volume_symbol}"


def tell_interval(result: Result) -> tuple[Topic, ...]:
    """Tell what makes the volume unsure, the largest first, one standard deviation each."""
    interval = result.interval
    if interval is None:
        return ()
    causes = (
        (
            "top",
            "Strike-off" if interval.top_shots is None else "Strike-off and the shots of the top",
            interval.top,
        ),
        ("datum", _say_shared(result), interval.datum),
        ("between_shots", f"Between the {points_of(result)}", interval.between_shots),
        ("shots", f"Single {points_of(result)}", interval.shots),
    )
    told = tuple(
        Statement(
            f"concrete.interval.{key}",
            Weight.DETAILS,
            label,
            Figure(say_spread(sd, result.units), f"concrete.interval.{key}"),
        )
        for key, label, sd in sorted(causes, key=lambda cause: -cause[2])
    )
    if not any(sd for *_, sd in causes):
        none = words("No source of error is stated")
        told = (Statement("concrete.interval.causes", Weight.DETAILS, short=none),)
    else:
        told = (*told, *_tell_unshared(result, interval), _tell_assumed(result, interval))
    return (Topic("interval", "What the margin is made of, one standard deviation", "", told),)


def _say_shared(result: Result) -> str:
    """Say what all shots share; of what no rod measured, that they share something."""
    if has_rod(result.survey):
        return "Instrument height and rod foot"
    return f"What all {points_of(result)} share"


def _tell_unshared(result: Result, interval: Interval) -> tuple[Statement, ...]:
    """Tell how much of the margin is the base's own, and not shared by all of it."""
    bounds = interval.without_shared
    if bounds is None or not (interval.datum or interval.top):
        return ()
    own = (bounds[1] - bounds[0]) / 2
    digits = bear_digits(result.units.to_volume(own), result.units.to_volume(interval.stated))
    volume = f"±{result.units.to_volume(own):.{digits}f} {result.units.volume_symbol}"
    shared = _say_shared(result)
    said = words(
        f"Of the margin ({say_level_of(interval)}) {{}} comes from the base between the "
        f"{points_of(result)}",
        volume,
    )
    strike_off = "strike-off" + " and the shots of the top" * (interval.top_shots is not None)
    rest = f"; the rest is {shared[:1].lower()}{shared[1:]}, and {strike_off}"
    return (
        Statement("concrete.interval.without_shared", Weight.DETAILS, short=said, long=said + rest),
    )


def _tell_assumed(result: Result, interval: Interval) -> Statement:
    """Tell each value that the interval rests on, and whether the job states it."""
    values = list_assumed(result.survey, interval)
    full = [
        _say_assumed(value, at, result, "usual" if value.is_sigma else "not stated")
        for at, value in enumerate(values)
    ]
    brief = [_say_assumed(value, at, result, "") for at, value in enumerate(values)]
    sigmas = sum(value.is_sigma for value in values)
    long = words("Assumed, one standard deviation each: {}", join(", ", full[:sigmas]))
    if sigmas < len(values):
        long = words("{}; {}", long, *full[sigmas:])
    rest = "" if all(value.is_stated for value in values) else ": usual values, not from the job"
    return Statement(
        "concrete.interval.assumed",
        Weight.DETAILS,
        short=words("Assumed: {}" + rest, join(", ", brief[:sigmas])),
        long=long,
    )


def _say_assumed(assumed: Assumed, at: int, result: Result, otherwise: str) -> Words:
    """Say one value and where it comes from; `otherwise` where not from the job."""
    source = "from the job" if assumed.is_stated else otherwise
    key = f"concrete.interval.assumed.{at}.value"
    value = Figure(result.units.say_fine(assumed.value), key)
    label = assumed.label
    if assumed.name == "base.datum_sigma" and not has_rod(result.survey):
        # neither a string nor a scanner has an instrument's height
        label = _say_shared(result).lower()
    return words("{} {}" + (f" ({source})" if source else ""), label, value)
