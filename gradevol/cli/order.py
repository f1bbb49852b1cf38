"""`gradevol order`: the order slip and the loads."""

from pathlib import Path

import click

from gradevol.cli import options
from gradevol.cli.folders import name_folder
from gradevol.cli.pour import keep_for_the_day
from gradevol.cli.progress import ProgressLine

#: What is printed with --json: these keys of the result.
_KEYS = ("schema", "title", "units", "order", "pours", "notes")


@click.command()
@click.argument("job", type=options.existing_file)
@options.as_json
def order(job: Path, *, as_json: bool) -> None:
    """Work out how much concrete to order, and in which loads.

    JOB is a job file with an [order]. A slip to read aloud or to send comes first, then what it
    is made of. No file is written, but where the job says by [placing] where the pour begins:
    then, for that day, pour.html for a phone, pour_ruler.pdf to print and pour_model.npz, from
    which `gradevol pour` answers at once, into the folder of the job's result.
    """
    from gradevol.after.kept import keep_known, sign_inputs  # noqa: PLC0415
    from gradevol.answer.said.notes import tell_before_order  # noqa: PLC0415
    from gradevol.answer.said.order import tell_need, tell_order  # noqa: PLC0415
    from gradevol.answer.tree.result import present  # noqa: PLC0415
    from gradevol.job import read_job  # noqa: PLC0415
    from gradevol.job.inputs import find_inputs  # noqa: PLC0415
    from gradevol.job.order import require_order  # noqa: PLC0415
    from gradevol.out.json import compose_json  # noqa: PLC0415
    from gradevol.out.text.order_slip import compose_order  # noqa: PLC0415
    from gradevol.runs.check import check_job  # noqa: PLC0415  (numpy: not for --help to pay)
    from gradevol.runs.pour import KEPT, know_check  # noqa: PLC0415

    description = read_job(job)
    require_order(description.order, description.units, description.path)
    with ProgressLine() as progress:
        result = check_job(description, progress=progress)
        if description.placing.start is not None:
            known, folder = know_check(result, part=description.placing.pour), name_folder(job)
            keep_known(folder / KEPT, known, sign_inputs(find_inputs(description)))
            keep_for_the_day(description, known, folder)
    if as_json:
        view = present(result)
        click.echo(compose_json({key: view[key] for key in _KEYS if key in view}), nl=False)
    else:
        topics = (*tell_need(result), *tell_order(result), *tell_before_order(result))
        click.echo(compose_order(topics), nl=False)
