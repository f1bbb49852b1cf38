"""Cells of delimited text that a spreadsheet leaves as they are."""

import csv
import io
import re
from collections.abc import Iterable

#: A cell that starts with one of these may be run as a formula: OWASP, "CSV Injection",
#: https://owasp.org/www-community/attacks/CSV_Injection
#: The wide forms are run as well where text is entered in East Asian letters; the same page.
_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠", "\t", "\r", "\n")
#: Controls and marks of direction, which can hide what a cell starts with or steer a terminal.
_HIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff]"
)
_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def guard(text: str) -> str:
    """Make a cell of text such that no spreadsheet runs it as a formula, nor hides a part of it.

    An apostrophe stands before one that starts as a formula does, whatever spaces precede.
    """
    text = _HIDDEN.sub("", text)
    return f"'{text}" if text.startswith(_STARTS) or text.lstrip().startswith(_STARTS) else text


def guard_words(cell: str) -> str:
    """Guard a cell unless it is a plain number, which no spreadsheet runs."""
    return cell if _NUMBER.fullmatch(cell) else guard(cell)


def compose_rows(header: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Write rows of cells as comma-separated text, quoted where needed, one row a line."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return text.getvalue()
