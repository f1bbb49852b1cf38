"""Forces: the pull on a string and its weight, from text with units to newtons."""

import re

#: Newtons in one unit. Standard gravity 9.80665 m/s2: 3rd CGPM (1901), resolution 2; the pound of
#: 0.45359237 kg: 24 FR 5348 (1959-07-01). Pounds and kilograms are those of a spring balance.
_GRAVITY = 9.80665
NEWTONS = {
    "n": 1.0,
    "kg": _GRAVITY,
    "kgf": _GRAVITY,
    "g": _GRAVITY / 1000,
    "lb": 0.45359237 * _GRAVITY,
    "lbs": 0.45359237 * _GRAVITY,
    "lbf": 0.45359237 * _GRAVITY,
    "oz": 0.45359237 * _GRAVITY / 16,
}
_METRES = {"m": 1.0, "ft": 0.3048}
_FORCE = re.compile(r"(\d+\.?\d*|\.\d+)\s*([a-z]+)", re.IGNORECASE)
_WEIGHT = re.compile(r"(\d+\.?\d*|\.\d+)\s*([a-z]+)\s*(?:/|per)\s*(m|ft)", re.IGNORECASE)


def parse_force(text: float | str) -> float:
    """
    Read a pull, N: ``30 lb``, ``130 N``, ``13 kg``.

    Raises
    ------
    ValueError
        If it is not text with such a unit, or is 0.
    """
    match = _FORCE.fullmatch(text.strip()) if isinstance(text, str) else None
    if match and match[2].lower() in NEWTONS and float(match[1]) > 0:
        return float(match[1]) * NEWTONS[match[2].lower()]
    raise ValueError(f"{text!r} is not a pull with its unit (lb, N or kg)")


def parse_line_weight(text: float | str) -> float:
    """
    Read the weight of a string, N a metre: ``0.0006 lb/ft``, ``0.01 N/m``, ``0.9 g/m``.

    Raises
    ------
    ValueError
        If it is not text with such a unit.
    """
    match = _WEIGHT.fullmatch(text.strip()) if isinstance(text, str) else None
    if match and match[2].lower() in NEWTONS:
        return float(match[1]) * NEWTONS[match[2].lower()] / _METRES[match[3].lower()]
    raise ValueError(f"{text!r} is not a weight along a string (lb/ft, N/m or g/m)")
