"""What a drawing or a grid holds: LandXML, DXF, GeoTIFF, STL, points of GeoJSON."""

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

import numpy as np

from gradevol.doubts.described.checks import check_points, say_looked_at
from gradevol.doubts.described.facts import (
    Fact,
    Finding,
    Group,
    Inventory,
    describe_extents,
    describe_unit,
    say_count,
    show,
)
from gradevol.doubts.described.outline import describe_geojson, describe_rings
from gradevol.doubts.described.shots import Points
from gradevol.doubts.described.spacing import describe_spacing
from gradevol.doubts.described.surface import describe_faces, describe_polygons
from gradevol.files.drawing_faces import SeveralSurfacesError
from gradevol.files.drawing_units import UnitMismatchError
from gradevol.files.dxf import read_dxf_faces, read_dxf_points
from gradevol.files.dxf_file import list_layers
from gradevol.files.dxf_outline import read_dxf_outline
from gradevol.files.geojson import read_geojson_points
from gradevol.files.geotiff import read_geotiff
from gradevol.files.landxml import read_landxml_points, read_landxml_surface
from gradevol.files.polygons import Polygons
from gradevol.files.stl import read_stl_corners
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.site.survey import Survey

_Read = TypeVar("_Read")
#: Layers that are listed.
_LAYERS = 12


def describe_drawing(path: Path, kind: str, *, unit: str | None) -> Inventory:
    """
    Describe a drawing: its surface, or failing that its points, or its ring.

    Parameters
    ----------
    path : Path
        The file.
    kind : str
        Its format, as `readers.formats.find_format` says.
    unit : str or None
        Its unit, where it declares none.

    Raises
    ------
    InputError
        If it holds nothing that a job can use: the reason its surface could not be read.
    """
    ways = {
        "LandXML": (_faces(read_landxml_surface), _points(read_landxml_points)),
        "DXF": (_faces(read_dxf_faces), _points(read_dxf_points), _ring),
        "GeoTIFF": (_faces(read_geotiff),),
        "STL": (_stl,),
        "GeoJSON": (_geojson_rings, _points(read_geojson_points)),
    }[kind]
    first: InputError | None = None
    for way in ways:
        try:
            inventory = way(path, kind, unit)
        except InputError as error:
            first = first or error
            # whoever looks for a ring has nothing to say of points in degrees
            first = error if kind == "GeoJSON" and "in degrees" in str(error) else first
        else:
            return _complete(inventory, path, kind, unit)
    if first is None:
        raise ValueError(f"no way to describe {kind}")
    raise first


def _complete(inventory: Inventory, path: Path, kind: str, unit: str | None) -> Inventory:
    """Add a unit that is not as said, and what else lies on which layer of a DXF."""
    own = next((fact.value for fact in inventory.facts if fact.key == "unit"), None)
    if unit and own in METRES and own != unit:
        text = f"You say {unit}, the file says {own}. The file was followed: check which."
        inventory = replace(
            inventory, findings=(Finding("unit-contradicted", text), *inventory.findings)
        )
    if kind == "DXF":
        layers = list_layers(path)
        shown = [
            f"{show(layer)}: {', '.join(f'{count:,} {name}' for name, count in held.items())}"
            for layer, held in list(layers.items())[:_LAYERS]
        ]
        more = f"; and {len(layers) - _LAYERS:,} more" if len(layers) > _LAYERS else ""
        fact = Fact("layers", "Layers", "; ".join(shown) + more, layers)
        inventory = replace(inventory, facts=(*inventory.facts, fact))
    return inventory


def _probe(read: Callable[[str], _Read], unit: str | None) -> tuple[_Read, str | None, str]:
    """Read in the file's own unit: what was read, the unit, and who says so."""
    # An inch is what no survey is in: a file that declares its unit contradicts it.
    try:
        return read(unit or "in"), unit, "as you say"
    except UnitMismatchError as error:
        if error.declared not in METRES:
            raise InputError(
                f"it says that it is in {error.declared}, which is not read",
                remedy=f"Have it exported in one of {', '.join(METRES)}",
                path=error.path,
            ) from error
        return read(error.declared), error.declared, "the file says"


def _faces(
    read: Callable[..., tuple[FloatArray, IntArray]],
) -> Callable[[Path, str, str | None], Inventory]:
    def describe(path: Path, kind: str, unit: str | None) -> Inventory:
        try:
            (points, triangles), own, source = _probe(lambda name: read(path, unit=name), unit)
        except SeveralSurfacesError as error:
            return _describe_several(path, kind, str(error).removeprefix(f"{path}: "))
        metres = METRES[own or "in"]
        return describe_faces(path, points / metres, triangles, kind, unit=own, source=source)

    return describe


def _describe_several(path: Path, kind: str, said: str) -> Inventory:
    """A drawing of several surfaces: which there are, and how a job names one."""
    key = "base.layer" if kind == "DXF" else "base.surface_name"
    text = f'base.surface_file = "{show(path.name)}", with {key} for the one that is wanted'
    return Inventory(
        name=path.name,
        kind="surface",
        title=f"several surfaces, {kind}",
        facts=(Fact("next", "In a job", text, key),),
        findings=(Finding("several-surfaces", said[0].upper() + said[1:]),),
        looked_at="which surfaces there are",
    )


def _stl(path: Path, kind: str, unit: str | None) -> Inventory:
    corners, steps = read_stl_corners(path)
    points, place = np.unique(corners + 0.0, axis=0, return_inverse=True)
    sizes = np.full(len(corners) // 3, 3, np.intp)
    return describe_polygons(
        path, Polygons(points, place.reshape(-1).astype(np.intp), sizes, steps), kind, unit=unit
    )


def _points(read: Callable[..., Survey]) -> Callable[[Path, str, str | None], Inventory]:
    def describe(path: Path, kind: str, unit: str | None) -> Inventory:
        survey, own, source = _probe(lambda name: read(path, unit=name), unit)
        facts = describe_unit(own, source)
        return _describe_points(path, kind, survey, head=facts, unit=own)

    return describe


def _describe_points(
    path: Path, kind: str, survey: Survey, *, head: Fact, unit: str | None
) -> Inventory:
    digits = (3, 3, 3)
    places = (survey.points + survey.origin) / METRES[unit or "in"]
    points = Points(
        places=places,
        lines=tuple(range(1, len(places) + 1)),
        ids=survey.ids,
        codes=survey.codes,
        setups=(),
        readings=survey.readings or tuple(f"{level:.3f}" for level in places[:, 2]),
        level="elevation",
        digits=digits,
        unit=unit,
    )
    facts = [head, *describe_extents(places, ("easting", "northing", "elevation"), digits, unit)]
    return Inventory(
        name=path.name,
        kind="points",
        title=f"{say_count(len(places), 'point')}, {kind}",
        facts=(*facts, *describe_spacing(points)),
        findings=check_points(points),
        looked_at=say_looked_at(points),
        groups=_group(survey.codes, places),
        grouped_by="codes",
        digits=digits[2],
    )


def _group(codes: Sequence[str], places: FloatArray) -> tuple[Group, ...]:
    groups = []
    for code, count in Counter(codes).most_common():
        level = places[np.array([held == code for held in codes]), 2]
        groups.append(Group(code, count, float(level.min()), float(level.max())))
    return tuple(groups)


def _ring(path: Path, kind: str, unit: str | None) -> Inventory:
    ring, own, source = _probe(lambda name: read_dxf_outline(path, unit=name), unit)
    own_ring = ring / METRES[own or "in"]
    return describe_rings(path.name, [own_ring], own, [describe_unit(own, source)], words=kind)


def _geojson_rings(path: Path, _kind: str, unit: str | None) -> Inventory:
    return describe_geojson(path, unit=unit)
