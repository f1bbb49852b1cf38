"""Rows broken in writing: a decimal comma among commas, a comment's mark, a cut in the last row."""

import re
from collections.abc import Sequence, Set

from gradevol.files.tables.table import SAMPLE, Table
from gradevol.files.tables.text import count_decimals, is_number_like, split_cells
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, first_of, show, verb_of

_DIGITS = re.compile(r"\s*[0-9]+\s*")
_WHOLE = re.compile(r"\s*[-+−]?[0-9]+\s*")
_NUMBERS = "NEZRT"
#: Fewer rows say nothing of how the last was written.
FEWEST = 3
#: Of a comment so much is held against rows, characters.
_LONG = 300


def find_decimal_comma(row: Sequence[str], letters: str, rows: Sequence[Sequence[str]]) -> str:
    """
    Find a number whose decimal comma has parted it in two cells.

    Parameters
    ----------
    row : sequence of str
        Parted by commas. It has a cell too many, or its description begins with a number.
    letters : str
        What each column is.
    rows : sequence of sequences of str
        Others of the table.

    Returns
    -------
    str
        As it was meant, ``98,74``; empty where no one number makes the row fit.
    """
    for at, letter in enumerate(letters):
        if letter not in _NUMBERS or at + 1 >= len(row):
            continue
        if not (_WHOLE.fullmatch(row[at]) and _DIGITS.fullmatch(row[at + 1])):
            continue
        joined = [*row[:at], f"{row[at].strip()},{row[at + 1].strip()}", *row[at + 2 :]]
        if _fits(joined, letters) and _has_such_decimals(joined[at], at, rows):
            return joined[at]
    return ""


def _fits(row: Sequence[str], letters: str) -> bool:
    """Whether a row has a number where one belongs, and no bare one where a word does."""
    least = 1 + max((at for at, letter in enumerate(letters) if letter in _NUMBERS), default=0)
    if not least <= len(row) <= len(letters):
        return False
    for cell, letter in zip(row, letters, strict=False):
        if letter in _NUMBERS and not is_number_like(cell):
            return False
        if letter == "D" and is_number_like(cell):
            return False
    return True


def _has_such_decimals(number: str, at: int, rows: Sequence[Sequence[str]]) -> bool:
    """Whether most other rows have decimals in that column."""
    counts = [count_decimals(row[at]) for row in rows if at < len(row)]
    return sum(bool(count) for count in counts) > len(counts) / 2 and "," in number


def find_cut_row(rows: Sequence[Sequence[str]]) -> str:
    """
    Find out whether a last row that no line feed ends was cut short.

    Returns
    -------
    str
        What it lacks that all the others have, in words; empty where it lacks nothing.
    """
    if len(rows) <= FEWEST or not rows[-1]:
        return ""
    others, last = rows[:-1], rows[-1]
    widths = {len(row) for row in others}
    if len(last) < min(widths):
        return f"it has {len(last)} cells where the others have {min(widths)}"
    at = len(last) - 1
    ends = [row[at].strip() for row in others if at < len(row)]
    if not last[at].strip() and len(ends) == len(others) and all(ends):
        return "its last cell is empty where those of all others are not"
    own = count_decimals(last[at])
    kept = {count_decimals(cell) for cell in ends}
    fewest = min((count for count in kept if count is not None), default=0)
    if own is not None and last[at].strip() and None not in kept and own < fewest:
        return f"{last[at].strip()!r} has {own} decimals where all others have {fewest} or more"
    word = last[at].strip()
    if word and not is_number_like(word) and word not in ends:
        longer = sorted({cell for cell in ends if cell.startswith(word)}, key=ends.count)
        if longer:
            return f"{word!r} may be the beginning of {longer[-1]!r}"
    return ""


def remark_on_cut(table: Table) -> list[Note]:
    """
    Remark on a last row that was cut short, where a file of it may be in the making.

    Returns
    -------
    list of Note
        Code ``file-cut-short``.
    """
    lacks = "" if table.is_ended else find_cut_row(table.rows)
    if not lacks:
        return []
    text = (
        f"The last row of {table.path.name} may be cut short, {table.quote(table.rows[-1])}: "
        f"{lacks}. It counts as far as it goes."
    )
    return [Note("file-cut-short", escape(text))]


def remark_on_commented(table: Table) -> list[Note]:
    """
    Remark on comments that read like rows: a shot struck out, or one that lost its first number.

    Returns
    -------
    list of Note
        Code ``rows-commented-out``.
    """
    patterns = {_find_numbers(row) for row in table.rows[:SAMPLE]} if table.passed else set()
    found = []
    for line, text in table.passed if any(map(any, patterns)) else ():
        bare = text.strip().lstrip("#/;")[:_LONG]
        # between blanks, a mark in a number's place leaves a cell too few
        tried = [bare, f"- {bare}"] if table.delimiter == " " else [bare]
        numbers = {
            _find_numbers(cells) for each in tried for cells in split_cells([each], table.delimiter)
        }
        if any(_is_like(each, patterns) for each in numbers):
            found.append(f"line {line}, {show(text.strip())!r}")
    if not found:
        return []
    said = (
        f"{count_of(len(found), 'comment')} of {table.path.name} {verb_of(len(found), 'read')} "
        f"like a row, and {verb_of(len(found), 'are')} passed over: "
        f"{first_of(found, 3, mark='; ')}. If it counts, take away the mark at its start."
    )
    return [Note("rows-commented-out", escape(said))]


def _is_like(numbers: tuple[bool, ...], patterns: Set[tuple[bool, ...]]) -> bool:
    """Whether numbers stand in a line as in some row; several, each as in one row or another."""
    alike = [pattern for pattern in patterns if len(pattern) == len(numbers)]
    each_held = all(any(column) for number, *column in zip(numbers, *alike, strict=True) if number)
    return (any(numbers) and numbers in patterns) or (sum(numbers) > 1 and each_held)


def _find_numbers(cells: Sequence[str]) -> tuple[bool, ...]:
    """Which cells behind the first are numbers."""
    return tuple(map(is_number_like, cells[1:]))


def find_cut_reading(texts: Sequence[str], *, is_ended: bool) -> str:
    """
    Find out whether the last of a sheet's readings was cut short, where no line feed ends it.

    Returns
    -------
    str
        In words; empty where it was not.
    """
    if is_ended or len(texts) < FEWEST:
        return ""
    *others, last = map(count_decimals, texts)
    kept = [count for count in others if count is not None]
    if last is None or len(kept) < len(others) or last >= min(kept):
        return ""
    return f"its last reading, {texts[-1]!r}, has {last} decimals where all others have {min(kept)}"
