"""Cells of delivery tickets: amounts, estimates, times of day, several things joined by a plus."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from gradevol.ground.lengths import LONGEST, tidy

#: Marks of an estimate, before or behind the number.
_ESTIMATE = re.compile(
    r"^(?:~|≈|ca\.?\s|c\.\s|about\s|approx\.?\s|est\.?\s|abt\.?\s)|(?:\?|\s*\(?est\.?\)?|\s*approx\.?)$"
)
_AMOUNT = re.compile(
    r"(?:(?P<whole>\d+)[\s-]+)?(?P<over>\d+)\s*/\s*(?P<under>[1-9]\d*)\s*(?P<unit1>(?:\D+[23]?)?)"
    r"|(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)\s*(?P<unit2>[^\d.,]\S*(?:\s+\S+)*[23³]?)?"
)
_THOUSANDS = re.compile(r"\d{1,3}(?:,\d{3})+")
_TIME = re.compile(
    r"(?:(?P<date>\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4})[T\s]\s*)?"
    r"(?P<hour>\d{1,2})(?:[:.h](?P<minute>[0-5]\d)(?::(?P<second>[0-5]\d)(?:\.\d+)?)?)?"
    r"\s*(?P<half>[ap])?\.?m?\.?",
    re.IGNORECASE,
)
_MILITARY = re.compile(
    r"(?P<hour>[01]?\d|2[0-4])(?P<minute>[0-5]\d)\s*(?P<half>[ap])?\.?m?\.?", re.IGNORECASE
)


@dataclass(frozen=True, slots=True)
class Amount:
    """
    An amount as measured or estimated.

    Attributes
    ----------
    value : float
        SI: m³, kg or kg/m³.
    is_estimate : bool
        Whether it was written as one: ``~0.2``.
    """

    value: float
    is_estimate: bool = False


def is_blank(cell: str) -> bool:
    """Whether nothing stands in a stripped cell, or a dash or a word for it."""
    return cell.casefold() in {"", "-", "–", "—", "none", "nil", "n/a"}


def parse_amount(
    cell: str, *, decimal: str, units: Mapping[str, float], factor: float, thousands: bool = False
) -> Amount:
    """
    Read an amount: a number, an estimate, a sum of parts, with or without a unit of its own.

    Parameters
    ----------
    cell : str
        ``10``, ``8 1/2``, ``8½``, ``~0.2``, ``10+9.5``, ``0.2 yd est.``
    decimal : str
        The file's decimal mark.
    units : mapping of str to float
        Units of the family, in SI.
    factor : float
        What 1 is in SI where the cell has no unit.
    thousands : bool
        Whether a comma may part thousands, where the decimal mark is a point.

    Raises
    ------
    ValueError
        If it is none; the message is what follows the cell in a sentence.
    """
    text, is_estimate = cell.strip(), False
    if len(text) <= LONGEST:
        text = tidy(text)
    while found := _ESTIMATE.search(text.lower()):
        is_estimate = True
        text = (text[: found.start()] + text[found.end() :]).strip()
    parts = [part.strip() for part in text.split("+")]
    return Amount(
        sum(_parse_part(part, decimal, units, factor, thousands) for part in parts), is_estimate
    )


def _parse_part(
    text: str, decimal: str, units: Mapping[str, float], factor: float, thousands: bool
) -> float:
    if thousands and decimal == "." and (parted := _THOUSANDS.match(text)):
        text = parted[0].replace(",", "") + text[parted.end() :]
    match = _AMOUNT.fullmatch(text)
    if match is None or len(text) > LONGEST:
        raise ValueError("is not an amount")
    unit = " ".join((match["unit1"] or match["unit2"] or "").lower().replace("/", " ").split())
    unit = unit.rstrip(".")
    if unit and unit not in units:
        raise ValueError(f"has a unit {unit!r} that is not known here")
    size = units[unit] if unit else factor
    if match["over"]:
        return (int(match["whole"] or 0) + int(match["over"]) / int(match["under"])) * size
    number = match["number"]
    if "," in number and decimal == ".":
        raise ValueError("has a comma in it, which may part thousands or be a decimal comma")
    if "." in number and decimal == ",":
        raise ValueError("has a decimal point, but most numbers here have a decimal comma")
    return float(number.replace(",", ".")) * size


def parse_clock(cell: str) -> float:
    """
    Read a time of day: ``06:38``, ``6:38 AM``, ``0638``, ``638``, ``2026-05-12 06:38``.

    Returns
    -------
    float
        Hours after midnight, 0 to 24; the date is not looked at.

    Raises
    ------
    ValueError
        If it is none.
    """
    text = cell.strip()
    match = _MILITARY.fullmatch(text) or _TIME.fullmatch(text)
    groups = match.groupdict() if match else {}
    if match is None or (groups.get("minute") is None and not groups.get("half")):
        raise ValueError("is not a time of day, such as 14:05")
    hour, half = int(match["hour"]), (groups.get("half") or "").lower()
    minutes = int(match["minute"] or 0) + int(groups.get("second") or 0) / 60
    if half and not 1 <= hour <= 12:
        raise ValueError("is not a time of day: with am or pm the hour is 1 to 12")
    if half:
        hour = hour % 12 + 12 * (half == "p")
    if hour > 24 or (hour == 24 and minutes):
        raise ValueError("is not a time of day")
    return hour + minutes / 60


def plain_number(text: str) -> str:
    """Write a number without the noughts before it, which a spreadsheet takes off."""
    return text.lstrip("0") or text


def split_names(cell: str) -> tuple[str, ...]:
    """Names joined by plus, comma, semicolon, ampersand or `and`: ``A1, A2`` or ``slab+pad``."""
    parts = re.split(r"\s*[+;,&]\s*|\s+and\s+", cell.strip())
    return tuple(part for part in parts if part)
