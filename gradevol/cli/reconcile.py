"""`gradevol reconcile`: where the concrete went."""

import sys
from dataclasses import replace
from pathlib import Path

import click

from gradevol.cli import options
from gradevol.cli.folders import name_folder
from gradevol.cli.progress import ProgressLine


@click.command()
@click.argument("job", type=options.existing_file)
@click.option(
    "--tickets",
    type=options.existing_file,
    required=True,
    help="Delivery tickets: delimited text, one row a load.",
)
@click.option(
    "--top-shots", type=options.existing_file, help="Shots on the finished top, read as the base's."
)
@click.option(
    "--cores",
    type=options.existing_file,
    help="Cores: id, easting, northing, length; without a length a proposed one.",
)
@click.option(
    "--learn",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Add this job's factors, once, to a file that the next job names as order.learned.",
)
@click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for the files  [default: beside the job, named for it].",
)
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4"]),
    help="Paper of reconcile.pdf  [default: a4 for metric jobs, letter for others].",
)
@options.as_json
def reconcile(
    job: Path,
    *,
    tickets: Path,
    top_shots: Path | None,
    cores: Path | None,
    learn: Path | None,
    out: Path | None,
    paper: str | None,
    as_json: bool,
) -> None:
    """Account for the concrete on the tickets, row by row, after the pour.

    JOB is the job file that was checked and ordered from. What was ticketed is set against what was
    drawn, what base and finished top took more, what went elsewhere and what the loads held; what
    no row explains is shown as unresolved.
    """
    from gradevol.answer.account import compose_account  # noqa: PLC0415  (numpy: not for --help)
    from gradevol.answer.said.learned import LEARNED, list_cells  # noqa: PLC0415
    from gradevol.files.learned import add_row, read_past  # noqa: PLC0415
    from gradevol.ground.errors import InputError  # noqa: PLC0415
    from gradevol.job import read_job  # noqa: PLC0415
    from gradevol.job.inputs import find_inputs  # noqa: PLC0415
    from gradevol.out.account import write_account  # noqa: PLC0415
    from gradevol.out.json import compose_json  # noqa: PLC0415
    from gradevol.out.tables.learned import write_rows  # noqa: PLC0415
    from gradevol.out.text.account import compose_account_text  # noqa: PLC0415
    from gradevol.reconcile import reconcile_job  # noqa: PLC0415

    description = read_job(job)
    folder = out if out is not None else name_folder(job)
    given = {path for path in (tickets, top_shots, cores, learn) if path is not None}
    with ProgressLine() as progress:
        done = reconcile_job(
            description, tickets, top_shots=top_shots, cores=cores, progress=progress
        )
        if learn is not None and done.found.lacking:
            raise InputError(
                "these tickets can't be all: the slab takes "
                f"{done.units.say_volume(done.found.lacking)} more, so nothing is learned of them",
                remedy="Give all tickets of the slab, or leave out --learn",
                path=tickets,
            )
        rows = None if learn is None else add_row(learn, LEARNED, list_cells(done.learned))
        answer = compose_account(replace(done, past=read_past(LEARNED, rows or ())))
        write_account(
            answer,
            folder,
            inputs=find_inputs(description) | given,
            paper=paper,
            progress=progress,
        )
    if learn is not None and rows is not None:
        write_rows(learn, LEARNED, rows)
    told = compose_json(answer.plain()) if as_json else compose_account_text(answer)
    click.echo(told, nl=False)
    if not as_json and sys.stderr.isatty():
        click.echo(f"Files are in {folder}", err=True)
