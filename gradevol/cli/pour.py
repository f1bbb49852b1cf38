"""`gradevol pour`: where a pour stands after each load, and what to call."""

import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from gradevol.cli import options
from gradevol.cli.check import name_folder
from gradevol.cli.progress import ProgressLine
from gradevol.ground.errors import GradevolError

if TYPE_CHECKING:
    from gradevol.job import Job

#: How often a growing file is looked at, s.
_LOOK = 1.0


@click.command()
@click.argument("job", type=options.existing_file)
@click.option(
    "--tickets",
    required=True,
    type=options.existing_file,
    help="Delivery tickets: delimited text, one row a load, with a header.",
)
@options.as_json
@click.option("--watch", is_flag=True, help="Follow the tickets: answer again as they grow.")
def pour(job: Path, *, tickets: Path, as_json: bool, watch: bool) -> None:
    """Say what is still needed while a slab is poured, and what to call by when.

    JOB is a job file with [placing]. The first call checks the job, and keeps what it needs of that
    in pour_model.npz beside the result; after that each load is answered at once.
    """
    from gradevol.job import read_job  # noqa: PLC0415  (numpy: not for --help to pay)

    description = read_job(job)
    if not watch:
        click.echo(_answer(description, job, tickets, as_json=as_json), nl=False)
        return
    seen: tuple[int, int] | None = None
    while True:
        held = _look_at(tickets)
        if held is not None and held != seen:
            seen = held
            try:
                click.echo(_answer(description, job, tickets, as_json=as_json))
            except GradevolError as error:  # half a row may have been written: go on
                click.echo(f"Error: {error}", err=True)
        time.sleep(_LOOK)


def _look_at(path: Path) -> tuple[int, int] | None:
    """Size and time of a file; None while it is away, as programs that save it may have it."""
    try:
        held = path.stat()
    except OSError:
        return None
    return held.st_size, held.st_mtime_ns


def _answer(description: "Job", job: Path, tickets: Path, *, as_json: bool) -> str:
    from gradevol.answer.rounding import Rounding  # noqa: PLC0415
    from gradevol.answer.said.day import tell_day  # noqa: PLC0415
    from gradevol.out.text.day import compose_day_text  # noqa: PLC0415
    from gradevol.pour import pour_job  # noqa: PLC0415

    with ProgressLine() as progress:
        day = pour_job(description, tickets, kept=name_folder(job), progress=progress)
    loads = day.tickets.loads
    if as_json:
        from gradevol.answer.tree.day import compose_day  # noqa: PLC0415
        from gradevol.out.json import compose_json  # noqa: PLC0415

        return compose_json(
            compose_day(
                day.progress,
                Rounding(day.units, day.origin),
                title=day.title,
                part=day.part,
                loads=len(loads),
                modelled=day.model.volume,
                notes=day.notes,
            )
        )
    topics = tell_day(
        day.progress, day.units, loads=len(loads), modelled=day.model.volume, notes=day.notes
    )
    named = f"{day.title}: {day.part}" if day.part else day.title
    when = f"after {loads[-1].name}" if loads else "before the first load"
    return compose_day_text(f"{named}, {when}", topics)
