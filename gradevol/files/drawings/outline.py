"""Rings in files: the slab's edge and its openings, from CSV, GeoJSON or DXF."""

from pathlib import Path

from gradevol.files.drawings.dxf_file import open_dxf, read_unit
from gradevol.files.drawings.dxf_outline import find_ring
from gradevol.files.drawings.geojson import find_rings, parse_geojson
from gradevol.files.drawings.units import check_units
from gradevol.files.opened import Files
from gradevol.files.sources import OutlineFile
from gradevol.files.tables.cells import read_coordinates
from gradevol.files.tables.columns import check_units as check_header
from gradevol.files.tables.columns import name_columns
from gradevol.files.tables.rows import fit_rows
from gradevol.files.tables.table import Table, read_sheet_of, refuse_sheet
from gradevol.geometry.curves import Ring
from gradevol.geometry.rings import open_ring
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of


def read_outline(source: OutlineFile, files: Files | None = None) -> FloatArray:
    """
    Read a ring that has no holes.

    Parameters
    ----------
    source : OutlineFile
        CSV with a header row that names easting and northing, one corner a line; GeoJSON with one
        Polygon or LineString in site coordinates; or the one ring on a layer of a DXF.
    files : Files, optional
        What the run has opened.

    Returns
    -------
    (m, 2) array of float
        Easting and northing of its corners in file order, m; the first is not repeated.

    Raises
    ------
    InputError
        If the file holds no ring, more than one, a ring with holes, or degrees.
    """
    edge, holes = read_sides(source, files)
    if holes:
        raise InputError(
            f"its polygon has {count_of(len(holes), 'hole')}, and one ring is wanted here",
            remedy="Give each hole as an opening, in a file of its own",
            path=source.path,
        )
    return edge.places


def read_sides(
    source: OutlineFile, files: Files | None = None
) -> tuple[Ring, tuple[FloatArray, ...]]:
    """
    Read a polygon; parameters and errors as of `read_outline`.

    Returns
    -------
    edge : Ring
        Its outer ring with its sides, m.
    holes : tuple of (k, 2) arrays of float
        Of GeoJSON alone, m.
    """
    files, path = files or Files(), source.path
    file = files.open(path)
    refuse_sheet(file, source.sheet)
    kind = file.kind
    if kind == "DXF":
        drawing = files.parse(path, open_dxf)
        if not source.ignores_unit:
            check_units(read_unit(drawing), unit=source.unit, path=path)
        return find_ring(drawing, path, unit=source.unit, layer=source.layer), ()
    if kind == "GeoJSON":
        drawn = files.parse(path, parse_geojson)
        if not source.ignores_unit:
            check_units(drawn.declared, unit=source.unit, path=path)
        rings = [ring * METRES[source.unit] for ring in find_rings(drawn)]
    else:
        rings = [_read_table(files.parse(path, read_sheet_of(source.sheet)), source)]
    edge, *holes = [_open(ring, path) for ring in rings]
    return Ring(edge), tuple(holes)


def _open(ring: FloatArray, path: Path) -> FloatArray:
    kept = open_ring(ring)
    if len(kept) < 3:
        raise InputError(
            f"its ring has {len(kept)} corners: it takes at least three",
            remedy="Give every corner of the edge, in order",
            path=path,
        )
    return kept


def _read_table(table: Table, source: OutlineFile) -> FloatArray:
    if table.header is None:
        raise InputError(
            "it has no header row, and the order of its columns cannot be known",
            remedy="Add a header row such as easting,northing that says which is which",
            path=table.path,
            line=table.lines[0],
            quoted=table.quote(table.rows[0]),
        )
    letters = name_columns(table, None, key="", needed="EN").letters
    if not source.ignores_unit:
        check_header(table, table.header, source.unit)
    return read_coordinates(fit_rows(table, letters), "EN", unit=source.unit)
