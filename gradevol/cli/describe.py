"""`gradevol describe`: what a data file holds, and what looks wrong in it."""

import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from gradevol.cli import options
from gradevol.cli.progress import ProgressLine
from gradevol.errors import GradevolError

_STANDARD_INPUT = "standard input"


@click.command()
@click.argument("file", type=click.Path(exists=True, dir_okay=False, allow_dash=True))
@options.units
@options.columns
@options.as_json
def describe(file: str, *, units: str | None, columns: str | None, as_json: bool) -> None:
    """Tell what FILE holds, and what looks wrong in it.

    Text of points or corners, LAS and LAZ clouds, PLY and OBJ surfaces, GeoJSON outlines; - reads
    standard input. Numbers are the file's own, so no unit is needed; with one, shots are also
    compared with their neighbours.
    """
    from gradevol.inventory import take_inventory  # noqa: PLC0415  (numpy: not for --help to pay)
    from gradevol.writers.inventory import (  # noqa: PLC0415
        compose_inventory,
        compose_inventory_json,
    )

    with _as_path(file) as path, ProgressLine() as progress:
        try:
            inventory = take_inventory(path, unit=units, columns=columns, progress=progress)
        except GradevolError as error:
            said = str(error).replace("base.columns", "--columns")  # there is no job here
            if file == "-":
                said = said.replace(str(path), _STANDARD_INPUT)
            raise GradevolError(said) from error
    text = compose_inventory_json(inventory) if as_json else compose_inventory(inventory)
    click.echo(text, nl=False)


@contextmanager
def _as_path(file: str) -> Iterator[Path]:
    """Path of the file; of what standard input holds, a copy that lasts as long."""
    if file != "-":
        yield Path(file)
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / _STANDARD_INPUT
        path.write_bytes(sys.stdin.buffer.read())
        yield path
