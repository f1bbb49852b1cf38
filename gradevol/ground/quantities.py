"""Quantities: lengths, areas, volumes and falls as people write them, to metres."""

import math
import re
from fractions import Fraction

from gradevol.ground.units import CUBIC_YARD, METRES, SPELLINGS, Units

_SPELLED_METRES = {**METRES, "cm": 0.01}
_POWER_METRES = {**_SPELLED_METRES, "yd": 0.9144}

_NUMBER = r"\d+\.?\d*(?:[eE][-+]?\d+)?|\.\d+(?:[eE][-+]?\d+)?"
_FRACTION = r"\d+\s*/\s*\d+"
_MIXED = rf"(?:(?:\d+[\s-]+)?{_FRACTION}|{_NUMBER})"
# A dash parts feet from inches (6-4-3/4), but not a whole number from its fraction (6-1/2 in).
_FEET_INCHES = re.compile(
    rf"(?P<feet>\d+)\s*(?:'|′|’|ft\b|feet\b|foot\b|(?=\s*-)(?!\s*-\s*{_FRACTION}))\s*[-\s]?\s*"
    rf"(?P<inches>{_MIXED})\s*(?:\"|″|”|''|in\b|inch\b|inches\b)?",
)
_WITH_UNIT = re.compile(rf"(?P<value>{_MIXED})\s*(?P<unit>[^\d\s.,]\S*)")
_BARE = re.compile(_MIXED)
_DASHED = re.compile(rf"\d+\s*-\s*{_FRACTION}")
_POWER = re.compile(rf"(?P<value>{_MIXED})\s*(?P<unit>[^\d\s.,²³^]+)\^?(?P<power>[23²³])")


def _mixed(text: str) -> float:
    """Value of `6`, `6.5`, `1/2` or `6 1/2`."""
    parts = re.sub(r"\s*/\s*", "/", text.strip())
    if "/" in parts:
        parts = parts.replace("-", " ")
    total = sum(float(Fraction(part)) if "/" in part else float(part) for part in parts.split())
    return _finite(total, text)


def _finite(value: float, text: float | str) -> float:
    """Refuse not-a-number and what is too large to be a number."""
    try:
        number = float(value)
    except OverflowError as error:
        raise ValueError("such a number is too large") from error
    if not math.isfinite(number):
        raise ValueError(f"{text!r} is not a finite number")
    return number


def parse_length(text: float | str, *, unit: str) -> float:
    """
    Read a length as people write it.

    Parameters
    ----------
    text : float or str
        A bare number, in `unit`; or text that carries its own unit: ``6 in``, ``5'-6 1/2"``,
        ``6-4-3/4`` (feet, inches), ``0.15 m``, ``152 mm``.
    unit : str
        Unit of a bare number, a key of `METRES`.

    Returns
    -------
    float
        The length, m.

    Raises
    ------
    ValueError
        If the text is not a length, or names a unit that is not known.
    """
    if isinstance(text, bool):
        raise ValueError(f"{text!r} is not a length")
    if isinstance(text, int | float):
        return _finite(text, text) * METRES[unit]
    sign, bare = _split_sign(text)
    try:
        if match := _FEET_INCHES.fullmatch(bare):
            feet, inches = float(match["feet"]), _mixed(match["inches"])
            if inches >= 12:
                raise ValueError(f"{text!r} has {inches:g} inches: twelve make a foot")
            return sign * (feet * METRES["ft"] + inches * METRES["in"])
        if _DASHED.fullmatch(bare) and unit != "in":
            raise ValueError(
                f"{text!r} can be read in two ways: write '6 1/2 in', or '6 ft 0 1/2 in' for feet"
            )
        if _BARE.fullmatch(bare):
            return sign * _mixed(bare) * METRES[unit]
        if match := _WITH_UNIT.fullmatch(bare):
            spelled = SPELLINGS.get(match["unit"].lower().rstrip("."))
            if spelled is None:
                raise ValueError(f"{text!r} names no known unit (m, mm, cm, ft, us-ft, in)")
            return sign * _mixed(match["value"]) * _SPELLED_METRES[spelled]
    except ZeroDivisionError as error:
        raise ValueError(f"{text!r} is not a length: it divides by zero") from error
    raise ValueError(f"{text!r} is not a length")


def _split_sign(text: str) -> tuple[float, str]:
    bare = text.strip()
    if bare[:1] in {"-", "−", "+"}:
        return (1.0 if bare[0] == "+" else -1.0), bare[1:].lstrip()
    return 1.0, bare


def parse_area(text: float | str, *, unit: str) -> float:
    """
    Read an area, m²: a bare number in the square of `unit`, or text such as ``2 in2``.

    Raises
    ------
    ValueError
        If the text is not an area.
    """
    return _parse_power(text, 2, METRES[unit] ** 2)


def parse_volume(text: float | str, *, unit: str) -> float:
    """
    Read a volume, m³: a bare number, or text with its unit such as ``1.5 yd3``.

    A bare number is in cubic yards where `unit` is feet or inches, else in m³: the unit in which
    a job in `unit` is answered.

    Raises
    ------
    ValueError
        If the text is not a volume.
    """
    return _parse_power(text, 3, 1.0 if Units.of_job(unit).is_metric else CUBIC_YARD)


def _parse_power(text: float | str, power: int, bare_unit: float) -> float:
    kind, example = {2: ("an area", "2 in2"), 3: ("a volume", "1.5 yd3")}[power]
    if isinstance(text, bool):
        raise ValueError(f"{text!r} is not {kind}")
    if isinstance(text, int | float):
        return _finite(text, text) * bare_unit
    sign, bare = _split_sign(text)
    try:
        if _BARE.fullmatch(bare):
            return sign * _mixed(bare) * bare_unit
        if (match := _POWER.fullmatch(bare)) and match["power"] in (str(power), "  ²³"[power]):
            spelled = SPELLINGS.get(match["unit"].lower(), match["unit"].lower())
            if spelled in _POWER_METRES:
                return sign * _mixed(match["value"]) * _POWER_METRES[spelled] ** power
    except ZeroDivisionError as error:
        raise ValueError(f"{text!r} divides by zero") from error
    raise ValueError(f"{text!r} is not {kind} such as {example!r}")


_PER = re.compile(
    rf"(?P<rise>{_MIXED})\s*(?P<rise_unit>[^\d\s]+)\s*(?:per|/)\s*"
    rf"(?P<run>{_MIXED})?\s*(?P<run_unit>[^\d\s]+)"
)


def parse_fall(text: float | str) -> float:
    """
    Read a fall: ``1/4 in per ft``, ``2 %`` or a bare ratio.

    Returns
    -------
    float
        Drop per run, without unit.

    Raises
    ------
    ValueError
        If the text is none of these.
    """
    if isinstance(text, bool):
        raise ValueError(f"{text!r} is not a fall")
    if isinstance(text, int | float):
        return _finite(text, text)
    bare = text.strip()
    try:
        if bare.endswith("%") and _BARE.fullmatch(bare[:-1].strip()):
            return _mixed(bare[:-1]) / 100
        if match := _PER.fullmatch(bare):
            rise = parse_length(f"{match['rise']} {match['rise_unit']}", unit="m")
            return rise / parse_length(f"{match['run'] or 1} {match['run_unit']}", unit="m")
        if _BARE.fullmatch(bare):
            return _mixed(bare)
    except ZeroDivisionError as error:
        raise ValueError(f"{text!r} is not a fall: it divides by zero") from error
    raise ValueError(
        f"{text!r} is not a fall: write '1/4 in per ft', '2 %' or a ratio such as 0.02"
    )
