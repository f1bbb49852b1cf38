"""Points and surfaces of a file, whichever format it has. Another format is added here."""

from gradevol.files.drawings import dxf, geojson, landxml
from gradevol.files.drawings.dxf_file import open_dxf, read_unit
from gradevol.files.drawings.geotiff import parse_geotiff
from gradevol.files.drawings.obj import parse_obj
from gradevol.files.drawings.ply import parse_ply
from gradevol.files.drawings.points import DrawnPoints
from gradevol.files.drawings.polygons import Polygons
from gradevol.files.drawings.stl import parse_stl
from gradevol.files.drawings.units import Declared
from gradevol.files.opened import Files
from gradevol.files.sniff import File
from gradevol.files.sources import Shots, SurfaceFile
from gradevol.ground.errors import InputError

#: Where each kind of file belongs in a job.
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
#: Formats that hold one surface and nothing else.
_MESHES = {"GeoTIFF": parse_geotiff, "STL": parse_stl, "PLY": parse_ply, "OBJ": parse_obj}


def find_points(source: Shots, files: Files) -> DrawnPoints:
    """
    Find the points of a drawing or GIS file: LandXML, DXF or GeoJSON.

    Parameters
    ----------
    source : Shots
        One file; its unit and codes are not looked at yet.
    files : Files

    Raises
    ------
    InputError
        If the file is of another kind, is damaged, or holds no points.
    """
    (path,) = source.paths
    file = files.open(path)
    match file.kind:
        case "LandXML":
            return landxml.find_points(files.parse(path, landxml.parse_landxml))
        case "DXF":
            return dxf.find_points(files.parse(path, open_dxf), path, layer=source.layer)
        case "GeoJSON":
            return geojson.find_points(files.parse(path, geojson.parse_geojson))
    raise _wrong_kind(file, "shots")


def find_surface(source: SurfaceFile, files: Files) -> Polygons:
    """
    Find the surface of a file that has faces of its own.

    Parameters
    ----------
    source : SurfaceFile
        Its unit is not looked at yet.
    files : Files

    Raises
    ------
    InputError
        If the file is of another kind, is damaged, or holds no such surface.
    """
    path = source.path
    file = files.open(path)
    if file.kind in _MESHES:
        return files.parse(path, _MESHES[file.kind])
    match file.kind:
        case "LandXML":
            return landxml.find_surface(files.parse(path, landxml.parse_landxml), source.name)
        case "DXF":
            return dxf.find_surface(files.parse(path, open_dxf), path, layer=source.layer)
    raise _wrong_kind(file, "surface_file")


def find_declared(file: File, files: Files) -> tuple[Declared, ...]:
    """What a drawing or a grid says of its unit; nothing, where its format has no place for it."""
    match file.kind:
        case "LandXML":
            return files.parse(file.path, landxml.parse_landxml).declared
        case "DXF":
            return read_unit(files.parse(file.path, open_dxf))
        case "GeoTIFF":
            return files.parse(file.path, parse_geotiff).declared
    return ()


def _wrong_kind(file: File, key: str) -> InputError:
    place = _PLACES.get(file.kind)
    return InputError(
        f"it is {file.words}, which {key} does not take",
        remedy=f"Give it as {place}" if place else "Name another file",
        path=file.path,
    )
