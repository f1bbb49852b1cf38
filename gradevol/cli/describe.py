"""`gradevol describe`: what a data file holds, and what looks wrong in it."""

import click

from gradevol.cli import options
from gradevol.cli.progress import ProgressLine
from gradevol.cli.standard_input import file_or_dash, open_as_path
from gradevol.ground.errors import GradevolError


@click.command()
@click.argument("file", type=file_or_dash)
@options.units
@options.columns
@options.notation
@options.as_json
def describe(
    file: str, *, units: str | None, columns: str | None, notation: str | None, as_json: bool
) -> None:
    """Tell what FILE holds, and what looks wrong in it.

    Text of points, corners or depths, field sheets of readings, level notes, delivery tickets,
    clouds (LAS, LAZ, PLY, XYZ), surfaces, drawings, outlines. A dash (-) reads standard input.
    Numbers are the file's own, so no unit is needed; with one, shots are also compared with their
    neighbours.
    """
    from gradevol.doubts.described import take_inventory  # noqa: PLC0415  (numpy: not for --help to pay)
    from gradevol.out.text.inventory import (  # noqa: PLC0415
        compose_inventory,
        compose_inventory_json,
    )

    with open_as_path(file) as path, ProgressLine() as progress:
        try:
            inventory = take_inventory(
                path, unit=units, columns=columns, notation=notation, progress=progress
            )
        except GradevolError as error:
            if units is not None:
                from gradevol.ground.units import Units  # noqa: PLC0415

                error.put_in(Units.of_job(units))
            raise
    text = compose_inventory_json(inventory) if as_json else compose_inventory(inventory)
    click.echo(text, nl=False)
