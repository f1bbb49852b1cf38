"""DXF: the ring that the lines of a layer make, the slab's edge or an opening."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from gradevol.files.drawings.chains import join_chains
from gradevol.files.drawings.dxf_file import choose_entities, refuse_blocks, refuse_damage
from gradevol.files.globe import FARTHEST
from gradevol.geometry.curves import SAGITTA, Ring, count_chords, sweep
from gradevol.geometry.rings import circle, ring_area
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import first_of

if TYPE_CHECKING:
    from ezdxf.document import Drawing
    from ezdxf.entities.dxfentity import DXFEntity

#: Ends of lines nearer than this meet, m.
_TOUCHING = 0.001
#: An arc that bulges by no more than this share of what chords may be off is a straight side.
_STRAIGHT = 0.01
_MOST_CHORDS = 100_000
#: Entities that draw an outline.
LINES = ("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE")
#: Frame of a spline, DXF reference, VERTEX group 70: it is beside the line.
_FRAME = 16


@dataclass(frozen=True, slots=True)
class _Line:
    """
    What one entity draws.

    Attributes
    ----------
    places : (k, 3) array of float
        Easting, northing, m, and 1 where a side begins or ends: 0 along an arc.
    """

    layer: str
    places: FloatArray
    is_closed: bool


def find_ring(drawing: "Drawing", path: Path, *, unit: str, layer: str | None = None) -> Ring:
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
    Ring
        Easting and northing along it, m. An arc is one side, of chords that stay within 1 mm; lines
        whose ends meet within 1 mm are joined.

    Raises
    ------
    InputError
        If the drawing is damaged, or its lines make no ring, or several.
    """
    found = [
        entity
        for entity in choose_entities(drawing, LINES, layer=layer, path=path)
        if not (entity.dxftype() == "POLYLINE" and entity.dxf.flags & (16 | 64))
    ]
    if not (found and found[0].is_virtual):
        refuse_blocks(drawing, LINES, layer=layer, path=path)
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
    (ring,) = rings
    starts = np.flatnonzero(ring[:, 2])
    ring = np.roll(ring, -starts[0], axis=0)
    is_bent = len(starts) < len(ring)
    return Ring(ring[:, :2].copy(), tuple((starts - starts[0]).tolist()) if is_bent else ())


def _say(ring: FloatArray, unit: str) -> str:
    area = abs(ring_area(ring[:, :2])) / METRES[unit] ** 2
    east, north = ring[0, :2] / METRES[unit]
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
    is_again = np.zeros(len(places), bool)
    is_again[1:] = (np.diff(places[:, :2], axis=0) == 0).all(axis=1)
    places = places[~is_again]
    meets = len(places) > 3 and bool(np.hypot(*(places[0] - places[-1])[:2]) <= _TOUCHING)
    if meets:
        places = places[:-1]
    return _Line(str(entity.dxf.layer), places, (is_closed or meets) and len(places) > 2)


def _trace(entity: Any, metres: float, path: Path) -> tuple[FloatArray, bool]:
    """Places along an entity, m, as `_Line` has them, and whether it says that it is closed."""
    kind, dxf = entity.dxftype(), entity.dxf
    sagitta = SAGITTA / metres
    if kind == "LINE":
        return _side([dxf.start, dxf.end], metres), False
    if kind == "CIRCLE":
        if not 0 < dxf.radius * metres < FARTHEST:
            return np.empty((0, 3)), False
        centre = _side([entity.ocs().to_wcs(dxf.center)], metres)[0, :2]
        ring = circle(centre, 2 * dxf.radius * metres)
        return np.column_stack([ring, np.arange(len(ring)) == 0]), True
    if kind == "ARC":
        return _side(_trace_arc(entity, sagitta, path), metres), False
    if kind in {"ELLIPSE", "SPLINE"}:
        is_closed = kind == "SPLINE" and bool(entity.closed)
        return _side(list(entity.flattening(sagitta)), metres), is_closed
    parts = [_side(side, metres) for side in _bow(entity, *_list_corners(entity), sagitta, path)]
    return np.vstack(parts), _is_closed(entity)


def _trace_arc(entity: Any, sagitta: float, path: Path) -> list[Any]:
    """Places along an arc, in the drawing's coordinates."""
    from ezdxf.math import Vec3  # noqa: PLC0415

    centre, radius, first = entity.dxf.center, entity.dxf.radius, np.radians(entity.dxf.start_angle)
    turn = np.radians((entity.dxf.end_angle - entity.dxf.start_angle) % 360) or 2 * np.pi
    foot = radius * np.array([np.cos(first), np.sin(first)])
    off = _sweep(foot, float(turn), sagitta, path)
    return list(entity.ocs().points_to_wcs(Vec3(x, y, 0) + centre for x, y in off.tolist()))


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
) -> list[list[Any]]:
    """Sides of a polyline, in the drawing's coordinates; places at its corners are exact."""
    from ezdxf.math import Vec3, bulge_to_arc  # noqa: PLC0415

    sides = [corners[:1]]  # of a polyline that is a single corner
    ends = [*corners[1:], *corners[: _is_closed(entity)]]
    for start, end, bulge in zip(corners, ends, bulges, strict=False):
        side = [start, end]
        # of an arc that hardly bulges the centre is so far off that places about it lose digits
        if abs(bulge) * start.distance(end) / 2 > _STRAIGHT * sagitta:
            centre, *_ = bulge_to_arc(start, end, bulge)
            foot = np.array([start.x - centre.x, start.y - centre.y])
            off = _sweep(foot, 4 * float(np.arctan(bulge)), sagitta, path)[1:-1]
            side[1:1] = [Vec3(centre.x + x, centre.y + y, start.z) for x, y in off.tolist()]
        sides.append(side)
    is_solid = entity.dxftype() == "POLYLINE" and not entity.is_2d_polyline
    return sides if is_solid else [list(entity.ocs().points_to_wcs(side)) for side in sides]


def _sweep(foot: FloatArray, turn: float, sagitta: float, path: Path) -> FloatArray:
    """Places along an arc about its centre; refuses one that would take too many."""
    radius = float(np.hypot(*foot))
    if radius and not count_chords(radius, abs(turn), sagitta) < _MOST_CHORDS:
        raise InputError(
            f"an arc of radius {radius:g}, in the drawing's unit, would take too many chords",
            remedy="Check the arcs of the outline",
            path=path,
        )
    return sweep(foot, turn, sagitta=sagitta) if radius else np.zeros((2, 2))


def _side(places: Sequence[Any], metres: float) -> FloatArray:
    """Plan of one side, m, with a mark at both its ends."""
    rows = np.array([(*tuple(place)[:2], 0.0) for place in places], dtype=np.float64)
    rows = rows.reshape(-1, 3) * [metres, metres, 1]
    rows[[0, -1] if len(rows) else [], 2] = 1.0
    return rows
