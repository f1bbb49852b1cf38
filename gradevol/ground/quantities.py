"""Quantities: areas, volumes, falls and shares as people write them, in metres."""

import re

from gradevol.ground.lengths import (
    BARE,
    MIXED,
    NUMBER,
    evaluate,
    finite,
    parse_length,
    quote,
    split_sign,
    tidy,
)
from gradevol.ground.units import CUBIC_YARD, METRES, SPELLINGS, VOLUMES, Units

_POWER_METRES = {**METRES, "cm": 0.01, "yd": 0.9144}
_POWER = re.compile(rf"(?P<value>{MIXED})\s*(?P<unit>[^\d\s.,²³^]+)\^?(?P<power>[23²³])")
_VOLUME = re.compile(rf"(?P<value>{MIXED})\s*(?P<unit>{'|'.join(VOLUMES)})", re.IGNORECASE)


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
        raise ValueError(f"{quote(text)} is not {kind}")
    if isinstance(text, int | float):
        return finite(text, text) * bare_unit
    sign, bare = split_sign(tidy(text))
    try:
        if BARE.fullmatch(bare):
            return sign * evaluate(bare) * bare_unit
        if (match := _POWER.fullmatch(bare)) and match["power"] in (str(power), "  ²³"[power]):
            spelled = SPELLINGS.get(match["unit"].lower(), match["unit"].lower())
            if spelled in _POWER_METRES:
                return sign * evaluate(match["value"]) * _POWER_METRES[spelled] ** power
        if power == 3 and (match := _VOLUME.fullmatch(bare)):  # 10 yd of concrete are no length
            return sign * evaluate(match["value"]) * VOLUMES[match["unit"].lower()]
    except ZeroDivisionError as error:
        raise ValueError(f"{quote(text)} divides by zero") from error
    raise ValueError(f"{quote(text)} is not {kind} such as {example!r}")


_PER = re.compile(
    rf"(?P<rise>{MIXED})\s*(?P<rise_unit>[^\d\s]+)\s*(?:per|/)\s*"
    rf"(?P<run>{MIXED})?\s*(?P<run_unit>[^\d\s]+)"
)

_RATIO = re.compile(rf"(?P<rise>{NUMBER})\s*(?::|\bin\b)\s*(?P<run>{NUMBER})")

#: A fraction as on a tape, which is said for a fall per foot: as a ratio 1/4 would be 25 %.
_OF_TAPE = re.compile(r"(?:\d+[\s-]+)?\d+\s*/\s*(?:2|4|8|16|32|64)")


def parse_fall(text: float | str) -> float:
    """
    Read a fall: ``1/4 in per ft``, ``2 %``, ``1:50``, ``1 in 50`` or a bare ratio.

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
        raise ValueError(f"{quote(text)} is not a fall")
    if isinstance(text, int | float):
        return finite(text, text)
    bare = tidy(text)
    try:
        if bare.endswith("%") and BARE.fullmatch(bare[:-1].strip()):
            return evaluate(bare[:-1]) / 100
        if match := _PER.fullmatch(bare):
            rise = parse_length(f"{match['rise']} {match['rise_unit']}", unit="m")
            return rise / parse_length(f"{match['run'] or 1} {match['run_unit']}", unit="m")
        if match := _RATIO.fullmatch(bare):
            return evaluate(match["rise"]) / evaluate(match["run"])
        if _OF_TAPE.fullmatch(bare):
            raise ValueError(
                f"{quote(text)} may be inches in a foot or a ratio: write "
                f"'{bare} in per ft' or {evaluate(bare):g}"
            )
        if BARE.fullmatch(bare):
            return evaluate(bare)
    except ZeroDivisionError as error:
        raise ValueError(f"{quote(text)} is not a fall: it divides by zero") from error
    raise ValueError(
        f"{quote(text)} is not a fall: write '1/4 in per ft', '2 %' or a ratio such as 0.02"
    )


def parse_share(text: float | str) -> float:
    """
    Read a share: a fraction such as ``0.05``, or ``5 %``.

    Raises
    ------
    ValueError
        If it is neither; a bare number in text is a fraction.
    """
    if isinstance(text, bool):
        raise ValueError(f"{quote(text)} is not a share")
    if isinstance(text, int | float):
        return finite(text, text)
    bare = tidy(text)
    number = bare.removesuffix("%").rstrip()
    try:
        if BARE.fullmatch(number):
            return evaluate(number) / (100 if bare.endswith("%") else 1)
    except ZeroDivisionError as error:
        raise ValueError(f"{quote(text)} is not a share: it divides by zero") from error
    raise ValueError(f"{quote(text)} is not a share")
