"""What a job says is cast with the slab, or displaces its concrete: thickenings and voids."""

import math
from dataclasses import replace

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.job.declarations import Kind
from gradevol.job.table import Table
from gradevol.site.slab import Surveyed, Thickening, Void

_SURVEYED: dict[bool | str | None, Surveyed] = {
    **{None: "no", False: "no", True: "yes"},
    "departure": "departure",
}


def read_thickening(table: Table, *, sides: Kind) -> Thickening:
    """
    Read one [[thickening]].

    Parameters
    ----------
    table : Table
    sides : Kind
        How sides of the slab are told (`sides_of`).

    Raises
    ------
    InputError
        If a key cannot be used, or its place is not given in exactly one way.
    """
    # `along = { sides = [1, 3] }` says the same as `sides = [1, 3]`.
    nested = table.value("along").given
    if isinstance(nested, dict) and list(nested) == ["sides"] and "sides" not in table:
        values = {key: value for key, value in table.values.items() if key != "along"}
        table = replace(table, values=values | nested)
    place = table.choose(f"the place of {table.read('name')!r}")
    return table.fill(
        Thickening,
        sides=table.read("sides", sides) or (),
        width=(table.read("width") or 0.0) if place == "outline" else table.require("width"),
        surveyed=_SURVEYED[table.read("surveyed")],
    )


def read_void(table: Table) -> Void:
    """
    Read one [[void]].

    Raises
    ------
    InputError
        If a key cannot be used, or its volume is not given in exactly one way.
    """
    line: FloatArray | None = table.read("line")
    volume = _read_displaced(table, line, table.read("name"))
    is_by_line = line is not None and "volume" not in table and "length" not in table
    return table.fill(Void, volume=volume, is_by_line=is_by_line)


def _read_displaced(table: Table, line: FloatArray | None, name: str) -> float:
    """Volume that a void displaces, m³; negative where it adds."""
    ways = table.keys.one_of
    if line is not None and ("volume" in table or "section" in table):
        ways = ("volume", "section")  # beside them a diameter says how much of the cover it takes
    way = table.choose(f"the volume of {name!r}", among=ways)
    volume: float = table.read(way)
    if way != "volume":
        length = _read_run(table, line)
        section = volume if way == "section" else math.pi / 4 * volume**2
        if length < 0 and (way == "diameter" or section < 0):
            raise table.value("length").wrong(
                "more than 0",
                "Only a former is negative, by its section or its length, and then it adds",
            )
        volume = section * length
    if volume == 0:
        raise table.error(f"the volume of {name!r} is 0", "Leave it out")
    return volume


def _read_run(table: Table, line: FloatArray | None) -> float:
    """Length of a void, m: as given, else that of its line."""
    if "length" in table or line is None:
        return float(table.require("length"))
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
