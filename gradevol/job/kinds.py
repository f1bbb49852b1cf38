"""Kinds of values: text, numbers, quantities with a unit, times, tables."""

import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, datetime, time
from functools import partial
from inspect import signature
from typing import NamedTuple

from gradevol.files.globe import FARTHEST
from gradevol.ground.forces import parse_force, parse_line_weight
from gradevol.ground.lengths import parse_length
from gradevol.ground.quantities import parse_area, parse_fall, parse_share, parse_volume
from gradevol.ground.units import METRES
from gradevol.job.declarations import Kind, TableKeys
from gradevol.job.table import Table, Value, is_number
from gradevol.job.toml import NO_COMMA

_MOST = 1e9
_TIME = re.compile(r"(?P<value>\d+(?:\.\d+)?)\s*(?P<unit>h|hrs?|hours?|mins?|minutes?)\.?")
_CLOCK = re.compile(r"(?P<hour>\d{1,2}):(?P<minute>[0-5]\d)(?::00)?")


# Text, and one of a few


def _read_text(value: Value) -> str:
    if not isinstance(value.given, str) or not value.given.strip():
        is_blank = isinstance(value.given, str)
        remedy = "Write something between the quotes" if is_blank else "Put it between quotes"
        raise value.wrong("text that is not blank", remedy)
    return value.given


def read_texts(value: Value) -> tuple[str, ...]:
    """Text or a list of it."""
    if not isinstance(value.given, list):
        return (_read_text(value),)
    if not value.given:
        raise value.wrong("text or a list of text", "Or leave it out")
    items = enumerate(value.given, start=1)
    return tuple(_read_text(value.part(f"{value.name} {number}", item)) for number, item in items)


def _read_note(value: Value, *, is_date: bool = False) -> str:
    if is_date and isinstance(value.given, date | datetime | time):
        return str(value.given)
    if not isinstance(value.given, str):
        raise value.wrong("text", "Put it between quotes")
    return " ".join(value.given.split())


def _read_unit(value: Value) -> str:
    if not isinstance(value.given, str) or value.given not in METRES:
        raise value.wrong(
            f"one of {', '.join(METRES)}",
            "m and mm are metric; ft is the international foot, us-ft the US survey foot, in the "
            "inch",
        )
    return value.given


def choice(*options: str | bool, remedy: str) -> Kind:
    """One of a few texts, true and false."""
    *first, last = (f'"{each}"' if isinstance(each, str) else str(each).lower() for each in options)
    expected = f"{', '.join(first)} or {last}"

    def read_choice(value: Value) -> str | bool:
        if not isinstance(value.given, str | bool) or value.given not in options:
            raise value.wrong(expected, remedy)
        return value.given

    return Kind(read_choice, last, choices=(*first, last))


TEXT = Kind(_read_text, '"..."')
TEXTS = Kind(read_texts, '["...", "..."]')
#: Text to be printed, on one line; blank text is as good as none.
NOTE = Kind(_read_note, '"..."')
DATE = Kind(partial(_read_note, is_date=True), '"..."')
UNIT = Kind(_read_unit, '"ft"', choices=tuple(METRES))
FLAG = choice(True, False, remedy="Write it without quotes")

# Bare numbers


def number(
    what: str,
    least: float,
    most: float = _MOST,
    *,
    such_as: str = "",
    is_whole: bool = False,
    feet: float = 1.0,
    metres: float = 1.0,
) -> Kind:
    """
    Bare number within limits.

    Parameters
    ----------
    what, such_as : str
        What it must be, and an example of it: ``a share``, ``0.9 for 90 %``.
    least, most : float
    is_whole : bool
        Whether it must be a whole number.
    feet, metres : float
        What 1 stands for in jobs in feet or inches, and in metric ones.
    """
    limits = f"{least:g} or more" if most == _MOST else f"{least:g} to {most:g}"
    expected = f"{what}, {limits}" if most == _MOST else f"{what} from {limits}"
    expected += f", such as {such_as}" if such_as else ""

    def read_number(value: Value) -> float:
        given = value.given
        is_within = is_number(given) and least <= given <= most  # not-a-number is not
        if not is_within or (is_whole and given != int(given)):
            raise value.wrong(expected, "Write a bare number")
        if is_whole:
            return int(given)
        return float(given) * (metres if value.file.is_metric else feet)

    is_plain = least == 0 and most == _MOST
    return Kind(read_number, such_as or f"{least:g}", "" if is_plain else limits)


def share(least: float, most: float, *, such_as: str) -> Kind:
    """Share within limits: a fraction, or text such as ``5 %``."""
    limits = f"{least:g} to {most:g}"
    expected = f"a share from {limits}, such as {such_as}"

    def read_share(value: Value) -> float:
        remedy = 'Write a fraction, or text such as "5 %"'
        if isinstance(value.given, bool) or not isinstance(value.given, int | float | str):
            raise value.wrong(expected, remedy)
        try:
            read = parse_share(value.given)
        except ValueError as error:
            raise value.wrong(expected, remedy) from error
        if not least <= read <= most:
            raise value.wrong(expected, remedy)
        return read

    fraction, _, percent = such_as.partition(" for ")
    return Kind(read_share, f'{fraction}, or "{percent}"', limits)


def whole_numbers(least: int, most: int) -> Kind:
    """List of whole numbers within limits, each once."""
    expected = f"a list of whole numbers from {least} to {most}"

    def read_whole_numbers(value: Value) -> tuple[int, ...]:
        remedy = f"Write it as {value.name.rpartition('.')[2]} = [{least}, {least + 1}]"
        if not isinstance(value.given, list) or not value.given:
            raise value.wrong(expected, remedy)
        for item in value.given:
            if not isinstance(item, int) or not is_number(item) or not least <= item <= most:
                raise value.part(f"one of {value.name}", item).wrong(expected, remedy)
            if value.given.count(item) > 1:
                raise value.file.error(f"{value.name} names {item} twice", "Name each once")
        return tuple(value.given)

    return Kind(read_whole_numbers, f"[{least}, {least + 1}]", f"{least} to {most}")


# Quantities: a bare number or text with a unit


class Bound(NamedTuple):
    """What a quantity must be, in words, whether it is, and what to do where it is not."""

    expected: str
    holds: Callable[[float], bool]
    remedy: str = "Check its sign"


ON_EARTH = Bound(
    "nearer: nothing on Earth is as far",
    lambda length: abs(length) <= FARTHEST,
    "Look for a slip of the decimal point, the exponent or the unit",
)
POSITIVE = Bound("more than 0", lambda value: value > 0)
NOT_NEGATIVE = Bound("0 or more", lambda value: value >= 0)


def quantity(
    what: str, example: str, parse: Callable[..., float], *bounds: Bound, has_bare: bool = True
) -> Kind:
    """Quantity in metres, or what else its parser makes of a bare number, if any, and of text."""
    takes = signature(parse).parameters
    ways = f'Write it as text such as "{example}"' + (", or as a bare number" if has_bare else "")

    def read_quantity(value: Value) -> float:
        has_comma = isinstance(value.given, str) and re.search(r"\d,\d", value.given)
        remedy = NO_COMMA if has_comma else ways
        if isinstance(value.given, bool) or not isinstance(value.given, int | float | str):
            raise value.wrong(what, remedy)
        try:
            known = {"unit": value.file.unit, "notation": value.file.notation}
            read = parse(value.given, **{name: known[name] for name in known if name in takes})
        except ValueError as error:
            problem = f"{value.name} must be {what}, but {error}"
            raise value.file.error(problem, remedy) from error
        for bound in bounds:
            if not bound.holds(read):
                raise value.wrong(bound.expected, bound.remedy)
        return read

    bare = ", or a number in {unit}" if parse is parse_length else ", or a bare number"
    return Kind(read_quantity, f'"{example}"{bare if has_bare else ""}')


ELEVATION = quantity("a length", "6 in", parse_length, ON_EARTH)
LENGTH = quantity("a length", "6 in", parse_length, ON_EARTH, POSITIVE)
LENGTH_OR_0 = quantity("a length", "6 in", parse_length, ON_EARTH, NOT_NEGATIVE)
AREA = quantity("an area", "80 ft2", parse_area, POSITIVE)
SIGNED_AREA = quantity("an area", "2 in2", parse_area)
VOLUME = quantity("a volume", "1.5 yd3", parse_volume, POSITIVE)
SIGNED_VOLUME = quantity("a volume", "1.5 yd3", parse_volume)
FORCE = quantity("a pull", "15 lb", parse_force, has_bare=False)
LINE_WEIGHT = quantity("a weight", "0.0006 lb/ft", parse_line_weight, has_bare=False)


def fall(example: str, expected: str, holds: Callable[[float], bool], remedy: str) -> Kind:
    """Fall within limits, a ratio."""
    kind = quantity("a fall", example, parse_fall, Bound(expected, holds, remedy))
    return replace(kind, limits=expected)


# Times

#: Most hours that go without a unit: 45 is of minutes.
_BARE = 12


def _read_hours(value: Value) -> float:
    expected, hours = "a time of 0 to 1000 h", value.given
    if isinstance(value.given, str):
        match = _TIME.fullmatch(value.given.strip())
        divisor = 60 if match and match["unit"].startswith("m") else 1
        hours = float(match["value"]) / divisor if match else -1.0
    if not is_number(hours) or not 0 <= hours <= 1000:
        raise value.wrong(expected, "Write a bare number of hours, '90 min' or '2 h'")
    if hours > _BARE and not isinstance(value.given, str):
        raise value.wrong(
            f"a number of hours, {_BARE} at most without a unit",
            f"Write '{hours:g} min' or '{hours:g} h'",
        )
    return float(hours)


def _read_clock(value: Value) -> float:
    """Hours after midnight, of text such as 7:00 or a time of TOML's own."""
    text = value.given.strip() if isinstance(value.given, str) else str(value.given)
    match = _CLOCK.fullmatch(text)
    hours = int(match["hour"]) + int(match["minute"]) / 60 if match else -1.0
    if isinstance(value.given, bool | int | float) or not 0 <= hours < 24:
        raise value.wrong("a time of day", 'Write start = "7:00", of 24 hours')
    return hours


HOURS = Kind(_read_hours, '"90 min"', f"0 to 1000 h, {_BARE} at most without a unit")
CLOCK = Kind(_read_clock, '"7:00"')

# Tables


def _read_part(value: Value, keys: TableKeys) -> Table:
    if not isinstance(value.given, dict):
        is_headed = keys.heading.startswith("[")
        write = f"a line [{value.name}] with its keys below it"
        remedy = f"Write {write if is_headed else f'{value.name} = {{ ... }}'}"
        raise value.wrong("a table", remedy)
    return Table(value.file, keys, value.name, value.given)


def _read_parts(value: Value, keys: TableKeys) -> Sequence[Table]:
    given, name = value.given, value.name
    if not isinstance(given, list) or not all(isinstance(item, dict) for item in given):
        raise value.wrong("a list of tables", f"Write [[{name}]] above each")
    return [Table(value.file, keys, f"{name} {at}", each) for at, each in enumerate(given, start=1)]


def part(keys: TableKeys) -> Kind:
    """Table of its own, with declared keys."""
    return Kind(partial(_read_part, keys=keys), "{ ... }")


def parts(keys: TableKeys) -> Kind:
    """Array of tables."""
    return Kind(partial(_read_parts, keys=keys), "[{ ... }, { ... }]")


#: What only the module that fills the description can read: it gets a `table.Value`.
AS_WRITTEN = Kind(lambda value: value, "...")
