"""GeoJSON: the geometries in a file, its points, and the ring of a polygon or line.

References
----------
RFC 7946: positions are longitude and latitude in degrees (section 4), a third number is the height
(section 3.1.1). Site coordinates are accepted all the same, as drawing programs write them.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from gradevol.files.drawings.points import DrawnPoints
from gradevol.files.globe import DEGREES, SLAB
from gradevol.files.sniff import File
from gradevol.files.tables.text import read_text
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, list_of, verb_of

#: Properties that hold the point's id and its description, the first that is there.
_IDS = ("point", "point_id", "id", "name", "number")
_CODES = ("code", "description", "desc")
#: Coordinate systems in degrees that the old "crs" member may name (GeoJSON 2008, section 3).
_DEGREES = ("CRS84", "EPSG::4326", "EPSG:4326", "EPSG::4269", "EPSG:4269")
_POINTS, _RINGS = ("Point", "MultiPoint"), ("Polygon", "MultiPolygon", "LineString")
_AGAIN = "Export it again as GeoJSON"
_NOT_A_RING = "Give one Polygon, or one LineString along the edge"


class _Geometry(NamedTuple):
    """One geometry: its type, its coordinates as they stand, the properties of its feature."""

    kind: str
    held: Any
    properties: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class GeoJson:
    """
    What a GeoJSON file holds.

    Attributes
    ----------
    path : Path
    geometries : tuple
        In file order, whatever they are wrapped in.
    system : str
        The coordinate system in degrees that the file names; mostly empty.
    broken : tuple of str
        Features without a geometry that could be read, by what they are called.
    """

    path: Path
    geometries: tuple[_Geometry, ...]
    system: str
    broken: tuple[str, ...] = ()

    @property
    def kinds(self) -> list[str]:
        """Which kinds of geometry there are."""
        return sorted({geometry.kind[:40] for geometry in self.geometries})


def parse_geojson(file: File) -> GeoJson:
    """
    Parse a file.

    Raises
    ------
    InputError
        If it is not JSON, not UTF-8 (RFC 7946 by way of RFC 8259, 8.1) or nested too deeply.
    """
    text = read_text(file)
    if not text.encoding.startswith("utf"):
        # where another encoding hides what was lost, a feature may go with it
        raise InputError("it is not UTF-8, as GeoJSON is", remedy=_AGAIN, path=file.path)
    try:
        document = json.loads(text.content)
        parts = tuple(_walk(document, {}))
    except RecursionError as error:
        raise InputError("its JSON is nested too deeply", remedy=_AGAIN, path=file.path) from error
    except ValueError as error:
        raise InputError(
            f"it is not complete JSON ({error})",
            remedy=_AGAIN,
            path=file.path,
            line=getattr(error, "lineno", None),
        ) from error
    named = json.dumps(document.get("crs")) if isinstance(document, dict) else ""
    system = next((name for name in _DEGREES if name in named), "")
    geometries = tuple(part for part in parts if isinstance(part, _Geometry))
    broken = tuple(part for part in parts if isinstance(part, str))
    return GeoJson(file.path, geometries, system, broken)


def _walk(node: Any, properties: Mapping[str, Any], name: str = "it") -> Iterator[_Geometry | str]:
    """
    Geometries of a GeoJSON object (RFC 7946, section 3), each with its feature's properties.

    What is no geometry is named in its place. A feature may be unlocated: its geometry is null.
    """
    if not isinstance(node, dict):
        yield f"{name} ({json.dumps(node)[:40]})"
        return
    kind = node.get("type")
    inner = {"FeatureCollection": "features", "GeometryCollection": "geometries"}.get(str(kind))
    if kind == "Feature":
        held = node.get("properties")
        named = {"id": node["id"]} if "id" in node else {}
        own = {str(key).lower(): value for key, value in held.items()} if held else {}
        own = {**named, **own}
        called = f"{name} ({known})" if (known := _first(own, _IDS)) else name
        if "geometry" not in node or node["geometry"] is not None:
            yield from _walk(node.get("geometry"), own, called)
    elif inner:
        parts, word = node.get(inner), "feature" if inner == "features" else "geometry"
        if not isinstance(parts, list):
            yield f"{name} (its {inner} are no list)"
            return
        for number, part in enumerate(parts, start=1):
            within = "" if name == "it" else f" of {name}"
            yield from _walk(part, properties, f"{word} {number}{within}")
    elif isinstance(kind, str) and "coordinates" in node:
        yield _Geometry(kind, node["coordinates"], properties)
    else:
        yield f"{name} ({json.dumps(node)[:40]})"


def find_points(drawn: GeoJson) -> DrawnPoints:
    """
    Find Point and MultiPoint geometries, in site coordinates.

    Raises
    ------
    InputError
        If there are none, one is no place, or they are in degrees.
    """
    path = drawn.path
    _refuse_broken(drawn)
    shots = [shot for geometry in drawn.geometries for shot in _list_shots(geometry)]
    others = [kind for kind in drawn.kinds if kind not in _POINTS]
    if not shots:
        held = f"only {', '.join(others)}" if others else "no geometry"
        raise InputError(
            f"it holds no points, {held}",
            remedy="Export the shots as Point features with three coordinates",
            path=path,
        )
    rows, faults = [], {}
    for at, (position, name, _) in enumerate(shots):
        numbers = _read_numbers(position, 3)
        if len(numbers) == 2:  # a corner or a mark, but no shot of the base
            faults[at] = _say_no_shot(position, name or str(at + 1), "has no elevation", path)
            numbers.append(float("nan"))
        if len(numbers) < 3:
            why = "is not easting, northing and elevation in numbers"
            raise _say_no_shot(position, name or str(at + 1), why, path)
        rows.append(numbers)
    places = np.array(rows, dtype=np.float64)
    _refuse_degrees(places, drawn)
    notes = []
    if others:
        text = f"{', '.join(others)} of {path.name} were left out: only points are shots."
        notes.append(Note("geometries-left-out", escape(text)))
    return DrawnPoints(
        path,
        places,
        tuple([name for _, name, _ in shots]),
        tuple([code for _, _, code in shots]),
        tuple([repr(row[2]) for row in rows]),
        faults,
        tuple(notes),
    )


def _refuse_broken(drawn: GeoJson) -> None:
    """Refuse a file in which something is no geometry: it may be a shot that was lost."""
    if drawn.broken and drawn.geometries:
        raise InputError(
            f"{count_of(len(drawn.broken), 'part')} of it {verb_of(len(drawn.broken), 'have')} no "
            f"geometry that can be read: {list_of(drawn.broken, 3)}",
            remedy=f"{_AGAIN}, or take them out; a feature without a place has a geometry of null",
            path=drawn.path,
        )


def _list_shots(geometry: _Geometry) -> Iterator[tuple[Any, str, str]]:
    """Position, id and description of each point of one geometry."""
    name, code = _first(geometry.properties, _IDS), _first(geometry.properties, _CODES)
    if geometry.kind == "Point":
        yield geometry.held, name, code
    elif geometry.kind == "MultiPoint":
        held = geometry.held if isinstance(geometry.held, list) else []
        for number, position in enumerate(held, start=1):
            yield position, f"{name}.{number}" if name else "", code


def _first(properties: Mapping[str, Any], keys: Sequence[str]) -> str:
    for key in keys:
        value = properties.get(key)
        if isinstance(value, str | int | float) and str(value).strip():
            return str(value).strip()
    return ""


def _say_no_shot(position: Any, name: str, why: str, path: Path) -> InputError:
    return InputError(
        f"point {name} {why}",
        remedy="Export the shots with three coordinates each, or name the descriptions of the base "
        "(codes)",
        path=path,
        quoted=json.dumps(position)[:80],
    )


def _read_numbers(position: Any, most: int) -> list[float]:
    """The first numbers of a position; none, where one of them is none."""
    held = position[:most] if isinstance(position, list) else []
    is_good = all(type(value) in {int, float} and abs(value) < 1e15 for value in held)
    return list(map(float, held)) if is_good else []


def find_rings(drawn: GeoJson) -> list[FloatArray]:
    """
    Find the one polygon or line: its rings (k, 2), the edge first, as they are written.

    Raises
    ------
    InputError
        If there is none, or several, one is no ring, or they are in degrees.
    """
    path = drawn.path
    _refuse_broken(drawn)
    shapes = [geometry for geometry in drawn.geometries if geometry.kind in _RINGS]
    if len(shapes) != 1:
        held = f"it holds {', '.join(drawn.kinds) or 'no GeoJSON geometry'}"
        several = f"it holds {len(shapes)} polygons or lines, and one is wanted here"
        raise InputError(several if shapes else held, remedy=_NOT_A_RING, path=path)
    rings = [_read_ring(ring, path) for ring in _list_rings(shapes[0], path)]
    _refuse_degrees(rings[0], drawn)
    return rings


def _list_rings(shape: _Geometry, path: Path) -> Sequence[Any]:
    """Lists of positions, the outer ring first."""
    held = shape.held
    if shape.kind == "LineString":
        return [held]
    if shape.kind == "MultiPolygon":
        if not isinstance(held, list) or len(held) != 1:
            count = len(held) if isinstance(held, list) else 0
            raise InputError(
                f"its MultiPolygon holds {count} polygons, and one is wanted here",
                remedy=_NOT_A_RING,
                path=path,
            )
        held = held[0]
    if not isinstance(held, list) or not held:
        raise InputError("its Polygon holds no rings", remedy=_NOT_A_RING, path=path)
    return held


def _read_ring(ring: Any, path: Path) -> FloatArray:
    """Positions of a ring; an elevation is left out."""
    corners = []
    for position in ring if isinstance(ring, list) else [ring]:
        pair = _read_numbers(position, 2)
        if len(pair) < 2:
            raise InputError(
                f"{json.dumps(position)[:80]} is not a position: [easting, northing] in numbers",
                remedy=_AGAIN,
                path=path,
            )
        corners.append(pair)
    return np.array(corners, dtype=np.float64).reshape(-1, 2)


def _refuse_degrees(places: FloatArray, drawn: GeoJson) -> None:
    """Refuse what the file says is in degrees, or is smaller than any slab would be in a length."""
    plan = places[:, :2]
    is_speck = (np.abs(plan) <= (180, 90)).all() and np.ptp(plan, axis=0).max(initial=0.0) < SLAB
    if len(plan) and (drawn.system or is_speck):
        why = f"its crs is {drawn.system}" if drawn.system else "as RFC 7946 has them"
        raise InputError(
            f"its coordinates ({plan[0, 0]:.6g}, {plan[0, 1]:.6g}) are longitude and latitude in "
            f"degrees ({why}), not the site's eastings and northings",
            remedy="Export them in the coordinates of the job: projected, or local",
            path=drawn.path,
            code=DEGREES,
        )
