"""GeoJSON: points. Rings are read by `outline`.

References
----------
RFC 7946: positions are longitude and latitude in degrees (section 4), a third number is the height
(section 3.1.1). Site coordinates are accepted all the same, as drawing programs write them.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np

from gradevol.files.drawing_points import build_survey, is_wanted
from gradevol.files.text import read_text
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.site.survey import Survey

#: Properties that hold the point's id and its description, the first that is there.
_IDS = ("point", "point_id", "id", "name", "number")
_CODES = ("code", "description", "desc")
#: Coordinate systems in degrees that the old "crs" member may name (GeoJSON 2008, section 3).
_DEGREES = ("CRS84", "EPSG::4326", "EPSG:4326", "EPSG::4269", "EPSG:4269")


class _Shot(NamedTuple):
    position: Sequence[Any]
    name: str
    code: str


def read_geojson_points(path: Path, *, unit: str, codes: Sequence[str] = ()) -> Survey:
    """
    Read Point and MultiPoint geometries with elevations, in site coordinates.

    Parameters
    ----------
    path : Path
        The file.
    unit : str
        Unit of its numbers, a key of `units.METRES`: GeoJSON has no place to say it.
    codes : sequence of str
        Shell-style patterns; only points whose description matches one are kept. Empty: all.

    Returns
    -------
    Survey
        In file order, about a local origin, m.

    Raises
    ------
    InputError
        If the file is no GeoJSON, has no such points, or is in degrees.
    """
    document = load_document(path)
    shots: list[_Shot] = []
    others: set[str] = set()
    try:
        for geometry, properties in _walk(document, {}):
            shots.extend(_read_geometry(geometry, properties, others))
    except RecursionError as error:
        raise InputError(
            "its JSON is nested too deeply", remedy="Export it again as GeoJSON", path=path
        ) from error
    if not shots:
        held = f"only {', '.join(sorted(others))}" if others else "no geometry"
        raise InputError(
            f"it holds no points, {held}",
            remedy="Export the shots as Point features with three coordinates",
            path=path,
        )
    rows = [
        _read_position(shot, number, path, needs_level=is_wanted(shot.code, codes))
        for number, shot in enumerate(shots, start=1)
    ]
    points = np.array(rows, dtype=np.float64)
    refuse_degrees(points, document, path)
    notes = []
    if others:
        text = f"{', '.join(sorted(others))} of {escape(path.name)} were left out: only points are"
        notes.append(Note("geometries-left-out", escape(text) + " shots."))
    return build_survey(
        rows,
        path=path,
        unit=unit,
        ids=[shot.name for shot in shots],
        codes=[shot.code for shot in shots],
        wanted=codes,
        readings=[repr(row[2]) for row in rows],
        notes=notes,
    )


def load_document(path: Path) -> Any:
    """
    Load JSON.

    Raises
    ------
    InputError
        If it is not JSON, or nested too deeply.
    """
    content = read_text(path).content
    try:
        return json.loads(content)
    except RecursionError as error:
        raise InputError(
            "its JSON is nested too deeply", remedy="Export it again as GeoJSON", path=path
        ) from error
    except ValueError as error:
        raise InputError(
            f"it is not complete JSON ({error})",
            remedy="Export it again as GeoJSON",
            path=path,
            line=getattr(error, "lineno", None),
        ) from error


def refuse_degrees(points: FloatArray, document: Any, path: Path) -> None:
    """
    Refuse longitudes and latitudes: of shots, or of the corners of a ring.

    0.01 degrees is about a kilometre, while what lies within 0.01 of any unit of length is no slab.

    Parameters
    ----------
    points : (n, 2 or more) array of float
        Positions as the file has them.
    document : object
        The whole file, which may name its system.
    path : Path

    Raises
    ------
    InputError
        If the file names such a system, or its numbers can be nothing else.
    """
    system = json.dumps(document.get("crs")) if isinstance(document, dict) else ""
    named = [name for name in _DEGREES if name in system]
    plan = points[:, :2]
    is_speck = (np.abs(plan) <= (180, 90)).all() and np.ptp(plan, axis=0).max(initial=0.0) < 0.01
    if len(plan) and (named or is_speck):
        why = f"its crs is {named[0]}" if named else "as RFC 7946 has them"
        raise InputError(
            f"its coordinates ({plan[0, 0]:.6g}, {plan[0, 1]:.6g}) are longitude and latitude in "
            f"degrees ({why}), not the site's eastings and northings",
            remedy="Export them in the coordinates of the job: projected, or local",
            path=path,
        )


def _walk(node: Any, properties: Mapping[str, Any]) -> Iterator[tuple[Any, Mapping[str, Any]]]:
    """Geometries, each with the properties of its feature."""
    if not isinstance(node, dict):
        return
    kind = node.get("type")
    inner = {"FeatureCollection": "features", "GeometryCollection": "geometries"}.get(str(kind))
    if kind == "Feature":
        held = node.get("properties")
        named = {"id": node["id"]} if "id" in node else {}
        own = {str(key).lower(): value for key, value in held.items()} if held else {}
        yield from _walk(node.get("geometry"), {**named, **own})
    elif inner:
        parts = node.get(inner)
        for part in parts if isinstance(parts, list) else []:
            yield from _walk(part, properties)
    elif isinstance(kind, str):
        yield node, properties


def _read_geometry(
    geometry: Any, properties: Mapping[str, Any], others: set[str]
) -> Iterator[_Shot]:
    """Points of one geometry; the kinds that are none go to `others`."""
    name, code = _first(properties, _IDS), _first(properties, _CODES)
    held = geometry.get("coordinates")
    if geometry["type"] == "Point":
        yield _Shot(held, name, code)
    elif geometry["type"] == "MultiPoint":
        for number, position in enumerate(held if isinstance(held, list) else [], start=1):
            yield _Shot(position, f"{name}.{number}" if name else "", code)
    else:
        others.add(geometry["type"][:40])


def _first(properties: Mapping[str, Any], keys: Sequence[str]) -> str:
    for key in keys:
        value = properties.get(key)
        if isinstance(value, str | int | float) and str(value).strip():
            return str(value).strip()
    return ""


def _read_position(
    shot: _Shot, number: int, path: Path, *, needs_level: bool
) -> tuple[float, float, float]:
    held = shot.position[:3] if isinstance(shot.position, list) else []
    good = [type(value) in {int, float} and abs(value) < 1e15 for value in held]
    if len(held) == 2 and all(good):
        if not needs_level:  # a corner or a mark without an elevation is no shot of the base
            return float(held[0]), float(held[1]), float("nan")
        problem = "has no elevation"
    elif len(held) < 3 or not all(good):
        problem = "is not easting, northing and elevation in numbers"
    else:
        return float(held[0]), float(held[1]), float(held[2])
    raise InputError(
        f"point {shot.name or number} {problem}: {json.dumps(shot.position)[:80]}",
        remedy="Export the shots with three coordinates each, or name the descriptions of the base "
        "(codes)",
        path=path,
    )
