"""`gradevol check`: the main job."""

from pathlib import Path

import click

from gradevol.cli import options
from gradevol.cli.checking import check_and_write
from gradevol.cli.folders import name_folder, tell_folder
from gradevol.cli.progress import ProgressLine

#: The keys of `exports.EXPORTS`, written out: numpy is not for --help to pay.
EXPORTS = ("landxml", "dxf", "geojson", "geotiff", "ply", "gltf", "stl", "points")


@click.command()
@options.jobs
@options.out
@options.as_json
@options.strict
@click.option(
    "--all", "is_all", is_flag=True, help="Print all that is found, not one screen; of one job."
)
@click.option("--no-pictures", is_flag=True, help="Draw no pictures and no sheet.")
@click.option(
    "--paper",
    type=click.Choice(["letter", "tabloid", "a4", "a3"]),
    help="Paper of sheet.pdf  [default: letter, or a4 for metric jobs; tabloid or a3 where each "
    "shot would not have its mark on that].",
)
@click.option(
    "--export",
    "exports",
    multiple=True,
    type=click.Choice([*EXPORTS, "all"]),
    metavar="KIND",
    help=f"Also write files for other programs: {', '.join(EXPORTS)} or all; may be repeated.",
)
@options.workers("checked")
@click.option(
    "--scheduler",
    metavar="ADDRESS",
    help="Address of a running dask.distributed scheduler: its workers check several jobs, or read "
    "the cloud of one. Takes gradevol[cluster].",
)
@click.pass_context
def check(
    ctx: click.Context,
    jobs: tuple[Path, ...],
    *,
    out: Path | None,
    as_json: bool,
    strict: bool,
    is_all: bool,
    no_pictures: bool,
    paper: str | None,
    exports: tuple[str, ...],
    workers: int,
    scheduler: str | None,
) -> None:
    """Measure the concrete over a base as it was graded.

    JOB is a TOML file that names the shots, the slab and its design top; `gradevol new` makes one.
    Of several jobs, or a folder of them, one table is printed and written as jobs.csv, into --out
    or where the command is run; each job's files go beside it, or into a folder of --out.
    """
    if scheduler is not None and workers > 1:
        raise click.UsageError("--workers are of this machine, --scheduler of others: give one")
    exports = EXPORTS if "all" in exports else exports
    if len(jobs) > 1 or jobs[0].is_dir():
        if is_all:
            raise click.UsageError(
                "--all tells of one job; of several each has its own summary.txt, and "
                "`gradevol check JOB --all` tells the rest"
            )
        from gradevol.cli.many import check_many  # noqa: PLC0415

        ctx.exit(
            check_many(
                jobs,
                out=out,
                workers=workers,
                scheduler=scheduler,
                as_json=as_json,
                is_strict=strict,
                has_pictures=not no_pictures,
                exports=exports,
                paper=paper,
            )
        )
    (job,) = jobs
    from gradevol.out.json import compose_json  # noqa: PLC0415
    from gradevol.out.text.summary import compose_summary  # noqa: PLC0415

    folder = out if out is not None else name_folder(job)
    with ProgressLine() as progress:
        answer, missing = check_and_write(
            job,
            folder,
            has_pictures=not no_pictures,
            exports=exports,
            paper=paper,
            progress=progress,
            scheduler=scheduler,
        )
    summary = compose_summary(answer.title, answer.topics, is_all=is_all)
    click.echo(compose_json(answer.plain()) if as_json else summary, nl=False)
    for sentence in missing:
        click.echo(f"Note: {sentence}", err=True)
    if not as_json:
        tell_folder(folder)
    if strict and answer.exceeded:
        click.echo(f"Limits exceeded: {'; '.join(answer.exceeded)}.", err=True)
        ctx.exit(3)
