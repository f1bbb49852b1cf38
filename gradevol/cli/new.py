"""`gradevol new`: a starter job."""

import os
import shlex
from pathlib import Path

import click

#: The starters of each system of units, a folder of the package.
UNITS = {"ft": "feet", "m": "metres"}
#: How the base is measured: the keys of `starter.WAYS`, written out as in `check.EXPORTS`.
WAYS = ("shots", "rods", "tape", "scan", "curve")


@click.command()
@click.argument("folder", metavar="DIR", type=click.Path(file_okay=False, path_type=Path))
@click.option(
    "--by",
    "way",
    type=click.Choice(WAYS),
    default="shots",
    show_default=True,
    help="How the base is measured: points with elevations, rod readings on a lattice, "
    "depths taped down from a string, or a scan; curve: points, and a slab with curves.",
)
@click.option(
    "--units",
    type=click.Choice(list(UNITS)),
    default="ft",
    show_default=True,
    help="Unit of the starter's numbers.",
)
def new(folder: Path, way: str, units: str) -> None:
    """Write a commented starter job into DIR, with an invented survey: it runs at once."""
    from gradevol.out.starter import write_starter  # noqa: PLC0415

    job = write_starter(folder, UNITS[units], way)
    click.echo(f"Wrote {job} and its invented survey. It runs as it stands:\n")
    click.echo(f"    gradevol check {_quote(str(job))}\n")
    click.echo("Then put your own survey in its place, and change the lines marked yours.")


def _quote(word: str) -> str:
    """Write a word as a shell takes it for one, where it holds blanks or marks."""
    if os.name == "nt":
        return f'"{word}"' if " " in word else word
    return shlex.quote(word)
