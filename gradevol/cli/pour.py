"""`gradevol pour`: where a pour stands after each load, and what to call."""

import time
from pathlib import Path
from typing import TYPE_CHECKING

import click

from gradevol.cli import options
from gradevol.cli.folders import name_folder
from gradevol.cli.progress import ProgressLine
from gradevol.ground.errors import GradevolError

if TYPE_CHECKING:
    from gradevol.after.kept import Known
    from gradevol.job import Job

#: The ruler to print and the page for a phone, in the folder of the job's result.
RULER, PAGE = "pour_ruler.pdf", "pour.html"

#: How often a growing file is looked at, s.
_LOOK = 1.0
#: A last row that nothing closes is taken to be whole once it has stood for so many looks.
_PATIENCE = 4


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

    JOB is a job file with [placing]. The first call checks the job, keeps what it needs of that in
    pour_model.npz in the folder of the result, and writes there pour.html, to follow the pour on a
    phone, and pour_ruler.pdf, to print; after that each load is answered at once.
    """
    from gradevol.job import read_job  # noqa: PLC0415  (numpy: not for --help to pay)

    description = read_job(job)
    if not watch:
        click.echo(_answer(description, job, tickets, as_json=as_json), nl=False)
        return
    answered: tuple[int, int] | None = None
    before, still = None, 0
    while True:
        held = _look_at(tickets)
        still = still + 1 if held == before else 0
        before = held
        is_whole = still >= _PATIENCE or _ends_a_row(tickets)
        if held is not None and held != answered and is_whole:
            answered = held
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


def _ends_a_row(path: Path) -> bool:
    """Whether the last row of a file is closed: without that it may be half written."""
    try:
        return path.read_bytes()[-1:] in (b"\n", b"\r")
    except OSError:
        return False


def _is_older(one: Path, other: Path) -> bool:
    return one.stat().st_mtime_ns < other.stat().st_mtime_ns


def keep_for_the_day(description: "Job", known: "Known", folder: Path) -> None:
    """Write the page and the ruler of a pour, as far as the job says how its fronts are told."""
    from gradevol.files import Files  # noqa: PLC0415
    from gradevol.out.whole import whole_file, write_text  # noqa: PLC0415
    from gradevol.runs.before_pour import lay_page, lay_ruler  # noqa: PLC0415
    from gradevol.runs.pour import stand_on  # noqa: PLC0415

    stand = stand_on(description, known, Files())
    units, level = description.units, description.interval
    page, laid = lay_page(description, stand), lay_ruler(description, stand)
    if page is not None:
        from gradevol.answer.said.pour_page import tell_missing, tell_page  # noqa: PLC0415
        from gradevol.out.pages.pour_page import compose_pour_page  # noqa: PLC0415

        has_order = description.order is not None
        notes = tell_missing(page.data, page.notes, units, has_order=has_order)
        data = tell_page(page.data, units, level=level, expected=page.expected)
        with whole_file(folder / PAGE, makes_folder=True) as draft:
            write_text(draft, compose_pour_page(data, notes))
    if laid is not None:
        from gradevol.answer.said.ruler import tell_ruler  # noqa: PLC0415
        from gradevol.out.paper.ruler import write_ruler  # noqa: PLC0415

        ruler, names = laid
        topic = tell_ruler(ruler, units, level=level, names=names)
        part = description.placing.pour
        title = f"{description.title}: {part}" if part else description.title
        with whole_file(folder / RULER, makes_folder=True) as draft:
            write_ruler(draft, topic, units, title=title)


def _answer(description: "Job", job: Path, tickets: Path, *, as_json: bool) -> str:
    from gradevol.answer.rounding import Rounding  # noqa: PLC0415
    from gradevol.answer.said.day import tell_day  # noqa: PLC0415
    from gradevol.out.text.day import compose_day_text  # noqa: PLC0415
    from gradevol.runs.pour import KEPT, know_job, pour_job  # noqa: PLC0415

    folder = name_folder(job)
    with ProgressLine() as progress:
        day = pour_job(description, tickets, kept=folder, progress=progress)
        page, model = (folder / name for name in (PAGE, KEPT))
        if model.exists() and (not page.exists() or _is_older(page, model)):
            progress(PAGE, 0.0)
            keep_for_the_day(description, know_job(description, folder), folder)
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
