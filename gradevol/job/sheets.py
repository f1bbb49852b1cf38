"""What a job says of field sheets: base.rods, base.depths, and the string."""

from gradevol.forces import parse_force, parse_line_weight
from gradevol.job.setups import read_height, read_setups
from gradevol.job.shapes import find_file, read_point
from gradevol.job.table import Table
from gradevol.readers.sources import Depths, Lattice, Rods, String

#: A light mason's line and the pull of one hand, where the job does not say. Common practice, no
#: source; they make 1/8 in at the middle of 45 ft.
LINE_WEIGHT = "0.0006 lb/ft"
LINE_TENSION = "15 lb"


def read_rods(table: Table) -> Rods:
    """
    Read base.rods and what goes with it.

    Raises
    ------
    InputError
        If a key cannot be used, or the height of instrument is not given in one way.
    """
    path = find_file(table, table.values["rods"], table.called("rods"))
    given = [key for key in ("instrument_height", "benchmark", "backsight") if key in table]
    setups = read_setups(table)
    if setups is not None and given:
        raise table.error(
            f"{table.called('setups')} and {table.called(given[0])} both say what the rods are "
            "taken off",
            "Leave one of them out",
        )
    return Rods(
        path,
        table.read_unit("units"),
        _read_lattice(table),
        read_height(table, "instrument_height") if setups is None else setups,
    )


def read_depths(table: Table) -> Depths:
    """
    Read base.depths and what goes with it.

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    return Depths(
        find_file(table, table.values["depths"], table.called("depths")),
        table.read_unit("units"),
        _read_lattice(table),
        columns=table.read_text("columns", "") or None,
        string=_read_string(table.read_part("string")) if "string" in table else None,
    )


def _read_lattice(table: Table) -> Lattice:
    origin, bearing = (0.0, 0.0), 0.0
    if "origin" in table:
        east, north = read_point(table, "origin", size=2)
        origin = float(east), float(north)
    if "bearing" in table:
        expected = "an azimuth from 0 to 360 degrees"
        bearing = table.read_number("bearing", 0, 360, expected=expected)
    return Lattice(table.unit, origin, _read_spacing(table), bearing)


def _read_spacing(table: Table) -> tuple[float, float] | None:
    if "spacing" not in table:
        return None
    value, called = table.values["spacing"], table.called("spacing")
    remedy = "Write one length, or [between columns, between rows]"
    parts = value if isinstance(value, list) else [value, value]
    if len(parts) != 2:
        raise table.wrong(called, value, "one length or two", remedy)
    across, up = (table.parse_length(part, called) for part in parts)
    if across <= 0 or up <= 0:
        raise table.wrong(called, value, "more than 0", remedy)
    return across, up


def _read_string(table: Table) -> String:
    """Read base.string: its span, and what it weighs and how hard it is pulled."""
    span = table.read_length("span", or_zero=True)
    pulled, weighs = table.values.get("tension"), table.values.get("weight")
    tension = LINE_TENSION if pulled is None else pulled
    weight = LINE_WEIGHT if weighs is None else weighs
    said = f"{weight} pulled to {tension}"
    if pulled is None or weighs is None:
        said += " (assumed)" if pulled is None and weighs is None else " (one of them assumed)"
    return String(
        span,
        table.parse(tension, table.called("tension"), "a pull", parse_force, "15 lb"),
        table.parse(weight, table.called("weight"), "a weight", parse_line_weight, "0.0006 lb/ft"),
        said,
        is_corrected=table.read_flag("correct"),
    )
