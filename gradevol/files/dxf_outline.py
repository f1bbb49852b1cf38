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
#: Ends of lines nearer than this meet, m.
_TOUCHING = 0.001
#: An arc that bulges by no more than this share of what chords may be off is a straight side.
_STRAIGHT = 0.01
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
    kept[1:] = (np.diff(places, axis=0) != 0).any(axis=1)
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
        _refuse_many(entity.construction_tool(), sagitta, path)
        return _plan(list(entity.flattening(sagitta)), metres), False
    if kind in {"ELLIPSE", "SPLINE"}:
        is_closed = kind == "SPLINE" and bool(entity.closed)
        return _plan(list(entity.flattening(sagitta)), metres), is_closed
    return _plan(_bow(entity, *_list_corners(entity), sagitta, path), metres), _is_closed(entity)


def _list_corners(entity: Any) -> tuple[list[Any], list[float]]:
    """Corners of a polyline in its own plan, and how much the side after each bulges."""
    from ezdxf.math import Vec3  # noqa: PLC0415

    if entity.dxftype() == "LWPOLYLINE":
        rows = entity.get_points("xyb")
        return [Vec3(x, y, entity.dxf.elevation) for x, y, _ in rows], [row[2] for row in rows]
    drawn = [vertex.dxf for vertex in entity.vertices if not vertex.dxf.flags & _FRAME]
    is_flat = entity.is_2d_polyline
    return [dxf.location for dxf in drawn], [dxf.bulge if is_flat else 0.0 for dxf in drawn]


def _is_closed(entity: Any) -> bool:
    return bool(entity.closed if entity.dxftype() == "LWPOLYLINE" else entity.is_closed)


def _bow(
    entity: Any, corners: list[Any], bulges: list[float], sagitta: float, path: Path
) -> list[Any]:
    """Places along a polyline, in the drawing's coordinates; those at its corners are exact."""
    from ezdxf.math import ConstructionArc, Vec3, bulge_to_arc  # noqa: PLC0415

    places = corners[:1]
    ends = [*corners[1:], *corners[: _is_closed(entity)]]
    for start, end, bulge in zip(corners, ends, bulges, strict=False):
        # of an arc that hardly bulges the centre is so far off that places about it lose digits
        if abs(bulge) * start.distance(end) / 2 > _STRAIGHT * sagitta:
            centre, first, last, radius = bulge_to_arc(start, end, bulge)
            arc = ConstructionArc(centre, radius, np.degrees(first), np.degrees(last))
            _refuse_many(arc, sagitta, path)
            along = [Vec3(place.x, place.y, start.z) for place in arc.flattening(sagitta)][1:-1]
            places += along if bulge > 0 else along[::-1]
        places.append(end)
    is_solid = entity.dxftype() == "POLYLINE" and not entity.is_2d_polyline
    return places if is_solid else list(entity.ocs().points_to_wcs(places))


def _refuse_many(arc: Any, sagitta: float, path: Path) -> None:
    """Refuse an arc that takes too many chords to stay within `sagitta` of it."""
    from ezdxf.math import arc_segment_count  # noqa: PLC0415

    radius = float(arc.radius)
    turn = np.radians((arc.end_angle - arc.start_angle) % 360) or 2 * np.pi
    if not arc_segment_count(radius, turn, sagitta) < _MOST_CHORDS:
        raise InputError(
            f"an arc of radius {radius:g} cannot be drawn to {SAGITTA * 1000:g} mm",
            remedy="Check the arcs of the outline",
            path=path,
        )


def _plan(places: Sequence[Any], metres: float) -> FloatArray:
    rows = np.array([tuple(place)[:2] for place in places], dtype=np.float64)
    return rows.reshape(-1, 2) * metres
