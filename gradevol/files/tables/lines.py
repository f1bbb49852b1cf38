"""Lines of a text that hold something, and the comments between them."""

import re
from collections.abc import Iterator, Sequence
from itertools import islice

from gradevol.files.tables.text import (
    BLANKS,
    MARKS_OF_COMMENTS,
    SAMPLED,
    find_delimiter,
    split_cells,
)

_SEMICOLON = re.compile(r"^[ \t]*;", re.MULTILINE)
#: A line that may be blank or a comment.
_LEFT_OUT = re.compile(rf"^[{BLANKS}]*(?:$|#|//|;)", re.MULTILINE)
#: A header whose first column is headed by the mark itself: ``#,CY,Out``; and what fills cells.
_HEADED = re.compile(r'#([,;|\t])[ "]*[^\W\d][^,;|\t]*(?:\1[ "]*(?:[^\W\d][^,;|\t]*)?)+')
_FILLED = re.compile(r"[^,;|\t]+")
#: So few lines below a header its first row stands, past blanks and comments.
_NEAR = 50


def split_lines(content: str) -> tuple[list[str], Sequence[int], str, list[tuple[int, str]]]:
    """
    Lines that hold something: neither blank nor a comment (``#``, ``//`` or ``;`` at its start).

    A line of nothing but empty cells, as spreadsheets leave at the end, is blank. Where semicolons
    stand between the cells, one at the start is an empty cell.

    Returns
    -------
    lines : list of str
    numbers : sequence of int
        Where each stands in the file, from 1.
    comment : str
        The last comment above the first line, without its marks: often it is the header.
    passed : list of (int, str)
        Where each comment stands in the file, from 1, and its text.
    """
    lines: list[str] = []
    numbers: list[int] = []
    passed: list[tuple[int, str]] = []
    comment = ""
    has_semicolon = ";" in content and _SEMICOLON.search(content)
    marks = MARKS_OF_COMMENTS[: 3 if has_semicolon and _takes_semicolon(content) else 2]
    last = content.rstrip("\n")
    if not _LEFT_OUT.search(last):
        lines = last.split("\n")
        return lines, range(1, len(lines) + 1), "", []
    every = content.split("\n")
    for number, line in enumerate(every, start=1):
        bare = line.strip(BLANKS)
        if not bare:
            continue
        if (bare[0] in "#/" or len(marks) > 2) and (mark := line.lstrip()).startswith(marks):
            if not lines:
                comment = mark if mark[1:2] in ",;|\t" else mark.lstrip("#/; \t")
            has_header = len(lines) > 9 or any(len(_FILLED.findall(each)) > 2 for each in lines)
            below = (
                each for each in islice(every, number, number + _NEAR) if _is_held(each, marks)
            )
            if has_header or not _heads(mark.rstrip(), below):
                passed.append((number, line))
                continue
        lines.append(line)
        numbers.append(number)
    return lines, numbers, comment, passed


def _is_held(line: str, marks: tuple[str, ...]) -> bool:
    """Whether a line is neither blank nor a comment."""
    return bool(line.strip(BLANKS)) and not line.lstrip().startswith(marks)


def _heads(line: str, below: Iterator[str]) -> bool:
    """Whether a line that begins with # is a header: it has a name for each cell below it."""
    if (match := _HEADED.fullmatch(line)) is None:
        return False
    names, *rows = split_cells([line, *islice(below, 1)], match[1])
    held = [at for row in rows for at, cell in enumerate(row, start=1) if cell.strip()]
    return len(names) >= max(held, default=0) > 2


def _takes_semicolon(content: str) -> bool:
    """Whether a semicolon at the start of a line makes it a comment: it parts no cells."""
    held = (line for line in content.split("\n") if line.strip(BLANKS))
    others = (line for line in held if not line.lstrip().startswith(MARKS_OF_COMMENTS))
    sample = list(islice(others, SAMPLED))
    if not sample or sample[0].strip().lower() == "sep=;":
        return False
    return find_delimiter(sample) != ";"
