"""GeoJSON: the geometries in a file, and the ring of a polygon or line.

References
----------
RFC 7946: positions are longitude and latitude in degrees (section 4), a third number is the height
(section 3.1.1). Site coordinates are accepted all the same, as drawing programs write them.
"""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from gradevol.files.drawings.units import Declared
from gradevol.files.globe import DEGREES, METRIC_ZONES, SLAB, WEB_MAPS, refuse_web_map
from gradevol.files.sniff import File
from gradevol.files.tables.text import read_text
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of, list_of, verb_of

#: Properties that hold the point's id, the first that is there.
IDS = ("point", "point_id", "id", "name", "number")
#: Coordinate systems in degrees that the old "crs" member may name (GeoJSON 2008, section 3).
_DEGREES = ("CRS84", "EPSG::4326", "EPSG:4326", "EPSG::4269", "EPSG:4269")
#: The code of a system as "crs" names it: ``urn:ogc:def:crs:EPSG::32615``, ``EPSG:32615``, of the
#: older ``{"type": "EPSG", "properties": {"code": 32615}}`` and of ``ESRI:102100`` too.
_EPSG = re.compile(
    r"(?:EPSG|ESRI)(?:[:/]+(?:[0-9.]*[:/])?|\W+properties\W+code\W+)([0-9]{4,6})\b", re.IGNORECASE
)
POINTS = ("Point", "MultiPoint")
_RINGS = ("Polygon", "MultiPolygon", "LineString")
_AGAIN = "Export it again as GeoJSON"
_NOT_A_RING = "Give one Polygon, or one LineString along the edge"


class Geometry(NamedTuple):
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
    geometries : tuple
        In file order, whatever they are wrapped in.
    system : str
        The coordinate system in degrees that the file names; mostly empty.
    broken : tuple of str
        Features without a geometry that could be read, by what they are called.
    declared : tuple of Declared
        What its coordinate system says of the unit; of those that are named by a code the UTM
        zones alone are known.
    """

    path: Path
    geometries: tuple[Geometry, ...]
    system: str
    broken: tuple[str, ...] = ()
    declared: tuple[Declared, ...] = ()

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
        If it is not JSON, not UTF-8 (RFC 7946 by way of RFC 8259, 8.1), nested too deeply, or in
        the coordinates of web maps.
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
    code = int(match[1]) if (match := _EPSG.search(named)) else 0
    if code in WEB_MAPS:
        raise refuse_web_map(file.path)
    unit = "m" if any(code in zones for zones in METRIC_ZONES) else ""
    declared = (Declared(unit, f"its crs (EPSG {code})"),) if unit else ()
    geometries = tuple(part for part in parts if isinstance(part, Geometry))
    broken = tuple(part for part in parts if isinstance(part, str))
    return GeoJson(file.path, geometries, system, broken, declared)


def _walk(node: Any, properties: Mapping[str, Any], name: str = "it") -> Iterator[Geometry | str]:
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
        called = f"{name} ({known})" if (known := first_of(own, IDS)) else name
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
        yield Geometry(kind, node["coordinates"], properties)
    else:
        yield f"{name} ({json.dumps(node)[:40]})"


def refuse_broken(drawn: GeoJson) -> None:
    """Refuse a file in which something is no geometry: it may be a shot that was lost."""
    if drawn.broken and drawn.geometries:
        raise InputError(
            f"{count_of(len(drawn.broken), 'part')} of it {verb_of(len(drawn.broken), 'have')} no "
            f"geometry that can be read: {list_of(drawn.broken, 3)}",
            remedy=f"{_AGAIN}, or take them out; a feature without a place has a geometry of null",
            path=drawn.path,
        )


def first_of(properties: Mapping[str, Any], keys: Sequence[str]) -> str:
    """The first of some properties that holds a word or a number; empty where none does."""
    for key in keys:
        value = properties.get(key)
        if isinstance(value, str | int | float) and str(value).strip():
            return str(value).strip()
    return ""


def read_numbers(position: Any, most: int) -> list[float]:
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
    refuse_broken(drawn)
    shapes = [geometry for geometry in drawn.geometries if geometry.kind in _RINGS]
    if len(shapes) != 1:
        held = f"it holds {', '.join(drawn.kinds) or 'no GeoJSON geometry'}"
        several = f"it holds {len(shapes)} polygons or lines, and one is wanted here"
        raise InputError(several if shapes else held, remedy=_NOT_A_RING, path=path)
    rings = [_read_ring(ring, path) for ring in _list_rings(shapes[0], path)]
    refuse_degrees(rings[0], drawn)
    return rings


def _list_rings(shape: Geometry, path: Path) -> Sequence[Any]:
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
        pair = read_numbers(position, 2)
        if len(pair) < 2:
            raise InputError(
                f"{json.dumps(position)[:80]} is not a position: [easting, northing] in numbers",
                remedy=_AGAIN,
                path=path,
            )
        corners.append(pair)
    return np.array(corners, dtype=np.float64).reshape(-1, 2)


def refuse_degrees(places: FloatArray, drawn: GeoJson) -> None:
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
