"""`gradevol reconcile`: where the concrete went."""

from pathlib import Path

import click

from gradevol.cli import options
from gradevol.cli.folders import name_folder, tell_folder
from gradevol.cli.progress import ProgressLine

_file = click.Path(dir_okay=False, path_type=Path)


@click.command()
@options.jobs
@click.option(
    "--tickets",
    type=_file,
    required=True,
    help="Delivery tickets: delimited text, one row a load.",
)
@click.option("--top-shots", type=_file, help="Shots on the finished top, read as the base's.")
@click.option(
    "--cores",
    type=_file,
    help="Cores: id, easting, northing, length; without a length a proposed one.",
)
@click.option(
    "--learn",
    type=_file,
    help="Add this job's factors, once, to a file that the next job names as order.learned.",
)
@options.out
@click.option(
    "--paper",
    type=click.Choice(["letter", "a4"]),
    help="Paper of reconcile.pdf  [default: a4 for metric jobs, letter for others].",
)
@options.workers("reconciled")
@options.as_json
@click.pass_context
def reconcile(
    ctx: click.Context,
    jobs: tuple[Path, ...],
    *,
    tickets: Path,
    top_shots: Path | None,
    cores: Path | None,
    learn: Path | None,
    out: Path | None,
    paper: str | None,
    workers: int,
    as_json: bool,
) -> None:
    """Account for the concrete on the tickets, row by row, after the pour.

    JOB is the job file that was checked and ordered from. What was ticketed is set against what was
    drawn, what base and finished top took more, what went elsewhere and what the loads held; what
    no row explains is shown as unresolved.

    Of several jobs, or a folder of them, one table and what comes back job after job are printed,
    and written as reconcile_jobs.html, .pdf, .csv and .json into --out or where the command is run.
    --tickets, --top-shots and --cores then name files that lie beside each job.
    """
    from gradevol.cli.reconciling import (  # noqa: PLC0415  (numpy: not for --help to pay)
        Errand,
        reconcile_and_write,
        reconcile_many,
    )

    if len(jobs) > 1 or jobs[0].is_dir():
        ctx.exit(
            reconcile_many(
                jobs,
                tickets=tickets,
                top_shots=top_shots,
                cores=cores,
                learn=learn,
                out=out,
                paper=paper,
                workers=workers,
                as_json=as_json,
            )
        )
    from gradevol.out.json import compose_json  # noqa: PLC0415
    from gradevol.out.text.account import compose_account_text  # noqa: PLC0415

    for parameter in ctx.command.params:
        if parameter.name in {"tickets", "top_shots", "cores"} and ctx.params[parameter.name]:
            options.existing_file.convert(ctx.params[parameter.name], parameter, ctx)
    folder = out if out is not None else name_folder(jobs[0])
    errand = Errand(
        jobs[0], jobs[0].name, folder, tickets, top_shots, cores, learn=learn, paper=paper
    )
    with ProgressLine() as progress:
        _, answer = reconcile_and_write(errand, progress=progress)
    told = compose_json(answer.plain()) if as_json else compose_account_text(answer)
    click.echo(told, nl=False)
    if not as_json:
        tell_folder(folder)
