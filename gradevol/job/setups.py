"""What a job says of instrument setups: [base.setups] and [top.setups]."""

from collections.abc import Mapping
from dataclasses import replace

from gradevol.files.setups import Setup, Setups, fold
from gradevol.job.keys.base import SETUP
from gradevol.job.table import Table

_REMEDY = (
    "Write each setup as a line of [{}]: 1 = {{ benchmark = 101.25, backsight = 4.37 }} or "
    "1 = {{ height = 105.62 }}"
)


def read_setups(table: Table) -> Setups | None:
    """
    Read the setups of a table, [base] or [top]; None where it has none.

    Raises
    ------
    InputError
        If one cannot be used, or two have one name.
    """
    if "setups" not in table:
        return None
    value = table.value("setups")
    remedy = _REMEDY.format(value.name)
    if not isinstance(value.given, Mapping) or not value.given:
        raise value.wrong("a table of setups", remedy)
    setups: list[Setup] = []
    for name, keys in value.given.items():
        part = value.part(f"{value.name}.{name}", keys)
        if not isinstance(keys, Mapping):
            raise part.wrong("a table", remedy)
        if alike := [setup.name for setup in setups if fold(setup.name) == fold(name)]:
            problem = f"{value.name} lists both {alike[0]!r} and {name!r}"
            raise table.error(problem, "List each once")
        setups.append(_read_setup(Table(table.file, SETUP, part.name, keys), name.strip()))
    return Setups(value.name, tuple(setups))


def borrow_setups(base: Table) -> Setups | None:
    """Read the setups of [base] for other shots, which are from them where the names match."""
    setups = read_setups(base)
    return None if setups is None else replace(setups, is_stated=False, is_own=False)


def read_setups_of_top(table: Table, base: Table) -> Setups | None:
    """
    Read the setups of top shots: their own, or those of the base.

    Parameters
    ----------
    table : Table
        [top], or a panel of it. ``setups = "base"`` takes those of the base; so does leaving the
        key out, where the names match.
    base : Table
        [base].

    Raises
    ------
    InputError
        As `read_setups`; or if those of the base are asked for and there are none.
    """
    value = table.value("setups")
    if value.given is None:
        return borrow_setups(base)
    if isinstance(value.given, Mapping):
        return read_setups(table)
    if value.given != "base":
        raise value.wrong('a table or "base"', "Correct it")
    setups = read_setups(base)
    if setups is None:
        raise table.error(
            f'{value.name} is "base", but base.setups is not given',
            "List the setups under [base.setups]",
        )
    return replace(setups, is_own=False)


def read_height(table: Table, key: str) -> float:
    """
    Height of instrument, m: given under `key`, or benchmark and backsight.

    Raises
    ------
    InputError
        If neither is there, or both, or the backsight is negative.
    """
    parts = [part for part in ("benchmark", "backsight") if part in table]
    if (key in table) == bool(parts):
        raise table.error(
            f"{table.name} has {f'{key} and {parts[0]}' if parts else f'no {key}'}",
            f"Give {key}, or benchmark and backsight",
        )
    if not parts:
        return float(table.read(key))
    return float(table.require("benchmark") + table.require("backsight"))


def _read_setup(table: Table, name: str) -> Setup:
    height = read_height(table, "height")
    mark = table.read("closing_benchmark")
    if "closing" in table and mark is None:
        mark = table.read("benchmark")
        if mark is None:
            raise table.error(
                f"{table.name} has a closing shot, but no mark that it was taken on",
                "Give the mark's elevation as closing_benchmark",
            )
    return table.fill(Setup, name=name, height=height, closing_benchmark=mark)
