"""The file of learned factors, one row a job: read, and added to by `reconcile --learn`."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from gradevol.files.opened import Files
from gradevol.files.sniff import open_file
from gradevol.files.tables.table import read_table
from gradevol.ground.errors import InputError

_TEXT = ("job", "date", "title")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
#: What the writer puts before a text that a spreadsheet would run as a formula.
_GUARD = re.compile(r"^'(?=\s*[^\w\s'])")
#: Factors beyond these are slips: half, or double, what was modelled.
_LEAST, _MOST = 0.5, 2.0
_REMARK_SAME = (
    "this took the place of the row, factor {was}, that {name} had in {path}. If that was another "
    "job, give each a title of its own and reconcile both again"
)
_REMARK_OTHER = (
    "{path} held a {name} of another title: both stand in it now. If they are one job, delete the "
    "older row"
)


@dataclass(frozen=True, slots=True)
class PastJob:
    """
    What a job that is over has shown.

    Attributes
    ----------
    factor : float
        Concrete ticketed into its slab for each modelled concrete.
    sigma : float
        One standard deviation of that.
    title : str
        Of the job; empty where the file has none.
    """

    name: str
    factor: float
    sigma: float
    title: str = ""

    def is_one_with(self, name: str, title: str) -> bool:
        """Whether it is the job of that name and title: folders of one name are common."""
        return _know(self.name, self.title or title) == _know(name, title)


def read_factors(path: Path, files: Files | None = None) -> tuple[PastJob, ...]:
    """
    Read the factors of earlier jobs: columns ``job``, ``date``, ``factor``, ``sigma``, and others.

    Returns
    -------
    tuple of PastJob
        A job that stands twice, by name and title, counts once, as its last row says.

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
    jobs: dict[object, PastJob] = {}
    for row, line in zip(table.rows, table.lines, strict=True):
        cells = dict(zip(header, _read_cells(header, row, table.decimal), strict=False))
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
        name, title = cells.get("job", ""), cells.get("title", "")
        key = _know(name, title) if name else line
        jobs.pop(key, None)
        jobs[key] = PastJob(name, factor, sigma, title)
    return tuple(jobs.values())


@dataclass(frozen=True, slots=True)
class Added:
    """
    A job's row among those of a file.

    Attributes
    ----------
    rows : list of list of str
        All rows, without the header.
    remark : str
        A sentence where a job of that name stood there already; else empty.
    """

    rows: list[list[str]]
    remark: str = ""


def add_row(path: Path, header: Sequence[str], row: Sequence[str]) -> Added:
    """
    Add a job's row to those of a file, or let it take the place of the row that the job had.

    A job is known by its name and its title: a job of another title in a folder of the same name
    is another job.

    Parameters
    ----------
    path : Path
        Need not exist.
    header : sequence of str
        Of the file; the job stands in the first column.
    row : sequence of str

    Raises
    ------
    InputError
        If the file is another one: it is left as it is.
    """
    if not path.exists() or path.stat().st_size == 0:
        return Added([list(row)])
    if (file := open_file(path)).kind == "workbook":
        raise InputError(
            "it is a workbook, and rows are added to text alone",
            remedy="Save its sheet as CSV, and name that",
            path=path,
        )
    table = read_table(file)
    given = [cell.strip() for cell in table.header or ()]
    width = len(header)
    if given[:width] != list(header) or any(given[width:]):
        raise InputError(
            f"its first row is {table.quote(table.header or ())}, so it is no file of factors that "
            "gradevol wrote",
            remedy="Name another file with --learn, or a new one",
            path=path,
        )
    rows = [_read_cells(header, each, table.decimal) for each in table.rows]
    titles = [header.index("title")] if "title" in header else []
    own, *known = (_know(each[0], *(each[at] for at in titles)) for each in (row, *rows))
    same = [number for number, each in enumerate(known) if each == own]
    if not same:
        others = [number for number, each in enumerate(known) if each[0] == own[0]]
        remark = _REMARK_OTHER.format(name=row[0], path=path) if others else ""
        return Added([*rows, list(row)], remark)
    factor = header.index("factor")
    remark = _REMARK_SAME.format(name=row[0], path=path, was=rows[same[-1]][factor])
    rows[same[-1]] = list(row)
    kept = [each for number, each in enumerate(rows) if number not in same[:-1]]
    return Added(kept, remark)


def _know(name: str, *title: str) -> tuple[str, ...]:
    """What a job is known by."""
    return tuple(" ".join(part.split()).casefold() for part in (name, *title))


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


def _read_cells(header: Sequence[str], row: Sequence[str], decimal: str) -> list[str]:
    """Cells of a row as they were written, one a heading, also after a spreadsheet has had them."""
    cells = [_GUARD.sub("", cell.strip()) for cell in row[: len(header)]]
    cells += [""] * (len(header) - len(cells))
    if decimal == ",":
        pairs = zip(header, cells, strict=True)
        cells = [cell if name in _TEXT else cell.replace(",", ".") for name, cell in pairs]
    return cells
