"""The file of learned factors as it is added to: one row a job, each job once."""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

from gradevol.files.sniff import open_file
from gradevol.files.table import read_table
from gradevol.ground.errors import InputError

_TEXT = ("job", "date", "title")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")


def add_row(path: Path, header: Sequence[str], row: Sequence[str]) -> list[list[str]]:
    """
    Add a job's row to those of a file, or let it take the place of the row that the job had.

    Parameters
    ----------
    path : Path
        Need not exist.
    header : sequence of str
        Of the file; the job stands in the first column.
    row : sequence of str

    Returns
    -------
    list of list of str
        All rows, without the header.

    Raises
    ------
    InputError
        If the file is another one: it is left as it is.
    """
    if not path.exists() or path.stat().st_size == 0:
        return [list(row)]
    table = read_table(open_file(path))
    if tuple(table.header or ()) != tuple(header):
        raise InputError(
            f"its first row is {table.quote(table.header or ())}, so it is no file of factors that "
            "gradevol wrote",
            remedy="Name another file with --learn, or a new one",
            path=path,
        )
    rows = [list(each) for each in table.rows]
    name = row[0].casefold()
    same = [
        number for number, each in enumerate(rows) if each[0].removeprefix("'").casefold() == name
    ]
    if not same:
        return [*rows, list(row)]
    rows[same[-1]] = list(row)
    return [each for number, each in enumerate(rows) if number not in same[:-1]]


def read_past(
    header: Sequence[str], rows: Sequence[Sequence[str]]
) -> tuple[Mapping[str, str | float], ...]:
    """Numbers and texts of each row by its heading; what is blank or no number is left out."""
    found = []
    for row in rows:
        held: dict[str, str | float] = {}
        for name, cell in zip(header, row, strict=False):
            if name in _TEXT:
                held[name] = cell.removeprefix("'")
            elif _NUMBER.fullmatch(cell.strip()):
                held[name] = float(cell)
        found.append(held)
    return tuple(found)
