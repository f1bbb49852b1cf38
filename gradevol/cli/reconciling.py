"""A job after its pour, from its file to the files of its account; and several of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from gradevol.cli.abreast import Failed, run_all
from gradevol.cli.folders import name_folders
from gradevol.cli.many import find_jobs, name_jobs, place_of, refuse_none, tell_others, try_to
from gradevol.cli.progress import ProgressLine
from gradevol.ground.errors import InputError
from gradevol.ground.progress import Progress, quiet
from gradevol.ground.words import count_of, first_of, list_of, show

if TYPE_CHECKING:
    from gradevol.answer.account import AccountAnswer
    from gradevol.answer.job_account import JobAccount
    from gradevol.answer.reconciled import Reconciled

#: Tickets of fewer letters are numbered job by job, not by a plant. A judgement, no source.
_NUMBER = 4


@dataclass(frozen=True, slots=True)
class Errand:
    """
    One job to reconcile.

    Attributes
    ----------
    name : str
        What to call it in the table of several.
    folder : Path
        Where its files go.
    tickets, top_shots, cores, learn : Path or None
        The last is left for who asks: jobs of one file of factors are added one after the other.
    """

    job: Path
    name: str
    folder: Path
    tickets: Path
    top_shots: Path | None = None
    cores: Path | None = None
    learn: Path | None = None
    paper: str | None = None


def reconcile_and_write(
    errand: Errand, *, progress: Progress
) -> "tuple[Reconciled, AccountAnswer]":
    """Reconcile a job, write its files and, where it is asked for, what the next one learns."""
    from gradevol.answer.account import compose_account  # noqa: PLC0415  (numpy: not for --help)
    from gradevol.answer.said.learned import LEARNED, list_cells  # noqa: PLC0415
    from gradevol.files.learned import add_row, read_past  # noqa: PLC0415
    from gradevol.job import read_job  # noqa: PLC0415
    from gradevol.job.inputs import find_inputs  # noqa: PLC0415
    from gradevol.out.account import write_account  # noqa: PLC0415
    from gradevol.out.tables.learned import write_rows  # noqa: PLC0415
    from gradevol.runs.reconcile import reconcile_job  # noqa: PLC0415

    description = read_job(errand.job)
    given = {errand.tickets, errand.top_shots, errand.cores, errand.learn} - {None}
    done = reconcile_job(
        description,
        errand.tickets,
        top_shots=errand.top_shots,
        cores=errand.cores,
        progress=progress,
    )
    if errand.learn is not None and done.found.lacking:
        raise InputError(
            "these tickets can't be all: the slab takes "
            f"{done.units.say_volume(done.found.lacking)} more, so nothing is learned of them",
            remedy="Give all tickets of the slab, or leave out --learn",
            path=errand.tickets,
        )
    learn = errand.learn
    added = None if learn is None else add_row(learn, LEARNED, list_cells(done.learned))
    answer = compose_account(replace(done, past=read_past(LEARNED, added.rows if added else ())))
    write_account(
        answer,
        errand.folder,
        inputs=find_inputs(description) | {path for path in given if path is not None},
        paper=errand.paper,
        progress=progress,
    )
    if learn is not None and added is not None:
        write_rows(learn, LEARNED, added.rows)
        _tell(added.remark)
    return done, answer


def reconcile_many(
    given: Sequence[Path],
    *,
    tickets: Path,
    top_shots: Path | None,
    cores: Path | None,
    learn: Path | None,
    out: Path | None,
    paper: str | None,
    workers: int,
    as_json: bool,
) -> int:
    """
    Reconcile several jobs, print and write the table of all and what comes back.

    Parameters
    ----------
    given : sequence of Path
        Jobs, and folders of them.
    tickets, top_shots, cores : Path or None
        Names of files that lie beside each job; a job in a folder without tickets is not poured
        yet, and left out.

    Returns
    -------
    int
        Exit code: 2 where any could not be reconciled.

    Raises
    ------
    InputError
        If there is no job, or the table can't be written.
    """
    from gradevol.answer.accounts import compose_accounts  # noqa: PLC0415
    from gradevol.answer.job_account import JobAccount  # noqa: PLC0415
    from gradevol.out.accounts import refuse_foreign_accounts, write_accounts  # noqa: PLC0415
    from gradevol.out.json import compose_json  # noqa: PLC0415
    from gradevol.out.text.accounts import compose_accounts_text  # noqa: PLC0415

    jobs, others = find_jobs(given)
    refuse_none(given, jobs)
    named = {place_of(path) for path in given}
    poured = [job for job in jobs if job in named or (job.parent / tickets).is_file()]
    if not poured:
        raise InputError(
            f"none of the jobs has a file {tickets} beside it",
            remedy="Name the tickets by --tickets as they are called beside each job",
        )
    beside = {"--top-shots": top_shots, "--cores": cores}
    _refuse_one_for_all(poured, {"--tickets": tickets, **beside})
    _refuse_nowhere(poured, beside)
    refuse_foreign_accounts(out or Path())
    names = name_jobs(poured)
    errands = [
        Errand(
            job=job,
            name=name,
            folder=folder,
            tickets=job.parent / tickets,
            top_shots=_find_beside(job, top_shots),
            cores=_find_beside(job, cores),
            paper=paper,
        )
        for job, name, folder in zip(poured, names, name_folders(poured, names, out), strict=True)
    ]
    with ProgressLine() as progress:
        done = run_all(_reconcile, errands, workers, progress=progress)
    told = [
        JobAccount(one.name, problem=one.problem) if isinstance(one, Failed) else one
        for one in done
    ]
    if learn is not None:
        _learn(learn, told)
    answer = compose_accounts(told)
    is_metric = all(one.units.is_metric for one in told if one.units is not None)
    paper = paper or ("a4" if is_metric else "letter")
    unwritten = try_to(write_accounts, answer, out or Path(), paper=paper)
    click.echo(compose_json(answer.plain()) if as_json else compose_accounts_text(answer), nl=False)
    tell_others(others)
    for job in jobs:
        if job not in poured:
            _tell(f"{job} has no {tickets} beside it: left out, not poured")
    done_jobs = [errand for errand, one in zip(errands, told, strict=True) if not one.problem]
    for name in filter(None, (top_shots, cores)):
        for errand in done_jobs:
            if _find_beside(errand.job, name) is None:
                _tell(f"{errand.name} has no {name} beside it: reconciled without")
    _tell_shared(told)
    if unwritten is not None:
        raise unwritten
    return 2 if any(one.problem for one in told) else 0


def _find_beside(job: Path, name: Path | None) -> Path | None:
    return job.parent / name if name is not None and (job.parent / name).is_file() else None


def _refuse_one_for_all(jobs: Sequence[Path], named: Mapping[str, Path | None]) -> None:
    """Refuse a path from the root, which is one file for jobs of several folders."""
    folders = {job.parent.resolve() for job in jobs}
    for option, name in named.items():
        if name is not None and name.is_absolute() and len(folders) > 1:
            raise InputError(
                f"jobs in several folders would all have this one file by {option}",
                remedy="Give its name alone, as it is called beside each job",
                path=name,
            )


def _refuse_nowhere(jobs: Sequence[Path], named: Mapping[str, Path | None]) -> None:
    """Refuse a name of files beside the jobs that no job has, unless none of them can be read."""
    for option, name in named.items():
        is_lacking = name is not None and not any(_find_beside(job, name) for job in jobs)
        if is_lacking and any(map(_can_be_read, jobs)):
            raise InputError(
                f"none of the jobs has a file {name} beside it",
                remedy=f"Name it by {option} as it is called beside each job, or leave that out",
            )


def _can_be_read(job: Path) -> bool:
    from gradevol.job import read_job  # noqa: PLC0415

    try:
        read_job(job)
    except InputError:
        return False
    return True


def _tell_shared(jobs: "Sequence[JobAccount]") -> None:
    """Tell of tickets that stand in more than one account."""
    from gradevol.files.tickets.cells import plain_number  # noqa: PLC0415  (slow to load)

    holders: dict[str, list[str]] = {}
    for job in jobs:
        for ticket in dict.fromkeys(map(plain_number, job.tickets)):
            if len(ticket) >= _NUMBER:
                holders.setdefault(ticket, []).append(job.job)
    shared = {ticket: names for ticket, names in holders.items() if len(names) > 1}
    if shared:
        names = list(dict.fromkeys(name for held in shared.values() for name in held))
        click.echo(
            f"Note: {count_of(len(shared), 'ticket', 'stand')} in more than one account of "
            f"{list_of(names)}, counted in each: {first_of([show(one) for one in shared])}",
            err=True,
        )


def _reconcile(errand: Errand) -> "JobAccount":
    from gradevol.answer.job_account import take_account  # noqa: PLC0415

    if not errand.tickets.is_file():
        raise InputError(
            "there are no tickets of this name beside the job",
            remedy="Put them there, or leave the job out",
            path=errand.tickets,
        )
    done, _ = reconcile_and_write(errand, progress=quiet)
    return take_account(errand.name, done)


def _learn(path: Path, jobs: "Sequence[JobAccount]") -> None:
    """Add each job whose tickets can be all to a file of learned factors."""
    from gradevol.answer.said.learned import LEARNED  # noqa: PLC0415
    from gradevol.files.learned import add_row  # noqa: PLC0415
    from gradevol.out.tables.learned import write_rows  # noqa: PLC0415

    for job in jobs:
        if job.is_whole:
            added = add_row(path, LEARNED, job.learned)
            write_rows(path, LEARNED, added.rows)
            _tell(added.remark)


def _tell(remark: str) -> None:
    if remark:
        click.echo(f"Note: {remark}", err=True)
