"""Which format a file has, by its content, and the reader for it."""

from collections.abc import Callable
from pathlib import Path
from typing import TypeAlias

from gradevol.files.drawing_files import open_drawing
from gradevol.files.sources import OutlineFile, Shots, SurfaceFile
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.site.survey import Survey

Faces: TypeAlias = tuple[FloatArray, IntArray]

#: First bytes by which a format is known: TIFF 6.0, the LAS and PLY specifications, RFC 1952.
_OPENINGS = (
    (b"II*\x00", "GeoTIFF"),
    (b"MM\x00*", "GeoTIFF"),
    (b"LASF", "LAS"),
    (b"ply", "PLY"),
    (b"AutoCAD Binary DXF", "DXF"),
    (b"\x1f\x8b", "LandXML"),
)
_WORKBOOKS = {".xlsx", ".xlsm", ".ods"}
#: Formats whose content does not tell them for sure, by the name's ending.
_ENDINGS = {".dxf": "DXF", ".stl": "STL", ".obj": "OBJ", ".xml": "LandXML", ".tif": "GeoTIFF"}


def find_format(path: Path) -> str:
    """
    Say which format a file has.

    Returns
    -------
    str
        ``LandXML``, ``DXF``, ``GeoTIFF``, ``GeoJSON``, ``STL``, ``PLY``, ``OBJ``, ``LAS`` or
        ``text``.

    Raises
    ------
    InputError
        If it can't be read, is empty, or is a DWG, a zip or a PDF.
    """
    if path.suffix.lower() in _WORKBOOKS:
        return "text"  # whose reader says what to do with a workbook
    with open_drawing(path) as file:
        start = file.read(2048)
    for opening, name in _OPENINGS:
        if start.startswith(opening):
            return name
    ending = path.suffix.lower()
    if ending in _ENDINGS:
        return _ENDINGS[ending]
    bare = start.lstrip(b"\xef\xbb\xbf \t\r\n")
    if bare.startswith(b"<"):
        return "LandXML"
    if bare.startswith((b"{", b"[")):
        return "GeoJSON"
    words = bare.split()
    return "DXF" if words[:2] == [b"0", b"SECTION"] else "text"


def read_points(source: Shots) -> Survey:
    """
    Read points from text, LandXML, DXF or GeoJSON.

    Raises
    ------
    InputError
        If the file can't be used, or several are named of which one is no text.
    """
    from gradevol.files.delimited import read_delimited  # noqa: PLC0415

    formats = {path: find_format(path) for path in source.paths}
    if all(name == "text" for name in formats.values()):
        return read_delimited(source)
    if len(source.paths) > 1:
        path, name = next((path, name) for path, name in formats.items() if name != "text")
        raise InputError(
            f"it is {name}, named beside other files of shots",
            remedy="Name one file of that format, or several of delimited text",
            path=path,
        )
    path, name = next(iter(formats.items()))
    if name == "LandXML":
        from gradevol.files.landxml import read_landxml_points  # noqa: PLC0415

        return read_landxml_points(path, unit=source.unit, codes=source.codes)
    if name == "DXF":
        from gradevol.files.dxf import read_dxf_points  # noqa: PLC0415

        return read_dxf_points(path, unit=source.unit, layer=source.layer, codes=source.codes)
    if name == "GeoJSON":
        from gradevol.files.geojson import read_geojson_points  # noqa: PLC0415

        return read_geojson_points(path, unit=source.unit, codes=source.codes)
    raise _wrong_kind(path, name, "shots")


def read_faces(source: SurfaceFile) -> Faces:
    """
    Read a surface with faces of its own: points (p, 3), m, and rows of them (t, 3).

    Raises
    ------
    InputError
        If the file can't be used, or holds no surface.
    """
    readers: dict[str, Callable[[SurfaceFile], Faces]] = {
        "LandXML": _landxml_faces,
        "DXF": _dxf_faces,
        "GeoTIFF": _geotiff_faces,
        "STL": _stl_faces,
        "PLY": _mesh_faces,
        "OBJ": _mesh_faces,
    }
    name = find_format(source.path)
    if source.path.suffix.lower() == ".ply":
        name = "PLY"
    if name not in readers:
        raise _wrong_kind(source.path, name, "surface_file")
    return readers[name](source)


def _landxml_faces(source: SurfaceFile) -> Faces:
    from gradevol.files.landxml import read_landxml_surface  # noqa: PLC0415

    return read_landxml_surface(source.path, unit=source.unit, name=source.name)


def _dxf_faces(source: SurfaceFile) -> Faces:
    from gradevol.files.dxf import read_dxf_faces  # noqa: PLC0415

    return read_dxf_faces(source.path, unit=source.unit, layer=source.layer)


def _geotiff_faces(source: SurfaceFile) -> Faces:
    from gradevol.files.geotiff import read_geotiff  # noqa: PLC0415

    return read_geotiff(source.path, unit=source.unit)


def _stl_faces(source: SurfaceFile) -> Faces:
    from gradevol.files.stl import read_stl  # noqa: PLC0415

    return read_stl(source.path, unit=source.unit)


def _mesh_faces(source: SurfaceFile) -> Faces:
    from gradevol.files.mesh import read_mesh  # noqa: PLC0415

    return read_mesh(source)


def read_ring(source: OutlineFile) -> FloatArray:
    """
    Read a ring (m, 2), m, from CSV, GeoJSON or DXF.

    Raises
    ------
    InputError
        If the file can't be used, or does not hold one ring.
    """
    if find_format(source.path) == "DXF":
        from gradevol.files.dxf_outline import read_dxf_outline  # noqa: PLC0415

        return read_dxf_outline(source.path, unit=source.unit, layer=source.layer)
    from gradevol.files.outline import read_outline  # noqa: PLC0415

    return read_outline(source)


#: Where each format belongs in a job.
_PLACES = {
    "LandXML": "base.shots for its points, base.surface_file for its surface",
    "DXF": "base.shots for its points, base.surface_file for its faces, slab.edge for a ring",
    "GeoTIFF": "base.surface_file",
    "GeoJSON": "base.shots for points, slab.edge for a ring",
    "STL": "base.surface_file",
    "PLY": "base.surface_file, or base.cloud where it holds points alone",
    "OBJ": "base.surface_file",
    "LAS": "base.cloud",
    "text": "base.shots, or base.cloud for a large scan",
}


def _wrong_kind(path: Path, name: str, key: str) -> InputError:
    said = "delimited text" if name == "text" else name
    return InputError(
        f"it is {said}, which {key} does not take", remedy=f"Give it as {_PLACES[name]}", path=path
    )
