"""A text file as cells, before anything in it is believed."""

import csv
import re
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from gradevol.files.sniff import File
from gradevol.files.tables.headings import read_heading, take_units
from gradevol.files.tables.lines import split_lines
from gradevol.files.tables.text import (
    Text,
    find_decimal,
    find_delimiter,
    is_number_like,
    read_text,
    split_cells,
)
from gradevol.ground.errors import InputError

#: Rows that are enough to see what a file is like.
SAMPLE = 1000
#: Rows in which the table must begin, below titles.
TITLES = 10


@dataclass(frozen=True, slots=True)
class Table:
    """
    A text file as cells: what can be said of it before anything is believed.

    Attributes
    ----------
    path : Path
        The file.
    header : tuple of str or None
        Its first row, where that holds no number; or the names in the comment above it. Titles
        above it, of one or two words' cells, are left out.
    rows : sequence of sequences of str
        The cells of each other row that is neither blank nor a comment.
    lines : sequence of int
        The line of each row, from 1.
    delimiter : str
        A tab, bar (``|``), semicolon, comma; or a blank for columns aligned by blanks.
    encoding : str
        How it was decoded; ``cp1252`` is a guess.
    decimal : str
        The decimal mark that most of its numbers have.
    is_ended : bool
        Whether a line feed ends its last row.
    again : tuple of int
        Lines in which its header stands again, as at the top of each printed page.
    passed : tuple of (int, str)
        Comments, and titles above the table: the line of each, from 1, and its text.
    """

    path: Path
    header: tuple[str, ...] | None
    rows: Sequence[Sequence[str]]
    lines: Sequence[int]
    delimiter: str
    encoding: str
    decimal: str
    is_ended: bool = True
    passed: tuple[tuple[int, str], ...] = ()
    again: tuple[int, ...] = ()

    def quote(self, row: Sequence[str]) -> str:
        """A row as one short quoted text."""
        text = self.delimiter.join(row)
        return repr(text if len(text) <= 60 else f"{text[:57]}...")

    def cell(self, index: int, at: int) -> str:
        """Cell of a row by its place; blank beyond the row's end."""
        row = self.rows[index]
        return row[at].strip() if at < len(row) else ""

    def fault(self, index: int, problem: str, remedy: str) -> InputError:
        """Error that names and quotes a row."""
        return InputError(
            f"{problem}, in {self.quote(self.rows[index])}",
            remedy=remedy,
            path=self.path,
            line=self.lines[index],
        )

    def require_header(self, *, for_what: str, remedy: str) -> tuple[str, ...]:
        """Header of a table whose columns nothing else tells; refused where it has none."""
        if self.header is not None and self.delimiter != " ":
            return self.header
        why = (
            "it has no header row" if self.header is None else "its columns are separated by blanks"
        )
        raise InputError(f"{why}, so nothing says {for_what}", remedy=remedy, path=self.path)


@cache
def read_sheet_of(sheet: str | None) -> Callable[[File], Table]:
    """What reads the cells of a workbook's sheet by its name; without one, `read_table`."""
    if not sheet:
        return read_table

    def read(file: File) -> Table:
        refuse_sheet(file, sheet)
        return make_table(file.path, read_text(file, sheet))

    return read


def refuse_sheet(file: File, sheet: str | None) -> None:
    """Refuse the name of a sheet for a file that has none."""
    if sheet and file.kind != "workbook":
        raise InputError(
            f"the job names its sheet {sheet!r}, but it is {file.words}, which has no sheets",
            remedy="Leave sheet out",
            path=file.path,
        )


def read_table(file: File) -> Table:
    """
    Read a text file's cells, without a judgement on what they mean.

    Raises
    ------
    InputError
        If it is no text file, or a kind of text that is not a table, holds nothing, or has a
        quote that is left open.
    """
    if file.kind != "workbook":
        refuse_others(file)
    return make_table(file.path, read_text(file))


def refuse_others(file: File) -> None:
    """Refuse a file of a kind that is no table."""
    if file.kind != "text":
        raise InputError(
            f"it seems to be {file.words}, not a table of points",
            remedy="Give delimited text: one point a line",
            path=file.path,
        )


def make_table(path: Path, text: Text) -> Table:
    """Make the cells of a file's text, or of its first part; see `read_table`."""
    lines, numbers, comment, passed = split_lines(text.content)
    delimiter = None
    if lines and (stated := re.fullmatch(r"sep=(.)", lines[0].strip(), re.IGNORECASE)):
        delimiter = stated[1]  # spreadsheets write and obey this line
        lines, numbers = lines[1:], numbers[1:]
    if not lines:
        raise InputError("it holds no rows", remedy="Check that this is the right file", path=path)
    delimiter = delimiter or find_delimiter(lines)
    rows = _split_rows(path, lines, numbers, delimiter)
    if titles := _count_titles(rows, delimiter):
        passed = [*zip(numbers[:titles], lines[:titles], strict=True), *passed]
        lines, rows, numbers = lines[titles:], rows[titles:], numbers[titles:]
    try:
        header, rows, numbers = _part_header(lines[0], comment, rows, numbers, delimiter)
    except ValueError as error:
        raise InputError(
            str(error),
            remedy="Write a header row without the comment mark, one name a column",
            path=path,
            line=numbers[0],
        ) from error
    rows, numbers, again = _leave_out_again(header, rows, numbers)
    if header and rows and (named := take_units(header, rows[0])):
        header, rows, numbers = named, rows[1:], numbers[1:]
    return Table(
        *(path, header, rows, numbers, delimiter, text.encoding, find_decimal(rows, delimiter)),
        is_ended=text.content.endswith("\n"),
        passed=tuple(passed),
        again=again,
    )


def _split_rows(
    path: Path, lines: Sequence[str], numbers: Sequence[int], delimiter: str
) -> Sequence[tuple[str, ...]]:
    try:
        rows = split_cells(lines, delimiter)
    except csv.Error as error:
        raise InputError(
            f"it is not delimited text ({error})", remedy="Check its quotes", path=path
        ) from error
    is_open = len(rows) == len(lines) and _is_left_open(lines[-1], delimiter)
    if is_open or len(rows) < len(lines):  # a row took in what follows: never lose shots that way
        reader = csv.reader(lines, delimiter=delimiter, skipinitialspace=True)
        ends = [0, *(reader.line_num for _ in reader)]
        opened = next((start for start, end in pairwise(ends) if end > start + 1), len(lines) - 1)
        raise InputError(
            f"a quote is left open in {lines[opened][:80]!r}",
            remedy="Close it on its line; a quote inside quotes is written twice, as in "
            '"5\'-6 1/2""" for five feet six and a half inches',
            path=path,
            line=numbers[opened],
        )
    return rows


def _is_left_open(line: str, delimiter: str) -> bool:
    """Whether a line ends within a quote."""
    if '"' not in line or delimiter == " ":
        return False
    rows = csv.reader([line, ""], delimiter=delimiter, skipinitialspace=True)
    return sum(1 for _ in rows) == 1  # it took in what follows


def _count_titles(rows: Sequence[Sequence[str]], delimiter: str) -> int:
    """Rows at the top that only name the job, the crew or the day, above the table proper."""
    if delimiter == " ":  # where each word is a cell
        return 0
    named = next((at for at, row in enumerate(rows[:TITLES]) if names_places(row)), 0)
    if named and all(sum(map(is_number_like, row)) < 2 for row in rows[:named]):
        return named  # whatever stands above it, no row of that is a place
    most = 0
    for at, row in enumerate(rows[:TITLES]):
        held = [cell for cell in row if cell.strip()]
        if at and len(held) >= most + 2:
            is_headed = not row[0].strip() or not any(map(is_number_like, held))
            return at if is_headed else 0  # else it may be a shot that lost its numbers
        is_table = any(is_number_like(cell) or read_heading(cell).letter != "-" for cell in held)
        if len(held) > 2 or is_table:
            return 0
        most = max(most, len(held))
    return 0


def names_places(row: Sequence[str]) -> bool:
    """Whether a row names northing and easting: no shot of a point N, coded E, does."""
    letters = {read_heading(cell).letter for cell in row}
    return {"N", "E"} <= letters and sum(map(is_number_like, row)) < 2


def _part_header(
    first: str,
    comment: str,
    rows: Sequence[tuple[str, ...]],
    numbers: Sequence[int],
    delimiter: str,
) -> tuple[tuple[str, ...] | None, Sequence[tuple[str, ...]], Sequence[int]]:
    """Part the header from the rows: it is the first row, or the comment above it."""
    cells = rows[0]
    held = [cell for cell in cells if cell.strip()]
    if len(held) > max(1, len(cells) / 2) and not any(map(is_number_like, held)):
        rows, numbers = rows[1:], numbers[1:]
        widths = Counter(map(len, rows[:SAMPLE])).most_common(1)
        return _split_names(first, widths[0][0] if widths else 0, delimiter), rows, numbers
    names = _split_names(comment, len(cells), delimiter) if comment else ()
    if names_places(names):
        if len(names) + 1 == len(cells):  # "# N, E, Z": the mark itself names the point
            names = ("#", *names)
        if len(names) == len(cells) or (
            delimiter == " " and len(names) < len(cells) and read_heading(names[-1]).letter == "D"
        ):
            return names, rows, numbers
        if len(names) > 2:  # not to be read in another order than it says
            raise ValueError(
                f"the comment above it names {len(names)} columns, but {first[:80]!r} has "
                f"{len(cells)} cells"
            )
    return None, rows, numbers


def _leave_out_again(
    header: tuple[str, ...] | None, rows: Sequence[tuple[str, ...]], numbers: Sequence[int]
) -> tuple[Sequence[tuple[str, ...]], Sequence[int], tuple[int, ...]]:
    """Leave out rows that are the header again; of many rows, which are no list, none is."""
    if header is None or not isinstance(rows, list):
        return rows, numbers, ()
    names = tuple(map(str.strip, header))
    again = {at for at, row in enumerate(rows) if tuple(map(str.strip, row)) == names}
    if not again:
        return rows, numbers, ()
    kept = [at for at in range(len(rows)) if at not in again]
    lines = tuple(numbers[at] for at in sorted(again))
    return [rows[at] for at in kept], [numbers[at] for at in kept], lines


def _split_names(line: str, width: int, delimiter: str) -> tuple[str, ...]:
    """Names in a header line; those of two words between aligned columns stay together."""
    if delimiter == " ":
        wide = re.split(r"\s{2,}|\t", line.strip())
        if len(wide) == width:
            return tuple(wide)
    return tuple(cell.strip() for cell in split_cells([line], delimiter)[0])
