"""The interval in the job's units, and in words that hold no more digits than it bears."""

import math

from gradevol.answer.rounding import Rounding, bear_digits
from gradevol.ground.units import Units
from gradevol.uncertainty.interval import Interval

#: A standard deviation less than this is not worth a line, in the job's unit of volume.
_TOLD = 0.005


def present_interval(interval: Interval, rounding: Rounding) -> dict[str, float]:
    """
    Put an interval into the job's units.

    Parameters
    ----------
    interval : Interval
    rounding : Rounding

    Returns
    -------
    dict
        What ``concrete.interval`` of the result holds.
    """
    return {
        "level": rounding.share(interval.level),
        "low": rounding.volume(interval.low),
        "high": rounding.volume(interval.high),
        "shots": rounding.volume(interval.shots),
        "between_shots": rounding.volume(interval.between_shots),
        "datum": rounding.volume(interval.datum),
        "top": rounding.volume(interval.top),
    }


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


def say_stated(interval: Interval, units: Units) -> str:
    """Say the stated volume with no more digits than the interval bears: ``72.7 yd³``."""
    return say_like_stated(interval.stated, interval, units)


def say_like_stated(volume: float, interval: Interval, units: Units) -> str:
    """Say another volume, m³, of the same slab with the digits of the stated one."""
    return f"{units.to_volume(volume):z,.{count_digits(interval, units)}f} {_unit(units)}"


def say_ends(interval: Interval, units: Units) -> tuple[str, str]:
    """Say between what the volume lies, rounded outwards: ``71.0`` and ``74.3 yd³``."""
    digits = count_digits(interval, units)
    step = 10.0**-digits
    low = math.floor(units.to_volume(interval.low) / step + 1e-6) * step
    high = math.ceil(units.to_volume(interval.high) / step - 1e-6) * step
    return f"{low:z,.{digits}f}", f"{high:z,.{digits}f} {_unit(units)}"


def say_level_of(interval: Interval) -> str:
    """Say how sure the interval is: ``90 % sure``."""
    return f"{100 * interval.level:.1f}".removesuffix(".0") + " % sure"


def say_interval(interval: Interval, units: Units) -> str:
    """Say between what the volume lies: ``90 % sure: 71.0 to 74.3 yd³``."""
    return f"{say_level_of(interval)}: {' to '.join(say_ends(interval, units))}"


def say_spread(sd: float, units: Units) -> str:
    """Say one standard deviation of the volume, m³, in the job's unit: ``0.79 yd³``."""
    return f"{units.to_volume(sd):.2f} {_unit(units)}"


def say_causes(interval: Interval, units: Units) -> str:
    """Say what makes a volume unsure, the largest first, one standard deviation each."""
    causes = {
        "the finished top": interval.top,
        "the datum": interval.datum,
        "between the shots": interval.between_shots,
        "single shots": interval.shots,
    }
    told = [
        f"{name} {say_spread(sd, units).partition(' ')[0]}"
        for name, sd in sorted(causes.items(), key=lambda cause: -cause[1])
        if units.to_volume(sd) >= _TOLD
    ]
    if not any(causes.values()):
        return "no source of error is stated"
    if not told:
        return f"each of its sources makes less than {_TOLD} {_unit(units)}"
    return f"from {', '.join(told)} {_unit(units)}, one standard deviation each"


def _unit(units: Units) -> str:
    return units.volume.replace("3", "³")
