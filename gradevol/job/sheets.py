"""What a job says of field sheets: base.rods, base.depths, and the string."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from gradevol.files.setups import Setups, fold
from gradevol.files.sheet_sources import Depths, Lattice, Rods, Sheets, String
from gradevol.files.sources import is_one_sheet
from gradevol.ground.errors import InputError
from gradevol.job.keys.base import SHEET
from gradevol.job.paths import read_file
from gradevol.job.setups import read_height, read_setups
from gradevol.job.table import Table, Value

_HEIGHTS = ("instrument_height", "benchmark", "backsight")


def read_rods(table: Table) -> Rods | Sheets:
    """
    Read base.rods and what goes with it: a file, or a list of files or of tables with a file.

    Raises
    ------
    InputError
        If a key cannot be used, or the height of instrument is not given in one way.
    """
    listed, rods = read_setups(table), table.value("rods")
    if listed is not None and any(key in table for key in _HEIGHTS):
        raise _say_both(table, table.values)
    if not isinstance(rods.given, list):
        return _read_rods(table, rods, listed)
    parts = []
    for sheet, own in _read_list(table, rods, "rods"):
        is_own = any(key in own for key in _HEIGHTS)
        if is_own and listed is not None:
            raise _say_both(table, own)
        part = _read_rods(sheet, _file_of(sheet), listed)
        name = (sheet.read("setup") or "").strip()
        parts.append(replace(part, setup=name or (part.title if is_own else "")))
    return Sheets(_name_setups(table, parts) if listed is None else tuple(parts))


def _name_setups(table: Table, parts: list[Rods]) -> tuple[Rods, ...]:
    """Sheets whose heights stand with them: one setup has one height, and a name of its own."""
    heights: dict[str, Rods] = {}
    named = []
    for number, part in enumerate(parts, start=1):
        name = part.setup or ("base" if any(other.setup for other in parts) else "")
        before = heights.get(fold(name))
        if before is not None and before.instrument != part.instrument:
            if fold(name) != fold(part.title):
                raise table.error(
                    f"two sheets of {table.called('rods')} are of setup {name!r}, with two "
                    "instrument heights",
                    "Name each setup once, or give both sheets one height",
                )
            name = f"{name} ({number})"
        heights[fold(name)] = part
        named.append(replace(part, setup=name))
    return tuple(named)


def _read_list(
    table: Table, sheets: Value, source: str
) -> Iterator[tuple[Table, Mapping[str, object]]]:
    """Sheets of a list: each with what [base] says of all, and what is said of it alone."""
    known = [key.name for key in SHEET.keys if not key.beside or source in key.beside]
    example = f'Write {sheets.name} = ["a.csv", "b.csv"], or [{{ file = "a.csv", ... }}, ...]'
    if not sheets.given:
        raise sheets.wrong("a file or a list of sheets", example)
    seen: list[tuple[Path, str | None]] = []
    for number, entry in enumerate(sheets.given, start=1):
        name = f"sheet {number} of {sheets.name}"
        own = {"file": entry} if isinstance(entry, str) else entry
        if not isinstance(own, Mapping):
            raise sheets.part(name, entry).wrong("a file or a table with a file", example)
        sheet = Table(table.file, SHEET, name, own)
        for key in own:
            if key not in known:
                raise table.error(f"{name} has {key}, which means nothing there", "Leave it out")
        is_own = any(key in own for key in _HEIGHTS)
        left = [key for key in known if key in table.keys and not (is_own and key in _HEIGHTS)]
        shared = sheet.sharing(table, left)
        path, named = read_file(_file_of(sheet)), shared.read("sheet")
        if any(path == other and is_one_sheet(named, name) for other, name in seen):
            raise table.error(
                f"{sheets.name} names {own['file']!r} twice",
                "Name each file once, or of a workbook each sheet (sheet)",
            )
        seen.append((path, named))
        yield shared, own


def _file_of(sheet: Table) -> Value:
    if "file" not in sheet:
        raise sheet.miss("file")
    return replace(sheet.value("file"), name=f"the file of {sheet.name}")


def _say_both(table: Table, given: Iterable[str]) -> InputError:
    key = next(key for key in _HEIGHTS if key in given)
    return table.error(
        f"{table.called('setups')} and {key} both say what the rods are taken off",
        "Leave one of them out",
    )


def _read_rods(table: Table, file: Value, setups: Setups | None) -> Rods:
    height = read_height(table, "instrument_height") if setups is None else setups
    return table.fill(Rods, path=read_file(file), lattice=_read_lattice(table), instrument=height)


def read_depths(table: Table) -> Depths | Sheets:
    """
    Read base.depths and what goes with it: a file, or a list of files or of tables with a file.

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    depths = table.value("depths")
    if not isinstance(depths.given, list):
        return _read_depths(table, depths)
    listed = _read_list(table, depths, "depths")
    return Sheets(tuple(_read_depths(sheet, _file_of(sheet)) for sheet, _ in listed))


def _read_depths(table: Table, file: Value) -> Depths:
    string: Table | None = table.read("string")
    return table.fill(
        Depths,
        path=read_file(file),
        lattice=_read_lattice(table),
        string=None if string is None else _read_string(string),
    )


def _read_lattice(table: Table) -> Lattice:
    east, north = table.read("origin")
    return table.fill(Lattice, unit=table.file.unit, origin=(float(east), float(north)))


def _read_string(table: Table) -> String:
    """Read base.string: its span, and what it weighs and how hard it is pulled."""
    said = f"{table.value('weight').given} pulled to {table.value('tension').given}"
    assumed = [key for key in ("tension", "weight") if key not in table]
    if assumed:
        said += " (assumed)" if len(assumed) == 2 else " (one of them assumed)"
    return table.fill(String, pull=said)
