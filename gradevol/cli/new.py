"""`gradevol new`: a starter job."""

from pathlib import Path

import click

#: The starter for each system of units, a folder of the package.
STARTERS = {"ft": "feet", "m": "metres"}


@click.command()
@click.argument("folder", metavar="DIR", type=click.Path(file_okay=False, path_type=Path))
@click.option(
    "--units",
    type=click.Choice(list(STARTERS)),
    default="ft",
    show_default=True,
    help="Unit of the starter's numbers.",
)
def new(folder: Path, units: str) -> None:
    """Write a commented starter job into DIR, with invented shots: it runs at once."""
    from gradevol.out.starter import write_starter  # noqa: PLC0415

    job = write_starter(folder, STARTERS[units])
    click.echo(f"Wrote {job} and its invented shots. Next:\n\n    gradevol check {job}\n")
    click.echo("Then put your own shots, corners and numbers in their place.")
