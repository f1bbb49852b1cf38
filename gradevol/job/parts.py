"""What a job says is cast with the slab, or displaces its concrete: thickenings and voids."""

import math
from functools import partial

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.quantities import parse_area, parse_volume
from gradevol.job.shapes import read_line, read_ring
from gradevol.job.table import Table
from gradevol.site.slab import Surveyed, Thickening, Void


def read_thickening(table: Table, *, n_sides: int | None) -> Thickening:
    """
    Read one [[thickening]].

    Parameters
    ----------
    table : Table
    n_sides : int or None
        Sides of the slab; None where its edge is in a file.

    Raises
    ------
    InputError
        If a key cannot be used, or its place is not given in exactly one way.
    """
    # `along = { sides = [1, 3] }` says the same as `sides = [1, 3]`.
    nested = table.values.get("along")
    if isinstance(nested, dict) and list(nested) == ["sides"] and "sides" not in table:
        values = {key: value for key, value in table.values.items() if key != "along"}
        table = Table(table.path, table.kind, table.name, values | nested, table.unit)
    name = table.read_text("name", table.name)
    place = table.choose(("along", "sides", "outline"), f"the place of {name!r}")
    called = table.called(place)
    along = outline = None
    sides: tuple[int, ...] = ()
    if place == "along":
        along = read_line(table, table.values[place], called)
    elif place == "sides":
        sides = table.read_whole_numbers(place, 1, n_sides or 9999)
    else:
        outline = read_ring(table, table.values[place], called)
    slope = 0.0
    if "side_slope" in table:
        slope = table.read_number("side_slope", 0, 100, expected="a ratio of run to rise, 0 to 100")
    return Thickening(
        name,
        depth=table.read_length("depth"),
        width=table.read_length("width") if outline is None or "width" in table else 0.0,
        side_slope=slope,
        surveyed=_read_surveyed(table),
        along=along,
        sides=sides,
        outline=outline,
    )


def _read_surveyed(table: Table) -> Surveyed:
    value = table.values.get("surveyed", False)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value != "departure":
        raise table.wrong(
            table.called("surveyed"),
            value,
            'true, false or "departure"',
            "false: as drawn; true: the shots show it; departure: a few trench shots correct it",
        )
    return "departure"


def read_void(table: Table) -> Void:
    """
    Read one [[void]].

    Raises
    ------
    InputError
        If a key cannot be used, or its volume is not given in exactly one way.
    """
    name = table.read_text("name", table.name)
    line = None
    if "line" in table:
        line = read_line(table, table.values["line"], table.called("line"), sizes=(2, 3))
    elif "least_cover" in table:
        raise table.error(
            f"{table.called('least_cover')} is given without {table.called('line')}",
            "Give the line it lies on, so that the cover over it can be checked",
        )
    return Void(
        name,
        volume=_read_displaced(table, line, name),
        diameter=table.find_length("diameter"),
        line=line,
        least_cover=table.find_length("least_cover"),
    )


def _read_displaced(table: Table, line: FloatArray | None, name: str) -> float:
    """Volume that a void displaces, m³; negative where it adds."""
    # Beside a volume or a section, a diameter says how much of the cover the void takes.
    ways = ["volume", "section"]
    if line is None or not any(way in table for way in ways):
        ways.append("diameter")
    way = table.choose(ways, f"the volume of {name!r}")
    if way == "volume":
        table.refuse_beside(way, {"length": ("diameter", "section")})
        parser = partial(parse_volume, unit=table.unit)
        volume = table.parse(table.values[way], table.called(way), "a volume", parser, "1.5 yd3")
    else:
        length = _read_run(table, line)
        if way == "diameter":
            section = math.pi / 4 * table.read_length("diameter") ** 2
        else:
            parser = partial(parse_area, unit=table.unit)
            section = table.parse(table.values[way], table.called(way), "an area", parser, "2 in2")
        if length < 0 and (way == "diameter" or section < 0):
            raise table.wrong(
                table.called("length"),
                table.values["length"],
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
        return table.read_length("length", signed=True)
    return float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum())
