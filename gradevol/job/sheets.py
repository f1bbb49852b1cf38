"""What a job says of field sheets: base.rods, base.depths, and the string."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from gradevol.files.setups import fold
from gradevol.files.sources import Depths, Lattice, Rods, Setups, Sheets, String
from gradevol.ground.errors import InputError
from gradevol.ground.forces import parse_force, parse_line_weight
from gradevol.job.setups import read_height, read_setups
from gradevol.job.shapes import find_file, read_point
from gradevol.job.table import Table

#: A light mason's line and the pull of one hand, where the job does not say. Common practice, no
#: source; they make 1/8 in at the middle of 45 ft.
LINE_WEIGHT = "0.0006 lb/ft"
LINE_TENSION = "15 lb"


#: Keys of [base] that a sheet of a list has too; what it leaves out is as [base] has it.
_HEIGHTS = ("instrument_height", "benchmark", "backsight")
_SHARED = {
    "rods": ("units", "origin", "spacing", "bearing", *_HEIGHTS),
    "depths": ("units", "origin", "spacing", "bearing", "columns", "string"),
}


def read_rods(table: Table) -> Rods | Sheets:
    """
    Read base.rods and what goes with it: a file, or a list of files or of tables with a file.

    Raises
    ------
    InputError
        If a key cannot be used, or the height of instrument is not given in one way.
    """
    if not isinstance(table.values["rods"], list):
        return _read_rods(table, table.values["rods"], table.called("rods"), read_setups(table))
    listed = read_setups(table)
    if listed is not None and any(key in table for key in _HEIGHTS):
        raise _say_both(table, table.values)
    parts = []
    for sheet, own in _read_list(table, "rods"):
        is_own = any(key in own for key in _HEIGHTS)
        if is_own and listed is not None:
            raise _say_both(table, own)
        part = _read_rods(sheet, sheet.values["file"], f"the file of {sheet.name}", listed)
        name = sheet.read_text("setup", "").strip()
        parts.append(replace(part, setup=name or (part.path.stem if is_own else "")))
    return Sheets(_name_setups(table, parts) if listed is None else tuple(parts))


def _name_setups(table: Table, parts: list[Rods]) -> tuple[Rods, ...]:
    """Sheets whose heights stand with them: one setup has one height, and a name of its own."""
    heights: dict[str, Rods] = {}
    named = []
    for number, part in enumerate(parts, start=1):
        name = part.setup or ("base" if any(other.setup for other in parts) else "")
        before = heights.get(fold(name))
        if before is not None and before.instrument != part.instrument:
            if fold(name) != fold(part.path.stem):
                raise table.error(
                    f"two sheets of {table.called('rods')} are of setup {name!r}, with two heights "
                    "of instrument",
                    "Name each setup once, or give both sheets one height",
                )
            name = f"{name} ({number})"
        heights[fold(name)] = part
        named.append(replace(part, setup=name))
    return tuple(named)


def _read_list(table: Table, key: str) -> Iterator[tuple[Table, Mapping[str, object]]]:
    """Sheets of a list: each with what [base] says of all, and what is said of it alone."""
    called, entries = table.called(key), table.values[key]
    example = f'Write {called} = ["a.csv", "b.csv"], or [{{ file = "a.csv", ... }}, ...]'
    if not entries:
        raise table.wrong(called, entries, "a file or a list of sheets", example)
    shared = {name: table.values[name] for name in _SHARED[key] if name in table}
    seen: set[Path] = set()
    for number, entry in enumerate(entries, start=1):
        name = f"sheet {number} of {called}"
        own = {"file": entry} if isinstance(entry, str) else entry
        if not isinstance(own, Mapping):
            raise table.wrong(name, entry, "a file or a table with a file", example)
        alone = Table(table.path, "sheet", name, own, table.unit)
        alone.require("file", example)
        refused = [each for each in own if each not in (*_SHARED[key], "file", "setup")]
        if key == "depths" and "setup" in own:
            refused.append("setup")
        if refused:
            raise table.error(f"{name} has {refused[0]}, which means nothing there", "Leave it out")
        path = find_file(alone, own["file"], f"the file of {name}")
        if path in seen:
            raise table.error(f"{called} names {own['file']!r} twice", "Name each file once")
        seen.add(path)
        kept = shared
        if any(each in own for each in _HEIGHTS):
            kept = {each: value for each, value in shared.items() if each not in _HEIGHTS}
        yield Table(table.path, "sheet", name, {**kept, **own}, table.unit), own


def _say_both(table: Table, given: Iterable[str]) -> InputError:
    key = next(key for key in _HEIGHTS if key in given)
    return table.error(
        f"{table.called('setups')} and {key} both say what the rods are taken off",
        "Leave one of them out",
    )


def _read_rods(table: Table, file: object, called: str, setups: Setups | None) -> Rods:
    path = find_file(table, file, called)
    given = [key for key in _HEIGHTS if key in table]
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


def read_depths(table: Table) -> Depths | Sheets:
    """
    Read base.depths and what goes with it: a file, or a list of files or of tables with a file.

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    if not isinstance(table.values["depths"], list):
        return _read_depths(table, table.values["depths"], table.called("depths"))
    return Sheets(
        tuple(
            _read_depths(sheet, sheet.values["file"], f"the file of {sheet.name}")
            for sheet, _ in _read_list(table, "depths")
        )
    )


def _read_depths(table: Table, file: object, called: str) -> Depths:
    return Depths(
        find_file(table, file, called),
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
