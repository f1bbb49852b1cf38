"""What a job says of instrument setups: [base.setups] and [top.setups]."""

from collections.abc import Mapping
from dataclasses import replace

from gradevol.files.setups import fold
from gradevol.files.sources import Setup, Setups
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
    key, value = table.called("setups"), table.values["setups"]
    if not isinstance(value, Mapping) or not value:
        raise table.wrong(key, value, "a table of setups", _REMEDY.format(key))
    setups: list[Setup] = []
    for name, keys in value.items():
        if not isinstance(keys, Mapping):
            raise table.wrong(f"{key}.{name}", keys, "a table", _REMEDY.format(key))
        if alike := [setup.name for setup in setups if fold(setup.name) == fold(name)]:
            raise table.error(f"{key} lists both {alike[0]!r} and {name!r}", "List each once")
        part = Table(table.path, "setup", f"{key}.{name}", keys, table.unit)
        setups.append(_read_setup(part, name.strip()))
    return Setups(key, tuple(setups))


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
    given = table.values.get("setups", "base")
    if isinstance(given, Mapping):
        return read_setups(table)
    if given != "base":
        raise table.wrong(table.called("setups"), given, 'a table or "base"', "Correct it")
    setups = read_setups(base)
    if "setups" not in table:
        return None if setups is None else replace(setups, is_stated=False, is_own=False)
    if setups is None:
        raise table.error(
            f'{table.called("setups")} is "base", but base.setups is not given',
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
        return table.read_length(key, signed=True)
    benchmark = table.read_length("benchmark", signed=True)
    return benchmark + table.read_length("backsight", or_zero=True)


def _read_setup(table: Table, name: str) -> Setup:
    height = read_height(table, "height")
    if "closing" not in table:
        if "closing_benchmark" in table:
            raise table.error(
                f"{table.name} has closing_benchmark but no closing",
                "Give the rod reading of the closing shot as closing",
            )
        return Setup(name, height)
    closing = table.read_length("closing", or_zero=True)
    known = "closing_benchmark" if "closing_benchmark" in table else "benchmark"
    if known not in table:
        raise table.error(
            f"{table.name} has a closing shot, but no mark that it was taken on",
            "Give the mark's elevation as closing_benchmark",
        )
    return Setup(name, height, closing, table.read_length(known, signed=True))
