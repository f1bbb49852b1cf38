"""Lengths as hands write them, to metres: marks, fractions, feet and inches by dashes."""

import math
import re
import unicodedata
from fractions import Fraction

from gradevol.ground.units import METRES, SPELLINGS
from gradevol.ground.words import show

#: How lengths are written that carry no marks: ``4-7``; ``4-6-4``; ``54 5/8``.
NOTATIONS = ("feet-inches", "feet-inches-eighths", "inches")

#: No length, area or fall that a person writes is longer; what is, is not looked at.
LONGEST = 100

NUMBER = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?"
FRACTION = r"\d+\s*/\s*\d+"
MIXED = rf"(?:(?:\d+[\s-]+)?{FRACTION}|{NUMBER})"
BARE = re.compile(MIXED)

_SPELLED_METRES = {**METRES, "cm": 0.01}
_FOOT = r"(?:'|ft\b\.?|feet\b|foot\b)"
_INCH = r"(?:\"|in\b\.?|inch\b|inches\b)"
_FEET_INCHES = re.compile(rf"(?P<feet>\d+)\s*{_FOOT}\s*-?\s*(?P<inches>{MIXED})\s*{_INCH}?")
# A dash parts feet from inches where a fraction or a point, or the mark of inches, says so.
_DASHED_INCHES = re.compile(
    rf"(?P<feet>\d+)\s*-\s*(?P<inches>\d+[\s-]+{FRACTION}|\d+\.\d*|\d+(?=\s*{_INCH}))\s*{_INCH}?"
)
_TWO = re.compile(r"(?P<feet>\d+)\s*-\s*(?P<inches>\d+)")
_THREE = re.compile(r"(?P<feet>\d+)\s*-\s*(?P<inches>\d+)\s*-\s*(?P<eighths>\d+(?:\.5?|\s+1/2)?)")
_FRACTIONAL = re.compile(rf"(?:\d+(?P<mark>[\s-]+))?{FRACTION}")
_WITH_UNIT = re.compile(rf"(?P<value>{MIXED})\s*(?P<unit>[^\W\d_]\S*|['\"])")
_ONE_SHAPE = {ord(mark): "'" for mark in "’‘′ʹʼ´`"} | {ord(mark): '"' for mark in "”“″ʺ"}
_ONE_SHAPE |= dict.fromkeys(map(ord, "−–‐‑"), "-")


def tidy(text: str) -> str:
    """
    Text with one shape for each mark: straight quotes, ``1/2`` for ``½``, one dash and blank.

    Raises
    ------
    ValueError
        If it is longer than any length.
    """
    if len(text) > LONGEST:
        raise ValueError(f"{quote(text)} is not a length")
    if not text.isascii():
        text = text.translate(_ONE_SHAPE)
        text = "".join(
            f" {unicodedata.normalize('NFKC', letter)}" if "VULGAR" in _name(letter) else letter
            for letter in text
        ).replace("\u2044", "/")
    return " ".join(text.replace("''", '"').split())


def _name(letter: str) -> str:
    return "" if letter.isascii() else unicodedata.name(letter, "")


def quote(text: object) -> str:
    """What was written, quoted: short, and with nothing that steers a terminal."""
    return repr(show(text) if isinstance(text, str) else text)


def evaluate(text: str) -> float:
    """Value of what `MIXED` matches: ``6``, ``6.5``, ``1/2``, ``6 1/2`` or ``6-1/2``."""
    parts = re.sub(r"\s*/\s*", "/", text.strip())
    if "/" in parts:
        parts = parts.replace("-", " ")
    return finite(
        sum(float(Fraction(part)) if "/" in part else float(part) for part in parts.split()), text
    )


def finite(value: float, text: float | str) -> float:
    """Refuse not-a-number and what is too large to be a number."""
    try:
        number = float(value)
    except OverflowError as error:
        raise ValueError("such a number is too large") from error
    if not math.isfinite(number):
        raise ValueError(f"{quote(text)} is not a finite number")
    return number


def split_sign(text: str) -> tuple[float, str]:
    """Sign of a tidy text, 1 or -1, and what follows it."""
    bare = text.strip()
    if bare[:1] in {"-", "+"}:
        return (1.0 if bare[0] == "+" else -1.0), bare[1:].lstrip()
    return 1.0, bare


def name_form(text: str) -> str:
    """
    How a length is written.

    Parameters
    ----------
    text : str
        Tidy, without its sign.

    Returns
    -------
    str
        ``number``; ``fraction`` (``54 5/8``), ``dashed`` (``6-1/2``), ``two`` (``4-7``),
        ``three`` (``4-6-4``), all without a mark; ``feet`` of what can only be feet and inches
        (``4'-6"``, ``6-4-3/4``); the unit of what carries another; empty of what is no length.
    """
    if re.fullmatch(NUMBER, text):
        return "number"
    if match := _FRACTIONAL.fullmatch(text):
        return "dashed" if "-" in (match["mark"] or "") else "fraction"
    if _TWO.fullmatch(text):
        return "two"
    if _FEET_INCHES.fullmatch(text) or _DASHED_INCHES.fullmatch(text):
        return "feet"
    if _THREE.fullmatch(text):
        return "three"
    match = _WITH_UNIT.fullmatch(text)
    return SPELLINGS.get(match["unit"].lower().rstrip("."), "") if match else ""


def parse_length(text: float | str, *, unit: str, notation: str | None = None) -> float:
    """
    Read a length as people write it.

    Parameters
    ----------
    text : float or str
        A bare number, in `unit`; or text that carries its own unit: ``6 in``, ``5'-6 1/2"``,
        ``54⅝"``, ``6-4-3/4`` (feet, inches), ``0.15 m``, ``152 mm``.
    unit : str
        Unit of a bare number, a key of `METRES`.
    notation : str, optional
        How lengths without marks are written, one of `NOTATIONS`: with it ``4-6-4`` is feet,
        inches and eighths, or ``54 5/8`` is inches. Left out: ``4-7`` is feet and inches.

    Returns
    -------
    float
        The length, m.

    Raises
    ------
    ValueError
        If the text is not a length, names a unit that is not known, or can be read in two ways.
    """
    if isinstance(text, bool):
        raise ValueError(f"{text!r} is not a length")
    if isinstance(text, int | float):
        return finite(text, text) * METRES[unit]
    sign, bare = split_sign(tidy(text))
    form = name_form(bare)
    try:
        if form in {"feet", "two", "three"}:
            return sign * _read_feet(bare, form, text, notation)
        if form in {"fraction", "dashed"}:
            return sign * evaluate(bare) * METRES[_unit_of_fraction(text, unit, notation)]
        if form == "number":
            return sign * evaluate(bare) * METRES[unit]
        if match := _WITH_UNIT.fullmatch(bare):
            if not form:
                raise ValueError(f"{quote(text)} names no known unit (m, mm, cm, ft, us-ft, in)")
            return sign * evaluate(match["value"]) * _SPELLED_METRES[form]
    except ZeroDivisionError as error:
        raise ValueError(f"{quote(text)} is not a length: it divides by zero") from error
    raise ValueError(f"{quote(text)} is not a length")


def _read_feet(bare: str, form: str, text: str, notation: str | None) -> float:
    """Metres of feet and inches, by marks or by dashes."""
    patterns = {"two": (_TWO,), "three": (_THREE,), "feet": (_FEET_INCHES, _DASHED_INCHES)}
    match = next(found for each in patterns[form] if (found := each.fullmatch(bare)))
    if form != "feet" and notation == "inches":
        raise ValueError(f"{quote(text)} is not written in inches, as the notation says")
    if form == "three" and notation != "feet-inches-eighths":
        raise ValueError(
            f"{quote(text)} can be read in two ways: as eighths of an inch at its end only where "
            'the notation says so ("feet-inches-eighths")'
        )
    inches = evaluate(match["inches"])
    if re.match(r"0\d\d", match["inches"]):  # 1'008.50
        raise ValueError(f"{quote(text)} has three digits of inches: does its mark part thousands?")
    if inches >= 12:
        raise ValueError(f"{quote(text)} has {inches:g} inches: twelve make a foot")
    if form == "three":
        eighths = evaluate(match["eighths"])
        if eighths >= 8:
            raise ValueError(f"{quote(text)} has {eighths:g} eighths: eight make an inch")
        inches += eighths / 8
    return float(match["feet"]) * METRES["ft"] + inches * METRES["in"]


def _unit_of_fraction(text: str, unit: str, notation: str | None) -> str:
    """Unit of a fraction that carries none: inches, if anything says so."""
    if notation == "inches" or (unit == "in" and notation is None):
        return "in"
    raise ValueError(
        f"{quote(text)} can be read in two ways: write '6 1/2 in' for inches, or '6 ft 0 1/2 in' "
        "for feet and inches"
    )
