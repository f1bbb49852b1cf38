"""Cores: where they are, and how long they were."""

import re
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from gradevol.files.opened import Files
from gradevol.files.tables.cells import parse_number
from gradevol.files.tables.columns import check_units
from gradevol.files.tables.headings import read_heading, read_unit
from gradevol.files.tables.table import Table, read_table
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

#: Names of a core's length; common practice, no source.
_LENGTHS = ("core length", "length", "thickness", "measured")
#: And of what it is called, beside those of any point.
_IDS = ("core", "core id", "core no")
#: No core of a slab on ground is longer, m.
_LONGEST = 3.0


@dataclass(frozen=True, slots=True)
class Core:
    """
    A core.

    Attributes
    ----------
    id : str
    place : (float, float)
        Easting, northing, m.
    length : float or None
        As measured, m; None of one that is only proposed.
    """

    id: str
    place: tuple[float, float]
    length: float | None = None

    def about(self, origin: FloatArray) -> "Core":
        """Return the same core about an origin."""
        east, north = np.asarray(self.place) - origin[:2]
        return replace(self, place=(float(east), float(north)))


def read_cores(path: Path, files: Files | None = None, *, unit: str) -> tuple[Core, ...]:
    """
    Read cores from delimited text: a header that names id, easting, northing and length.

    Parameters
    ----------
    path : Path
    files : Files, optional
        What the run has opened.
    unit : str
        Of bare numbers, a key of `METRES`; a heading such as ``length_in`` has its own.

    Returns
    -------
    tuple of Core
        In the order of the file; without a length where that cell is empty.

    Raises
    ------
    InputError
        If the columns aren't known, or a row can't be read: none is skipped.
    """
    table = (files or Files()).parse(path, read_table)
    if table.header is None:
        raise InputError(
            "it has no header row",
            remedy="Name its columns, as in id,easting,northing,length; leave the length of a "
            "core that is only proposed empty",
            path=path,
        )
    letters = [read_heading(name).letter for name in table.header]
    long, own = find_length(table, unit)
    at = {}
    for letter, what in (("E", "easting"), ("N", "northing")):
        if letters.count(letter) != 1:
            raise InputError(
                f"its header {table.quote(table.header)} does not name one {what}",
                remedy="Use id,easting,northing,length",
                path=path,
            )
        at[letter] = letters.index(letter)
    check_units(table, [name for n, name in enumerate(table.header) if n != long], unit, own=own)
    called = [
        number for number, cell in enumerate(table.header) if letters[number] == "P" or _is_id(cell)
    ]
    name = called[0] if called else None
    cores = tuple(
        _read_core(table, row, at, long, name, units=(unit, own)) for row in range(len(table.rows))
    )
    names = [core.id for core in cores]
    for row, core in enumerate(cores):
        if names.count(core.id) > 1:
            raise InputError(
                f"two cores are named {core.id!r}",
                remedy="Name each its own way",
                path=path,
                line=table.lines[row],
            )
    return cores


def is_core_table(table: Table) -> bool:
    """Whether a table is one of cores by its header, which names a length, and nothing else."""
    header = table.header or ()
    called = [name for name in header if _is_id(name)]
    others = [name for name in header if read_heading(name).letter not in ("P", "E", "N")]
    try:
        find_length(table, "m")
    except InputError:
        return False
    return bool(called) or len(others) == 1


def _is_id(name: str) -> bool:
    return " ".join(re.findall(r"[^\W_]+", name.lower())) in _IDS


def find_length(table: Table, unit: str) -> tuple[int, str]:
    """Column of the lengths, and their unit: that of bare numbers where its heading has none."""
    found = {}
    for number, name in enumerate(table.header or ()):
        words = re.findall(r"[^\W_]+|[\"'″′]", name.lower())
        for count in (2, 1):
            own, is_known = read_unit(words[count:])
            if " ".join(words[:count]) in _LENGTHS and is_known:
                found[number] = unit if own is None or (own, unit) == ("ft", "us-ft") else own
                break
    if len(found) != 1:
        raise InputError(
            f"its header {table.quote(table.header or ())} does not name one length",
            remedy="Name the column of core lengths length, or with its unit, as in length_in",
            path=table.path,
        )
    ((number, own),) = found.items()
    if own not in METRES:
        raise InputError(
            f"its header gives lengths in {own}",
            remedy=f"Give them in one of {', '.join(METRES)}",
            path=table.path,
        )
    return number, own


def _read_core(
    table: Table,
    row: int,
    at: dict[str, int],
    long: int,
    name: int | None,
    *,
    units: tuple[str, str],
) -> Core:
    def read(number: int, what: str, unit: str) -> float:
        cell = table.cell(row, number)
        try:
            return parse_number(cell, decimal=table.decimal, unit=unit)
        except ValueError as error:
            raise table.fault(
                row,
                f"the {what} {cell[:40]!r} {error}",
                "Correct the row; leave the length of a core that is only proposed empty",
            ) from error

    written = table.cell(row, long)
    length = read(long, "length", units[1]) if written else None
    if length is not None and not 0 < length <= _LONGEST:
        raise InputError(
            f"the length {written!r} is none that a core of a slab has",
            remedy="Is it in the unit of the job? A heading such as length_in says another",
            path=table.path,
            line=table.lines[row],
        )
    place = (read(at["E"], "easting", units[0]), read(at["N"], "northing", units[0]))
    told = table.cell(row, name) if name is not None else ""
    return Core(told or f"line {table.lines[row]}", place, length)
