"""Options that several commands share; an option means one thing in all of them.

--json     the result alone on standard output
--strict   exit 3 where a stated limit is exceeded
--units    unit of numbers in a file that carries none
--out      folder for what is written
--workers  how many of several jobs are worked on at once
"""

from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

import click

_Command = TypeVar("_Command", bound=Callable[..., object])

as_json = click.option("--json", "as_json", is_flag=True, help="Print the result alone, as JSON.")
strict = click.option("--strict", is_flag=True, help="Exit 3 where a stated limit is exceeded.")
units = click.option(
    "--units",
    type=click.Choice(["m", "mm", "ft", "us-ft", "in"]),
    help="Unit of the file's numbers, where it carries none.",
)
columns = click.option(
    "--columns",
    metavar="LETTERS",
    help="One letter a column: P point, N, E, Z, D description, S setup, R rod, - skip.",
)
jobs = click.argument(
    "jobs",
    metavar="JOB...",
    nargs=-1,
    required=True,
    type=click.Path(exists=True, path_type=Path),
)
out = click.option(
    "--out",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder for the files  [default: beside the job, named for it].",
)
existing_file = click.Path(exists=True, dir_okay=False, path_type=Path)

#: As `lengths.NOTATIONS`, which is not loaded for --help; a test compares them.
NOTATIONS = ("feet-inches", "feet-inches-eighths", "inches")
notation = click.option(
    "--notation",
    type=click.Choice(NOTATIONS),
    help="How lengths without marks are written, such as 4-7.",
)


def workers(done: str) -> Callable[[_Command], _Command]:
    """How many of several jobs are `done` at once."""
    return click.option(
        "--workers",
        type=click.IntRange(1, 64),
        default=1,
        show_default=True,
        help=f"How many of several jobs are {done} at once.",
    )
