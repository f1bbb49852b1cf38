"""LandXML 1.0 to 1.2: surfaces and points.

References
----------
LandXML-1.2.xsd (2008-07-29): P and CgPoint are "northing easting elevation", F names 3 (TIN) or
4 (grid) points by their id, and with i="1" is part of the triangulation but invisible.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from gradevol.files.drawings.landxml_elements import Element, read_elements, read_unit
from gradevol.files.drawings.points import DrawnPoints
from gradevol.files.drawings.polygons import SEVERAL, Polygons
from gradevol.files.drawings.units import Declared
from gradevol.files.globe import WEB_MAPS, refuse_web_map
from gradevol.files.sniff import File, say_damaged
from gradevol.ground.errors import InputError
from gradevol.ground.words import first_of

_SHOWN = 20


@dataclass(slots=True)
class _Drawn:
    """A surface as far as it was read."""

    name: str
    rows: dict[str, int] = field(default_factory=dict)
    points: list[tuple[float, float, float]] = field(default_factory=list)
    corners: list[int] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    n_hidden: int = 0


@dataclass(slots=True)
class LandXml:
    """
    What a LandXML file holds.

    Attributes
    ----------
    declared : tuple of Declared
        What it says of its unit.
    fault : InputError or None
        What is wrong in a surface, which matters only to who wants one.
    points : list of (str, str, str, int)
        Of each CgPoint: id, code, its numbers as text, and its line.
    named : dict of str to int
        Points that others refer to, and in which line.
    """

    path: Path
    declared: tuple[Declared, ...] = ()
    surfaces: list[_Drawn] = field(default_factory=list)
    fault: InputError | None = None
    points: list[tuple[str, str, str, int]] = field(default_factory=list)
    named: dict[str, int] = field(default_factory=dict)


def parse_landxml(file: File) -> LandXml:
    """
    Parse a file, which may be packed by gzip.

    Raises
    ------
    InputError
        If it is damaged, or in the coordinates of web maps.
    """
    held = LandXml(file.path)
    for element in read_elements(file):
        if element.tag == "Surface":
            held.surfaces.append(_Drawn(element.attributes.get("name", "").strip()))
        elif element.parent == "Units":
            held.declared += read_unit(element)
        elif element.tag == "CoordinateSystem":
            if element.attributes.get("epsgCode", "").strip() in map(str, WEB_MAPS):
                raise refuse_web_map(file.path)
        elif element.tag == "CgPoint":
            _add_mark(held, element)
        elif held.surfaces and held.fault is None:
            try:
                if element.tag == "P" and element.parent == "Pnts":
                    _add_point(held.surfaces[-1], element, file.path)
                elif element.tag == "F" and element.parent == "Faces":
                    _add_face(held.surfaces[-1], element, file.path)
            except InputError as error:
                held.fault = error
    return held


def find_surface(held: LandXml, name: str | None = None) -> Polygons:
    """
    Find a surface.

    Parameters
    ----------
    held : LandXml
    name : str, optional
        Which, where there are several; capitals do not matter.

    Returns
    -------
    Polygons
        Invisible faces are left out.

    Raises
    ------
    InputError
        If it is damaged, or the file does not hold just one such surface.
    """
    if held.fault is not None:
        raise held.fault
    surface = _choose(held.surfaces, name, held.path)
    return Polygons(
        np.array(surface.points, dtype=np.float64).reshape(-1, 3),
        np.array(surface.corners, dtype=np.intp),
        np.array(surface.sizes, dtype=np.intp),
        declared=held.declared,
    )


def find_points(held: LandXml) -> DrawnPoints:
    """
    Find the points (CgPoint); a code goes before a description.

    Raises
    ------
    InputError
        If there are none, one has no place, or refers to another that is not there.
    """
    path = held.path
    rows, readings, faults = [], [], {}
    for at, (name, _, text, line) in enumerate(held.points):
        element = Element("CgPoint", "", {}, text, line)
        numbers, what = text.split(), f"point {name!r}"
        if len(numbers) == 2:
            faults[at] = _say_no_place(element, what, path)
            numbers.append("nan")
        rows.append(_read_place(element, numbers, what, path))
        readings.append(numbers[2])
    ids = tuple([name for name, _, _, _ in held.points])
    for wanted in held.named.keys() - set(ids):
        raise say_damaged(
            f"a CgPoint refers to point {wanted!r}, which is not there",
            path,
            line=held.named[wanted],
        )
    if not rows:
        raise InputError(
            "it holds no points (CgPoint)",
            remedy="Export the points, not a surface; a surface is given as surface_file",
            path=path,
        )
    return DrawnPoints(
        path,
        np.array(rows, dtype=np.float64),
        ids,
        tuple([code for _, code, _, _ in held.points]),
        tuple(readings),
        faults,
        declared=held.declared,
    )


def _add_mark(held: LandXml, element: Element) -> None:
    said = element.attributes
    if not element.text.strip() and "pntRef" in said:  # a group that names points
        held.named.setdefault(said["pntRef"], element.line)
        return
    name = (said.get("name") or said.get("oID") or "").strip()
    code = (said.get("code") or said.get("desc") or "").strip()
    held.points.append((name, code, element.text, element.line))


def _read_place(
    element: Element, numbers: Sequence[str], what: str, path: Path
) -> tuple[float, float, float]:
    """Easting, northing and elevation of the numbers in an element's text."""
    try:
        northing, easting, elevation = map(float, numbers)
        if "_" in element.text:  # float() takes 1_000
            raise ValueError
    except ValueError as error:
        raise _say_no_place(element, what, path) from error
    return easting, northing, elevation


def _say_no_place(element: Element, what: str, path: Path) -> InputError:
    return InputError(
        f"{what} has no northing, easting and elevation: {element.text.strip()[:60]!r}",
        remedy="Give every point three numbers"
        + ", or name the descriptions of the base (codes)" * (element.tag == "CgPoint"),
        path=path,
        line=element.line,
    )


def _add_point(surface: _Drawn, element: Element, path: Path) -> None:
    name = element.attributes.get("id", "").strip()
    what = f"point {name!r} of surface {surface.name!r}"
    place = _read_place(element, element.text.split(), what, path)
    if name in surface.rows and surface.points[surface.rows[name]] != place:
        raise say_damaged(
            f"two points of surface {surface.name!r} have the id {name!r}", path, line=element.line
        )
    surface.rows[name] = len(surface.points)
    surface.points.append(place)


def _add_face(surface: _Drawn, element: Element, path: Path) -> None:
    if element.attributes.get("i", "").strip() == "1":
        surface.n_hidden += 1
        return
    names = element.text.split()
    number = len(surface.sizes) + surface.n_hidden + 1
    what = f"face {number} ({' '.join(names)[:60]}) of surface {surface.name!r}"
    if len(names) not in {3, 4}:
        raise say_damaged(
            f"{what} names {len(names)} points, and 3 or 4 make a face", path, line=element.line
        )
    for name in names:
        if name not in surface.rows:
            raise say_damaged(
                f"{what} names point {name!r}, which is not there", path, line=element.line
            )
        surface.corners.append(surface.rows[name])
    surface.sizes.append(len(names))


def _choose(surfaces: Sequence[_Drawn], name: str | None, path: Path) -> _Drawn:
    """The surface of that name, or the only one that has faces."""
    fitting = [item for item in surfaces if item.sizes]
    if name is not None:
        fitting = [item for item in fitting if item.name.lower() == name.strip().lower()]
    if len(fitting) == 1:
        return fitting[0]
    said = [f"{item.name!r} ({len(item.sizes):,} faces)" for item in surfaces]
    shown = first_of(said, _SHOWN)
    if not surfaces:
        problem = "it holds no surface"
    elif name is not None:
        problem = f"{len(fitting) or 'none'} of its surfaces with faces is named {name!r}: {shown}"
    elif fitting:
        problem = f"it holds {len(fitting)} surfaces: {shown}"
    else:
        problem = f"its surfaces have no visible faces: {shown}"
    raise InputError(
        problem,
        remedy="Name one of them (surface_name)"
        if surfaces and any(item.sizes for item in surfaces)
        else "Export the surface as a TIN with points and faces, or the points by themselves",
        path=path,
        code=SEVERAL if name is None and fitting else "",
    )
