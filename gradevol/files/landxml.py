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

from gradevol.files.drawing_faces import SeveralSurfacesError
from gradevol.files.drawing_points import build_survey, is_wanted
from gradevol.files.landxml_elements import Element, check_units, read_elements
from gradevol.files.polygons import Polygons, check_polygons, fan_polygons
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.site.survey import Survey

_SHOWN = 20
_DAMAGED = "The file is damaged: export it again"


@dataclass(slots=True)
class _Drawn:
    """A surface as far as it was read."""

    name: str
    rows: dict[str, int] = field(default_factory=dict)
    points: list[tuple[float, float, float]] = field(default_factory=list)
    corners: list[int] = field(default_factory=list)
    sizes: list[int] = field(default_factory=list)
    n_hidden: int = 0


def read_landxml_surface(
    path: Path, *, unit: str, name: str | None = None
) -> tuple[FloatArray, IntArray]:
    """
    Read the faces of a surface.

    Parameters
    ----------
    path : Path
        The file; it may be packed by gzip.
    unit : str
        Its unit, a key of `units.METRES`.
    name : str, optional
        Which surface, where there are several; capitals do not matter.

    Returns
    -------
    points : (p, 3) array of float
        Easting, northing, elevation, m; also those of no visible face.
    triangles : (t, 3) array of int
        Rows of `points`; invisible faces are left out, grid faces are two triangles.

    Raises
    ------
    InputError
        If the file is damaged, is in another unit, or does not hold just one such surface.
    """
    surfaces: list[_Drawn] = []
    for element in read_elements(path):
        if element.tag == "Surface":
            surfaces.append(_Drawn(element.attributes.get("name", "").strip()))
        elif element.parent == "Units":
            check_units(element, unit=unit, path=path)
        elif element.tag == "P" and element.parent == "Pnts" and surfaces:
            _add_point(surfaces[-1], element, path)
        elif element.tag == "F" and element.parent == "Faces" and surfaces:
            _add_face(surfaces[-1], element, path)
    surface = _choose(surfaces, name, path)
    mesh = Polygons(
        np.array(surface.points, dtype=np.float64).reshape(-1, 3),
        np.array(surface.corners, dtype=np.intp),
        np.array(surface.sizes, dtype=np.intp),
    )
    check_polygons(mesh, path, METRES[unit])
    return mesh.points * METRES[unit], fan_polygons(mesh, path)


def read_landxml_points(path: Path, *, unit: str, codes: Sequence[str] = ()) -> Survey:
    """
    Read the points (CgPoint).

    Parameters
    ----------
    path : Path
        The file; it may be packed by gzip.
    unit : str
        Its unit, a key of `units.METRES`.
    codes : sequence of str
        Shell-style patterns; only points whose code (or description, where there is no code)
        matches one are kept. Empty: all.

    Returns
    -------
    Survey
        In file order, about a local origin, m.

    Raises
    ------
    InputError
        If the file is damaged, is in another unit, or a point that is wanted has no elevation.
    """
    points, ids, words, readings = [], [], [], []
    named_elsewhere: dict[str, int] = {}
    for element in read_elements(path):
        if element.parent == "Units":
            check_units(element, unit=unit, path=path)
        if element.tag != "CgPoint":
            continue
        held = element.attributes
        if not element.text.strip() and "pntRef" in held:  # a group that names points
            named_elsewhere.setdefault(held["pntRef"], element.line)
            continue
        ids.append((held.get("name") or held.get("oID") or "").strip())
        words.append((held.get("code") or held.get("desc") or "").strip())
        numbers = element.text.split()
        if len(numbers) == 2 and not is_wanted(words[-1], codes):
            numbers.append("nan")  # a corner or a mark without an elevation is no shot of the base
        points.append(_read_place(element, numbers, f"point {ids[-1]!r}", path))
        readings.append(numbers[2])
    for wanted in named_elsewhere.keys() - set(ids):
        raise InputError(
            f"a CgPoint refers to point {wanted!r}, which is not there",
            remedy=_DAMAGED,
            path=path,
            line=named_elsewhere[wanted],
        )
    if not points:
        raise InputError(
            "it holds no points (CgPoint)",
            remedy="Export the points, not a surface; a surface is given as surface_file",
            path=path,
        )
    return build_survey(
        points, path=path, unit=unit, ids=ids, codes=words, wanted=codes, readings=readings
    )


def _read_place(
    element: Element, numbers: Sequence[str], what: str, path: Path
) -> tuple[float, float, float]:
    """Easting, northing and elevation of the numbers in an element's text."""
    try:
        northing, easting, elevation = map(float, numbers)
        if "_" in element.text:  # float() takes 1_000
            raise ValueError
    except ValueError as error:
        raise InputError(
            f"{what} has no northing, easting and elevation: {element.text.strip()[:60]!r}",
            remedy="Give every point three numbers"
            + ", or name the descriptions of the base (codes)" * (element.tag == "CgPoint"),
            path=path,
            line=element.line,
        ) from error
    return easting, northing, elevation


def _add_point(surface: _Drawn, element: Element, path: Path) -> None:
    name = element.attributes.get("id", "").strip()
    what = f"point {name!r} of surface {surface.name!r}"
    place = _read_place(element, element.text.split(), what, path)
    if name in surface.rows and surface.points[surface.rows[name]] != place:
        raise InputError(
            f"two points of surface {surface.name!r} have the id {name!r}",
            remedy=_DAMAGED,
            path=path,
            line=element.line,
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
        raise InputError(
            f"{what} names {len(names)} points, and 3 or 4 make a face",
            remedy=_DAMAGED,
            path=path,
            line=element.line,
        )
    for name in names:
        if name not in surface.rows:
            raise InputError(
                f"{what} names point {name!r}, which is not there",
                remedy=_DAMAGED,
                path=path,
                line=element.line,
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
    shown = ", ".join(f"{item.name!r} ({len(item.sizes):,} faces)" for item in surfaces[:_SHOWN])
    more = f" and {len(surfaces) - _SHOWN} more" * (len(surfaces) > _SHOWN)
    if not surfaces:
        problem = "it holds no surface"
    elif name is not None:
        problem = f"{len(fitting) or 'none'} of its surfaces with faces is named {name!r}: {shown}"
    elif fitting:
        problem = f"it holds {len(fitting)} surfaces: {shown}"
    else:
        problem = f"its surfaces have no visible faces: {shown}"
    kind = SeveralSurfacesError if name is None and fitting else InputError
    raise kind(
        problem + more,
        remedy="Name one of them (surface_name)"
        if surfaces and any(item.sizes for item in surfaces)
        else "Export the surface as a TIN with points and faces, or give its points as shots",
        path=path,
    )
