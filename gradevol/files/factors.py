"""Factors of earlier jobs: a plain file, one row a job, that `reconcile --learn` adds to."""

from dataclasses import dataclass
from pathlib import Path

from gradevol.files.opened import Files
from gradevol.files.table import read_table
from gradevol.ground.errors import InputError

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
        cells = dict(zip(header, (cell.strip() for cell in row), strict=False))
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
