"""`gradevol levels`: level notes to elevations."""

from pathlib import Path

import click

from gradevol.cli import options
from gradevol.cli.standard_input import file_or_dash, open_as_path
from gradevol.ground.errors import InputError

#: As `misclosure.ORDERS`, which is not loaded for --help; a test compares them.
ORDERS = ("first-i", "first-ii", "second-i", "second-ii", "third", "construction")


def _refuse_former(_ctx: click.Context, _option: click.Parameter, value: str | None) -> None:
    """Refuse the former spelling: `gradevol order` is concrete, and this is not."""
    if value is not None:
        raise click.UsageError(f"--order is now --accuracy: write --accuracy {value}")


@click.command()
@click.argument("notes", type=file_or_dash)
@options.units
@options.notation
@click.option(
    "--known",
    multiple=True,
    metavar="POINT=ELEV",
    help="A bench mark's elevation; may be repeated.",
)
@click.option(
    "--adjust",
    type=click.Choice(["setups", "distance", "none"]),
    default="setups",
    show_default=True,
    help="How a misclosure is shared out.",
)
@click.option(
    "--accuracy", type=click.Choice(ORDERS), help="Allowed by order of accuracy; needs distances."
)
@click.option(
    "--order",
    hidden=True,
    expose_value=False,
    callback=_refuse_former,
    help="The former name of --accuracy.",
)
@click.option("--per-root-km", metavar="MM", help="Allowed: this times √km; needs distances.")
@click.option("--per-setup", metavar="MM", help="Allowed: this times √setups.")
@click.option(
    "--out", type=click.Path(dir_okay=False, path_type=Path), help="Table of shots to write."
)
@options.as_json
@options.strict
@click.pass_context
def levels(
    ctx: click.Context,
    notes: str,
    *,
    units: str | None,
    notation: str | None,
    known: tuple[str, ...],
    adjust: str,
    accuracy: str | None,
    per_root_km: str | None,
    per_setup: str | None,
    out: Path | None,
    as_json: bool,
    strict: bool,
) -> None:
    """Reduce differential-level notes to elevations.

    NOTES is a table with a header: point, BS, IS, FS, and where there are any HI (checked), known
    (elevations of bench marks), BS distance, FS distance, easting, northing, description. A dash
    (-) reads standard input.
    """
    from gradevol.answer.levels import present_levels  # noqa: PLC0415
    from gradevol.files.sheets.level_limits import read_limits  # noqa: PLC0415
    from gradevol.files.sheets.level_notes import read_level_notes  # noqa: PLC0415
    from gradevol.out.json import compose_json  # noqa: PLC0415
    from gradevol.out.text.levels import compose_levels, write_level_shots  # noqa: PLC0415
    from gradevol.out.whole import refuse_others, whole_file  # noqa: PLC0415
    from gradevol.site.levelling import misclosure, reduce_levels  # noqa: PLC0415  (numpy: not for --help)

    if out is not None and out.exists() and notes != "-" and out.samefile(notes):
        raise InputError(
            "--out would write the table of shots over the notes it is made from",
            remedy="Name another file",
            path=out,
        )
    if out is not None:
        refuse_others(out, begins="point,", ends=",adjustment")
    limits = read_limits(order=accuracy, per_root_km=per_root_km, per_setup=per_setup)
    with open_as_path(notes) as path:
        page = read_level_notes(path, unit=units, known=known, notation=notation)
        reduction = reduce_levels(page.notes)
    if adjust == "setups":
        reduction = misclosure.adjust_by_setups(reduction)
    elif adjust == "distance":
        reduction = misclosure.adjust_by_distance(reduction)
    exceeded = misclosure.find_exceeded(reduction, limits) if strict else []
    view = present_levels(page, reduction, limits)
    if out is not None:
        with whole_file(out) as draft:
            remark = write_level_shots(draft, view)
    click.echo(compose_json(view) if as_json else compose_levels(view, page.decimals), nl=False)
    if out is not None:
        click.echo(f"{out}: {remark}", err=True)
    if any(exceeded):
        click.echo("Limits exceeded: the misclosure is more than is allowed.", err=True)
        ctx.exit(3)
