"""The unit that a line above or between a table's rows says its numbers are in."""

import re
from collections.abc import Iterator
from typing import NamedTuple

from gradevol.files.tables.headings import read_headings, read_unit, units_of
from gradevol.files.tables.table import Table
from gradevol.ground.errors import InputError
from gradevol.ground.words import show

#: What leads up to a unit, as instruments and hands write it; common practice, no source.
_LEADS = re.compile(
    r"\bunits?\s*(?:[:=,;|\t(\[]|are\b|is\b|in\b)"
    r"|\bunits\s+(?=[^\W\d_]{2})"  # units feet; of units M to Q none is
    r"|\b(?:coordinates|coords|elevations|numbers|values|readings|distances|lengths|dimensions)"
    r"\s+(?:are\s+)?(?:all\s+)?in\b"
    r"|\b(?:coordinates|coords|elevations?|elevs?)\s*(?:\(|\[|in\b)",
    re.IGNORECASE,
)
#: What was made of other units: those that stand before it are no more those of the numbers.
_CONVERTED = re.compile(r"\b(?:converted|changed)\s+(?:in)?to\b", re.IGNORECASE)
#: What may be told in a unit of its own, in the words before it; common practice, no source.
_OF_ELSE = re.compile(
    r"\b(?:toleranc|accurac|precision|errors?\b|misclos|residual|deviation|rms|sigma)[^,;]*$",
    re.IGNORECASE,
)
_WORD = re.compile(r"[^\W\d_]+|[:;,.()\[\]/=-]")
_LONGEST = 3
#: Letters that are a unit only where nothing but a mark follows: words begin so too.
_SHORT = frozenset({"m", "in"})


class Said(NamedTuple):
    """A unit, or one that is not read, such as ``cm``; the line that says it, and what it says."""

    unit: str
    line: int
    text: str


def find_said(table: Table) -> list[Said]:
    """Units that comments and titles of a table name, in the order of the file; each once."""
    found: dict[str, Said] = {}
    if {*units_of(read_headings(table.header or ()))}:
        return []  # what stands above the columns themselves goes before
    for line, text in table.passed:
        for unit in _list_units(text):
            found.setdefault(unit, Said(unit, line, show(text.strip())))
    return list(found.values())


def _list_units(text: str) -> Iterator[str]:
    """Units that a line says its numbers are in; of converted ones the unit that was made."""
    if (made := _CONVERTED.search(text)) and (unit := _read_words(text[made.end() :])):
        yield unit
        return
    for lead in _LEADS.finditer(text):
        if not _OF_ELSE.search(text[: lead.start()]) and (unit := _read_words(text[lead.end() :])):
            yield unit


def _read_words(text: str) -> str | None:
    words = _WORD.findall(text.lower().replace("u.s.", "us"))
    while words and not words[0].isalpha():
        words = words[1:]
    for count in range(min(len(words), _LONGEST), 0, -1):
        unit, is_known = read_unit(words[:count])
        is_cut_off = len(words) > count and words[count].isalpha()
        if is_known and unit and not (words[0] in _SHORT and is_cut_off):
            return unit
    return None


def find_other(table: Table, unit: str) -> list[Said]:
    """Those of `find_said` that are another unit than `unit`; plain feet may be survey feet."""
    return [
        said
        for said in find_said(table)
        if said.unit != unit and (said.unit, unit) != ("ft", "us-ft")
    ]


def check_said(table: Table, unit: str, *, own: str = "") -> None:
    """
    Refuse a table whose comments or titles say another unit than the job's, or a column's `own`.

    Raises
    ------
    InputError
        It says both.
    """
    for said in find_other(table, unit):
        if said.unit == own:
            continue
        of_column = ", or write its unit into that column's heading, as in length_in" * bool(own)
        raise InputError(
            f"it says that its numbers are in {said.unit}, but the job says {unit}",
            remedy=f"Correct the line where it is wrong{of_column}; or say in the job, where it "
            "names the file, its own unit (units), or that the line is to be passed over "
            "(ignore_file_unit = true)",
            path=table.path,
            line=said.line,
            quoted=repr(said.text[:80]),
        )
