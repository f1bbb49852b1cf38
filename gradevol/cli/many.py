"""Several jobs in one run: found in folders, checked side by side, one table of all."""

import json
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePath
from typing import ParamSpec

import click

from gradevol.answer.overview import COLUMNS, Overview, compose_failure, compose_overview
from gradevol.cli.abreast import Failed, run_all
from gradevol.cli.checking import check_and_write
from gradevol.cli.folders import name_folders
from gradevol.cli.progress import ProgressLine
from gradevol.ground.cluster import connecting
from gradevol.ground.errors import InputError
from gradevol.ground.progress import quiet
from gradevol.ground.words import legible
from gradevol.out.tables.cells import compose_rows, guard_words
from gradevol.out.text.jobs import compose_jobs
from gradevol.out.whole import refuse_others, whole_file

_Given = ParamSpec("_Given")


@dataclass(frozen=True, slots=True)
class Errand:
    """
    One job of several.

    Attributes
    ----------
    job : Path
    name : str
        What to call it in the table.
    folder : Path
        Where its files go.
    has_pictures : bool
    exports : tuple of str
    paper : str or None
        As for `write_outputs`.
    """

    job: Path
    name: str
    folder: Path
    has_pictures: bool
    exports: tuple[str, ...]
    paper: str | None


def check_many(
    given: Sequence[Path],
    *,
    out: Path | None,
    workers: int,
    scheduler: str | None,
    as_json: bool,
    is_strict: bool,
    has_pictures: bool,
    exports: tuple[str, ...],
    paper: str | None,
) -> int:
    """
    Check several jobs, print and write the table of all.

    Returns
    -------
    int
        Exit code: 2 where any could not be checked, 3 where `is_strict` and a limit is exceeded.

    Raises
    ------
    InputError
        If there is no job, or the table can't be written.
    """
    jobs, others = find_jobs(given)
    refuse_none(given, jobs)
    names = name_jobs(jobs)
    # workers elsewhere run in folders of their own, from which other paths would be found
    where = out.absolute() if out is not None and scheduler is not None else out
    errands = [
        Errand(job, name, folder, has_pictures, exports, paper)
        for job, name, folder in zip(jobs, names, name_folders(jobs, names, where), strict=True)
    ]
    table = (Path() if out is None else out) / "jobs.csv"
    refuse_others(table, begins="job,title,volume,")
    with ProgressLine() as progress, connecting(scheduler) as cluster:
        done = run_all(_check, errands, cluster or workers, progress=progress)
    overviews = [
        compose_failure(one.name, one.problem) if isinstance(one, Failed) else one for one in done
    ]
    unwritten = try_to(write_jobs, table, overviews)
    if as_json:
        rows = [job.plain() for job in overviews]
        click.echo(json.dumps({"jobs": rows}, indent=2))
    else:
        click.echo(compose_jobs(overviews), nl=False)
    tell_others(others)
    if unwritten is not None:
        raise unwritten
    if any(job.problem for job in overviews):
        return 2
    return 3 if is_strict and any(job.exceeded for job in overviews) else 0


def find_jobs(given: Sequence[Path]) -> tuple[list[Path], list[Path]]:
    """
    Find the jobs in files and folders.

    Parameters
    ----------
    given : sequence of Path
        Files are jobs as they are; of folders every TOML file with a base and a slab is one.

    Returns
    -------
    jobs : list of Path
        None twice, in the order given, of folders by name.
    others : list of Path
        TOML files in the folders that are none.
    """
    jobs: dict[Path, Path] = {}
    others = []
    for path in given:
        for file in sorted(path.rglob("*.toml")) if path.is_dir() else [path]:
            if path.is_dir() and not _is_job(file):
                others.append(file)
            else:
                jobs.setdefault(file.resolve(), place_of(file))
    return list(jobs.values()), others


def place_of(file: Path) -> Path:
    """Path of a file from the root, without steps back: such would lead out of --out."""
    return file.parent.resolve() / file.name if ".." in file.parts else file.absolute()


def _is_job(file: Path) -> bool:
    """Whether a TOML file has what every job has; one that can't be read may have been meant so."""
    try:
        with file.open("rb") as text:
            return {"base", "slab"} <= tomllib.load(text).keys()
    except (OSError, ValueError):
        return True


def name_jobs(jobs: Sequence[PurePath]) -> list[str]:
    """Paths of jobs, shortened by what all of them share; no two alike."""
    parents = [job.parent.parts for job in jobs]
    shared = 0
    while len({parts[: shared + 1] for parts in parents}) == 1 and len(parents[0]) > shared:
        shared += 1
    if not shared:  # drives of Windows: as C: they would lead out of --out
        rest = [(job.drive.strip("\\").replace(":", ""), *job.parts[1:]) for job in jobs]
    else:
        rest = [job.parts[shared:] for job in jobs]
    return [legible("/".join(parts)) for parts in rest]


def _check(errand: Errand) -> Overview:
    answer, _ = check_and_write(
        errand.job,
        errand.folder,
        has_pictures=errand.has_pictures,
        exports=errand.exports,
        paper=errand.paper,
        progress=quiet,
    )
    return compose_overview(errand.name, answer)


def write_jobs(path: Path, jobs: Sequence[Overview]) -> None:
    """
    Write the table as ``jobs.csv``: those that could not be checked come last.

    Raises
    ------
    InputError
        If it can't be written.
    """
    ordered = sorted(jobs, key=lambda job: bool(job.problem))
    rows = ([guard_words(cell) for cell in job.cells] for job in ordered)
    text = compose_rows(COLUMNS, rows)
    with whole_file(path, makes_folder=True) as draft:
        draft.write_text(text, "utf-8" if text.isascii() else "utf-8-sig", newline="\n")


def try_to(
    write: Callable[_Given, None], *args: _Given.args, **kwargs: _Given.kwargs
) -> InputError | None:
    """Write what many jobs come to; what hinders that is returned: all is printed before."""
    try:
        write(*args, **kwargs)
    except InputError as error:
        return error
    return None


def tell_others(others: Sequence[Path]) -> None:
    """Say which TOML files were taken for no job."""
    for file in others:
        click.echo(f"Note: {file} is no job: it has no [base] or no [slab]", err=True)


def refuse_none(given: Sequence[Path], jobs: Sequence[Path]) -> None:
    """
    Refuse folders without a job.

    Raises
    ------
    InputError
        If there is none.
    """
    if not jobs:
        raise InputError(
            "there is no job in it: a job is a TOML file with [base] and [slab]",
            remedy="Name a folder that holds jobs, or `gradevol new` makes one",
            path=given[0],
        )
