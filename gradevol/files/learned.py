"""The file of learned factors, one row a job: read, and added to by `reconcile --learn`."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from gradevol.files.opened import Files
from gradevol.files.sniff import open_file
from gradevol.files.table import read_table
from gradevol.ground.errors import InputError

_TEXT = ("job", "date", "title")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
#: What the writer puts before a text that a spreadsheet would run as a formula.
_GUARD = re.compile(r"^'(?=\s*[^\w\s'])")
#: Factors beyond these are slips: half, or double, what was modelled.
_LEAST, _MOST = 0.5, 2.0


@dataclass(frozen=True, slots=True)
class PastJob:
    """
    What a job that is over has shown.

    Attributes
    ----------
    name, date : str
    factor : float
        Concrete ticketed into its slab for each modelled concrete.
    sigma : float
        One standard deviation of that.
    """

    name: str
    date: str
    factor: float
    sigma: float


def read_factors(path: Path, files: Files | None = None) -> tuple[PastJob, ...]:
    """
    Read the factors of earlier jobs: columns ``job``, ``date``, ``factor``, ``sigma``, and others.

    Returns
    -------
    tuple of PastJob
        A job that stands twice counts once, as its last row says.

    Raises
    ------
    InputError
        If a column is missing, or a row can't be read.
    """
    table = (files or Files()).parse(path, read_table)
    header = [cell.strip().casefold() for cell in table.header or ()]
    missing = [name for name in ("job", "factor", "sigma") if name not in header]
    if missing:
        raise InputError(
            f"it has no column {' and no '.join(missing)}",
            remedy="Name a file that `gradevol reconcile --learn` writes: job,date,factor,sigma",
            path=path,
        )
    jobs: dict[str, PastJob] = {}
    for row, line in zip(table.rows, table.lines, strict=True):
        cells = dict(zip(header, map(_unguard, row), strict=False))
        try:
            factor, sigma = float(cells.get("factor", "")), float(cells.get("sigma", ""))
            if not (_LEAST < factor < _MOST and 0 < sigma < 1):
                raise ValueError
        except ValueError as error:
            raise InputError(
                f"no factor from {_LEAST:g} to {_MOST:g} with a sigma from 0 to 1 in "
                f"{table.quote(row)}",
                remedy="Correct the row, or delete it",
                path=path,
                line=line,
            ) from error
        job = PastJob(cells.get("job", ""), cells.get("date", ""), factor, sigma)
        name = job.name.casefold() or f"line {line}"
        jobs.pop(name, None)
        jobs[name] = job
    return tuple(jobs.values())


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
    rows = [[_unguard(cell) for cell in each] for each in table.rows]
    name = row[0].casefold()
    same = [number for number, each in enumerate(rows) if each[0].casefold() == name]
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
                held[name] = cell
            elif _NUMBER.fullmatch(cell.strip()):
                held[name] = float(cell)
        found.append(held)
    return tuple(found)


def _unguard(cell: str) -> str:
    """A cell as it was before it was guarded against spreadsheets."""
    return _GUARD.sub("", cell.strip())
