"""Cells of delimited text that a spreadsheet leaves as they are."""

import csv
import io
import re
from collections.abc import Iterable

#: A cell that starts with one of these may be run as a formula: OWASP, "CSV Injection",
#: https://owasp.org/www-community/attacks/CSV_Injection
_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def guard(text: str) -> str:
    """
    Make a cell of text such that no spreadsheet runs it as a formula.

    Parameters
    ----------
    text : str
        Words; numbers are written as numbers and need no guard.

    Returns
    -------
    str
        With an apostrophe before it where it starts as a formula does, whatever spaces precede.
    """
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
