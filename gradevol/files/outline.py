"""Rings in files: the slab's edge and its openings, from CSV or GeoJSON."""

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from gradevol.files.cells import fit_rows, read_coordinates
from gradevol.files.columns import check_units
from gradevol.files.geojson import load_document, refuse_degrees
from gradevol.files.headings import read_heading, read_letters
from gradevol.files.sources import OutlineFile
from gradevol.files.table import read_table
from gradevol.files.text import read_text
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

_SHAPES = {"Polygon", "MultiPolygon", "LineString"}
_NOT_A_RING = "Give one Polygon, or one LineString along the edge"


def read_outline(source: OutlineFile) -> FloatArray:
    """
    Read a ring that has no holes.

    Parameters
    ----------
    source : OutlineFile
        CSV with a header row that names easting and northing, one corner a line, or GeoJSON with
        one Polygon or LineString in site coordinates.

    Returns
    -------
    (m, 2) array of float
        Easting and northing of its corners in file order, m; the first is not repeated.

    Raises
    ------
    InputError
        If the file holds no ring, more than one, a ring with holes, or degrees.
    """
    edge, holes = read_outlines(source)
    if holes:
        raise InputError(
            f"its polygon has {len(holes)} hole{'s' * (len(holes) > 1)}, and one ring is wanted "
            "here",
            remedy="Give each hole as an opening, in a file of its own",
            path=source.path,
        )
    return edge


def read_outlines(source: OutlineFile) -> tuple[FloatArray, tuple[FloatArray, ...]]:
    """
    Read a polygon: its outer ring and its holes.

    Returns
    -------
    edge : (m, 2) array of float
        As `read_outline` returns it.
    holes : tuple of (k, 2) arrays of float
        Likewise; none for a CSV.

    Raises
    ------
    InputError
        As for `read_outline`.
    """
    content = read_text(source.path).content.lstrip()
    rings = _read_geojson(source) if content.startswith(("{", "[")) else [_read_table(source)]
    edge, *holes = [_open_ring(ring, source.path) for ring in rings]
    return edge, tuple(holes)


def _open_ring(ring: FloatArray, path: Path) -> FloatArray:
    """Drop corners that the next one repeats, the closing one too; the first stays the first."""
    kept: FloatArray = ring[(ring != np.roll(ring, -1, axis=0)).any(axis=1)]
    if len(kept) < 3:
        raise InputError(
            f"its ring has {len(kept)} corners; three are the least",
            remedy="Give every corner of the edge, in order",
            path=path,
        )
    return kept


def _read_table(source: OutlineFile) -> FloatArray:
    table = read_table(source.path)
    remedy = "Add a header row such as easting,northing that says which is which"
    if table.header is None:
        raise InputError(
            "it has no header row, and the order of its columns cannot be known: "
            f"{table.quote(table.rows[0])}",
            remedy=remedy,
            path=source.path,
            line=table.lines[0],
        )
    try:
        letters = read_letters([read_heading(cell) for cell in table.header])
    except ValueError as error:
        raise InputError(
            f"in its header {table.quote(table.header)}, {error}",
            remedy="Give each column a name of its own",
            path=source.path,
        ) from error
    if "E" not in letters or "N" not in letters:
        raise InputError(
            f"its header {table.quote(table.header)} does not name an easting and a northing",
            remedy=remedy,
            path=source.path,
        )
    check_units(table, table.header, source.unit)
    return read_coordinates(fit_rows(table, letters), "EN", unit=source.unit)


def _read_geojson(source: OutlineFile) -> list[FloatArray]:
    document = load_document(source.path)
    try:
        return _read_shape(document, source)
    except RecursionError as error:
        raise InputError(
            "its JSON is nested too deeply", remedy=_NOT_A_RING, path=source.path
        ) from error


def _read_shape(document: Any, source: OutlineFile) -> list[FloatArray]:
    found = list(_geometries(document))
    shapes = [shape for shape in found if shape["type"] in _SHAPES]
    if len(shapes) != 1:
        kinds = sorted({shape["type"] for shape in found})
        held = f"it holds {', '.join(kinds)}" if kinds else "it holds no GeoJSON geometry"
        several = f"it holds {len(shapes)} polygons or lines, and one is wanted here"
        raise InputError(several if shapes else held, remedy=_NOT_A_RING, path=source.path)
    rings = [_read_ring(ring, source) for ring in _ring_lists(shapes[0], source.path)]
    refuse_degrees(rings[0], document, source.path)
    return [ring * METRES[source.unit] for ring in rings]


def _geometries(document: Any) -> Iterator[dict[str, Any]]:
    """Geometries of a GeoJSON object (RFC 7946, section 3), whatever it is wrapped in."""
    if not isinstance(document, dict):
        return
    kind = document.get("type")
    inner = {"FeatureCollection": "features", "GeometryCollection": "geometries"}.get(str(kind))
    if kind == "Feature":
        yield from _geometries(document.get("geometry"))
    elif inner:
        parts = document.get(inner)
        for part in parts if isinstance(parts, list) else []:
            yield from _geometries(part)
    elif isinstance(kind, str) and "coordinates" in document:
        yield document


def _ring_lists(shape: dict[str, Any], path: Path) -> Sequence[Any]:
    """Lists of positions, the outer ring first."""
    held = shape["coordinates"]
    if shape["type"] == "LineString":
        return [held]
    if shape["type"] == "MultiPolygon":
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


def _read_ring(ring: Any, source: OutlineFile) -> FloatArray:
    """Positions of a ring in the file's unit; an elevation is left out."""
    corners = []
    for position in ring if isinstance(ring, list) else [ring]:
        pair = position[:2] if isinstance(position, list) else []
        good = [type(value) in {int, float} and abs(value) < 1e15 for value in pair]
        if len(pair) < 2 or not all(good):
            raise InputError(
                f"{json.dumps(position)[:80]} is not a position: [easting, northing] in numbers",
                remedy="Export it again as GeoJSON",
                path=source.path,
            )
        corners.append(pair)
    return np.array(corners, dtype=np.float64).reshape(-1, 2)
