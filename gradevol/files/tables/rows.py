"""Rows of a table that fit its columns, and what is wrong with those that do not."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from operator import itemgetter

from gradevol.files.tables.broken_rows import find_cut_row, find_decimal_comma
from gradevol.files.tables.notation import Notation
from gradevol.files.tables.stacked import Stacked
from gradevol.files.tables.table import SAMPLE, Table
from gradevol.files.tables.text import is_number_like

_DIGITS = re.compile(r"\s*[0-9]+\s*")


@dataclass(frozen=True, slots=True)
class Fitted:
    """
    Rows of a table with one cell a column.

    Attributes
    ----------
    table : Table
        Where they come from.
    letters : str
        What each column is, as in `base.columns`.
    rows : sequence of sequences of str
        The rows, padded or joined to one cell a letter.
    places : sequence of int
        The index of each in the table.
    faults : dict of int to str
        What is wrong with those that do not fit, by their index in the table.
    notation : Notation
        What its source says of how its lengths are written.
    """

    table: Table
    letters: str
    rows: Sequence[Sequence[str]]
    places: Sequence[int]
    faults: dict[int, str]
    notation: Notation = field(default_factory=Notation)

    @property
    def lines(self) -> list[int]:
        """The line of each row, from 1."""
        return [self.table.lines[place] for place in self.places]

    @property
    def descriptions(self) -> Sequence[str]:
        """Cells of the column D; between blanks they may stand in quotes."""
        held = self.column("D")
        return tuple([word.strip('"') for word in held]) if self.table.delimiter == " " else held

    def column(self, letter: str) -> Sequence[str]:
        """Cells of one column; blank where there is no such column."""
        if letter not in self.letters:
            return ("",) * len(self.rows)
        at = self.letters.index(letter)
        if isinstance(self.rows, Stacked):
            return self.rows.columns[at].strip()
        return tuple(map(str.strip, map(itemgetter(at), self.rows)))

    def keep(self, indices: Sequence[int]) -> "Fitted":
        """Return some of the rows."""
        if len(indices) == len(self.rows):
            return self
        rows = [self.rows[index] for index in indices]
        places = [self.places[index] for index in indices]
        return replace(self, rows=rows, places=places)


def fit_rows(
    table: Table, letters: str, *, needed: str = "NEZ", notation: Notation | None = None
) -> Fitted:
    """
    Give each row one cell a letter; a description that stands last takes in what follows it.

    Parameters
    ----------
    table : Table
    letters : str
        What each column is.
    needed : str
        Letters of the columns that no row may lack.
    notation : Notation, optional
        What the source says of how its lengths are written.
    """
    width = len(letters)
    least = 1 + max(letters.index(letter) for letter in needed if letter in letters)
    faults: dict[int, str] = {}
    described = letters.find("D") if "D" in letters else None
    doubtful: list[int] = []
    is_even = isinstance(table.rows, Stacked) and len(table.rows.columns) == width
    is_even = is_even or set(map(len, table.rows)) == {width}
    fitted = [] if is_even else list(table.rows)
    for index, row in enumerate(() if is_even and described is None else table.rows):
        if len(row) == width:
            if described is not None and _DIGITS.fullmatch(row[described]):
                doubtful.append(index)
            continue
        extra = [cell for cell in row[width:] if cell.strip()]
        cells = list(row[:width])
        if len(row) < least:
            faults[index] = f"a row of {len(row)} cells is too short for the columns {letters}"
        elif extra and letters[-1] != "D":
            faults[index] = f"a row of {len(row)} cells is too long for the columns {letters}"
            doubtful.append(index)
        elif extra and (
            (table.delimiter != " " and any(map(is_number_like, extra)))
            or (table.delimiter not in " ," and is_number_like(cells[-1]))
        ):
            faults[index] = (
                f"a row of {len(row)} cells, with numbers at its end, does not fit {letters}"
            )
        elif extra:
            cells[-1] = f"{table.delimiter.strip()} ".join(row[width - 1 :]).rstrip(",; ")
            doubtful.append(index)
        fitted[index] = (*cells, *[""] * (width - len(cells)))
    if described is not None:  # who describes by numbers has not lost a point
        numbered = [at for at in doubtful if len(table.rows[at]) == width]
        if 2 * len(numbered) > len(table.rows):
            doubtful = [at for at in doubtful if at not in set(numbered)]
    faults |= _find_commas(table, letters, doubtful)
    if not table.is_ended and (why := find_cut_row(table.rows)):
        faults.setdefault(
            len(table.rows) - 1,
            f"the last row, which no line feed ends, was cut short ({why}; end the line if it is "
            "whole)",
        )
    rows = table.rows if is_even else fitted
    return Fitted(table, letters, rows, range(len(rows)), faults, notation or Notation())


def _find_commas(table: Table, letters: str, doubtful: Sequence[int]) -> dict[int, str]:
    """Say which of some rows have a decimal comma that makes two cells of one number."""
    if table.delimiter != ",":
        return {}
    sample, width = table.rows[:SAMPLE], len(letters)
    # where all rows have one, none is left to tell how many decimals there should be
    if all(len(row) > width and _DIGITS.fullmatch(row[width - 1]) for row in sample):
        why = f"its cells are more than the columns {letters}: has a number a decimal comma in it?"
        return dict.fromkeys(doubtful, why)
    found = {index: find_decimal_comma(table.rows[index], letters, sample) for index in doubtful}
    return {
        index: f"it looks as if {number!r} has a decimal comma in it, which makes two cells of one"
        for index, number in found.items()
        if number
    }
