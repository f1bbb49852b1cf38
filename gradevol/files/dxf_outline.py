"""DXF: the ring that the lines of a layer make, the slab's edge or an opening."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from gradevol.files.chains import join_chains
from gradevol.files.dxf_file import choose_entities, refuse_blocks, refuse_damage
from gradevol.files.globe import FARTHEST
from gradevol.geometry.rings import circle, ring_area
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import first_of

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity

#: Greatest distance between an arc and its chords, m.
SAGITTA = 0.001
#: Ends of lines nearer than this meet; places along one line nearer than this are one, m.
_TOUCHING, _SAME = 0.001, 1e-6
_MOST_CHORDS = 100_000
_KINDS = ("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE")
#: Frame of a spline, DXF reference, VERTEX group 70: it is beside the line.
_FRAME = 16


@dataclass(frozen=True, slots=True)
class _Line:
    """What one entity draws in plan, m, and its layer."""

    layer: str
    places: FloatArray
    is_closed: bool


def find_ring(drawing: "Drawing", path: Path, *, unit: str, layer: str | None = None) -> FloatArray:
    """
    Find the one ring that is drawn on a layer.

    Parameters
    ----------
    drawing : ezdxf Drawing
    path : Path
        Its file.
    unit : str
        Its unit, a key of `units.METRES`.
    layer : str, optional
        Which layer, capitals do not matter; it may be left out where the drawing holds nothing
        but the ring.

    Returns
    -------
    (m, 2) array of float
        Easting and northing of its corners, in order, m; the first is not repeated. Arcs are
        chords that stay within 1 mm; lines whose ends meet within 1 mm are joined.

    Raises
    ------
    InputError
        If the drawing is damaged, or its lines make no ring, or several.
    """
    found = [
        entity
        for entity in choose_entities(drawing, _KINDS, layer=layer, path=path)
        if not (entity.dxftype() == "POLYLINE" and entity.dxf.flags & (16 | 64))
    ]
    refuse_blocks(drawing, _KINDS, layer=layer, path=path)
    with refuse_damage(path):
        drawn = [_draw(entity, unit, path) for entity in found]
    lines = [line for line in drawn if len(line.places) > 1]
    closed = [line.places for line in lines if line.is_closed]
    parted = [line.places for line in lines if not line.is_closed]
    rings = closed + join_chains(parted, tolerance=_TOUCHING, unit=unit, path=path)
    if len(rings) != 1:
        layers = sorted({line.layer for line in lines})
        said = [_say(ring, unit) for ring in rings[:12]] + ["..."] * (len(rings) > 12)
        shown = "; ".join(said)
        held = f"the lines make {len(rings)} rings: {shown}" if rings else "there is no ring"
        raise InputError(
            f"on {'layer' if len(layers) == 1 else 'layers'} {first_of(layers) or layer}, {held}",
            remedy="Put the one ring that is wanted on a layer of its own, and name it (layer)",
            path=path,
        )
    return rings[0]


def _say(ring: FloatArray, unit: str) -> str:
    area = abs(ring_area(ring)) / METRES[unit] ** 2
    east, north = ring[0] / METRES[unit]
    return f"{area:,.1f} {unit}² at {east:.2f}, {north:.2f}"


def _draw(entity: "DXFEntity", unit: str, path: Path) -> _Line:
    """Plan of one entity, m; repeated places once."""
    places, is_closed = _trace(entity, METRES[unit], path)
    if not (np.abs(places) < FARTHEST).all():
        raise InputError(
            f"a {entity.dxftype()} on layer {str(entity.dxf.layer)!r} lies outside the Earth",
            remedy="The file is damaged, or its unit is wrong",
            path=path,
        )
    kept = np.ones(len(places), bool)
    kept[1:] = np.hypot(*np.diff(places, axis=0).T) > _SAME
    places = places[kept]
    meets = len(places) > 3 and bool(np.hypot(*(places[0] - places[-1])) <= _TOUCHING)
    if meets:
        places = places[:-1]
    return _Line(str(entity.dxf.layer), places, (is_closed or meets) and len(places) > 2)


def _trace(entity: Any, metres: float, path: Path) -> tuple[FloatArray, bool]:
    """Places along an entity, m, and whether it says that it is closed."""
    kind, dxf = entity.dxftype(), entity.dxf
    sagitta = SAGITTA / metres
    if kind == "LINE":
        return _plan([dxf.start, dxf.end], metres), False
    if kind == "CIRCLE":
        if not 0 < dxf.radius * metres < FARTHEST:
            return np.empty((0, 2)), False
        centre = _plan([entity.ocs().to_wcs(dxf.center)], metres)[0]
        return circle(centre, 2 * dxf.radius * metres, sagitta=SAGITTA), True
    if kind == "ARC":
        return _plan(_flatten(entity, sagitta, path), metres), False
    if kind in {"ELLIPSE", "SPLINE"}:
        is_closed = kind == "SPLINE" and bool(entity.closed)
        return _plan(list(entity.flattening(sagitta)), metres), is_closed
    corners, is_closed = _list_corners(entity)
    if corners and entity.has_arc:
        corners = _bow(entity, corners[0], sagitta, path)
    return _plan(corners, metres), is_closed


def _list_corners(entity: Any) -> tuple[list[Any], bool]:
    """Corners of a polyline, in the drawing's coordinates, and whether it is closed."""
    if entity.dxftype() == "LWPOLYLINE":
        return list(entity.vertices_in_wcs()), bool(entity.closed)
    drawn = [vertex.dxf.location for vertex in entity.vertices if not vertex.dxf.flags & _FRAME]
    if entity.is_2d_polyline:
        drawn = list(entity.ocs().points_to_wcs(drawn))
    return drawn, bool(entity.is_closed)


def _bow(entity: Any, first: Any, sagitta: float, path: Path) -> list[Any]:
    """Places along a polyline some of whose sides bulge, from its first corner on."""
    places = [first]
    for part in entity.virtual_entities():
        if part.dxftype() == "LINE":
            along = [part.dxf.start, part.dxf.end]
        else:
            along = _flatten(part, sagitta, path)
        if along and places[-1].distance(along[-1]) < places[-1].distance(along[0]):
            along.reverse()  # arcs are given counter-clockwise, whichever way they bulge
        places += along
    return places


def _flatten(arc: Any, sagitta: float, path: Path) -> list[Any]:
    """Ends of chords that stay within `sagitta` of an arc."""
    from ezdxf.math import arc_segment_count  # noqa: PLC0415

    radius = float(arc.dxf.radius)
    turn = np.radians((arc.dxf.end_angle - arc.dxf.start_angle) % 360) or 2 * np.pi
    if not arc_segment_count(radius, turn, sagitta) < _MOST_CHORDS:
        raise InputError(
            f"an arc of radius {radius:g} cannot be drawn to {SAGITTA * 1000:g} mm",
            remedy="Check the arcs of the outline",
            path=path,
        )
    return list(arc.flattening(sagitta))


def _plan(places: Sequence[Any], metres: float) -> FloatArray:
    rows = np.array([tuple(place)[:2] for place in places], dtype=np.float64)
    return rows.reshape(-1, 2) * metres
