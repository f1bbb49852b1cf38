"""GeoJSON: the points of a file, and where their elevations stand."""

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from gradevol.files.drawings.geojson import (
    IDS,
    POINTS,
    GeoJson,
    Geometry,
    first_of,
    read_numbers,
    refuse_broken,
    refuse_degrees,
)
from gradevol.files.drawings.points import DrawnPoints, is_other_level
from gradevol.files.drawings.units import Declared
from gradevol.files.tables.headings import names_level, read_heading
from gradevol.files.tables.text import count_decimals
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape

#: Properties that hold a point's description, the first that is there.
_CODES = ("code", "description", "desc")
_NUMBER = re.compile(r"[-+]?[0-9]+(?:\.[0-9]*)?")


class _Level(NamedTuple):
    """An elevation beside a point's coordinates: its property, its value, the unit it names."""

    key: str
    value: float
    unit: str | None

    def declare(self) -> Declared:
        """What the name of its property says of the unit."""
        return Declared(self.unit or "", f"its property {self.key!r}")

    def is_other(self, level: float, decimals: int) -> bool:
        """Whether it is another elevation than one among the coordinates, in the same unit."""
        return self.unit is None and is_other_level(self.value, level, decimals)


def find_points(drawn: GeoJson) -> DrawnPoints:
    """
    Find Point and MultiPoint geometries, in site coordinates.

    Raises
    ------
    InputError
        If there are none, one is no place, or they are in degrees.
    """
    path = drawn.path
    refuse_broken(drawn)
    shots = [shot for geometry in drawn.geometries for shot in _list_shots(geometry)]
    others = [kind for kind in drawn.kinds if kind not in POINTS]
    if not shots:
        held = f"only {', '.join(others)}" if others else "no geometry"
        raise InputError(
            f"it holds no points, {held}",
            remedy="Export the shots as Point features with three coordinates",
            path=path,
        )
    # 99.4 may be 99.40: the most that any of them has
    decimals = max((count_decimals(str(held.value)) or 0 for *_, held in shots if held), default=0)
    rows, faults, levelled = [], {}, dict[str, _Level]()
    for at, (position, name, _, level) in enumerate(shots):
        numbers = read_numbers(position, 3)
        if len(numbers) == 2 and level is not None:
            levelled[level.key] = level
            numbers.append(level.value)
        elif len(numbers) == 2:  # a corner or a mark, but no shot of the base
            faults[at] = _say_no_shot(position, name or str(at + 1), "has no elevation", path)
            numbers.append(float("nan"))
        elif len(numbers) == 3 and level and level.is_other(numbers[2], decimals):
            why = (
                f"has two elevations, {level.value:g} by its property {level.key!r} and another in "
                "its coordinates"
            )
            faults[at] = _say_no_shot(position, name or str(at + 1), why, path)
        if len(numbers) < 3:
            why = "is not easting, northing and elevation in numbers"
            raise _say_no_shot(position, name or str(at + 1), why, path)
        rows.append(numbers)
    places = np.array(rows, dtype=np.float64)
    refuse_degrees(places, drawn)
    notes = []
    if others:
        text = f"{', '.join(others)} of {path.name} were left out: only points are shots."
        notes.append(Note("geometries-left-out", escape(text)))
    if levelled:
        keys = " and ".join(map(repr, levelled))
        text = (
            f"Points of {path.name} have no third coordinate: their elevations were taken from "
            f"their property {keys}."
        )
        notes.append(Note("elevations-of-properties", escape(text)))
    return DrawnPoints(
        path,
        places,
        tuple([name for _, name, _, _ in shots]),
        tuple([code for _, _, code, _ in shots]),
        tuple([repr(row[2]) for row in rows]),
        faults,
        tuple(notes),
        (*drawn.declared, *(one.declare() for one in levelled.values() if one.unit)),
    )


def _list_shots(geometry: Geometry) -> Iterator[tuple[Any, str, str, _Level | None]]:
    """Position, id, description and elevation beside it, of each point of one geometry."""
    name, code = first_of(geometry.properties, IDS), first_of(geometry.properties, _CODES)
    if geometry.kind == "Point":
        yield geometry.held, name, code, _find_level(geometry.properties)
    elif geometry.kind == "MultiPoint":
        held = geometry.held if isinstance(geometry.held, list) else []
        for number, position in enumerate(held, start=1):
            yield position, f"{name}.{number}" if name else "", code, None


def _find_level(properties: Mapping[str, Any]) -> _Level | None:
    """The elevation that properties give by their names; None where they give two, or none."""
    found = []
    for key, value in properties.items():
        is_number = not isinstance(value, bool) and _NUMBER.fullmatch(str(value))
        if names_level(key) and is_number:
            found.append(_Level(key, float(value), read_heading(key).unit))
    return found[0] if len({(one.value, one.unit) for one in found}) == 1 else None


def _say_no_shot(position: Any, name: str, why: str, path: Path) -> InputError:
    return InputError(
        f"point {name} {why}",
        remedy="Export the shots with three coordinates each, or name the descriptions of the base "
        "(codes)",
        path=path,
        quoted=json.dumps(position)[:80],
    )
