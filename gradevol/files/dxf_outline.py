"""DXF: the ring that the lines of a layer make, the slab's edge or an opening."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from gradevol.files.chains import join_chains
from gradevol.files.dxf_file import choose_entities, open_dxf, refuse_blocks, refuse_damage
from gradevol.geometry.rings import circle, ring_area
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

if TYPE_CHECKING:
    from ezdxf.entities.dxfentity import DXFEntity

#: Greatest distance between an arc and its chords, m.
SAGITTA = 0.001
#: Ends of lines nearer than this meet, m.
_TOUCHING = 0.001
_FARTHEST = 1e8
_MOST_CHORDS = 100_000
_KINDS = ("LINE", "ARC", "CIRCLE", "LWPOLYLINE", "POLYLINE", "ELLIPSE", "SPLINE")
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class _Line:
    """What one entity draws in plan, m, and its layer."""

    layer: str
    places: FloatArray
    is_closed: bool


def read_dxf_outline(path: Path, *, unit: str, layer: str | None = None) -> FloatArray:
    """
    Read the one ring that is drawn on a layer.

    Parameters
    ----------
    path : Path
        The file.
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
        If the drawing is damaged, is in another unit, or its lines make no ring, or several.
    """
    drawing = open_dxf(path, unit=unit)
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
        shown = "; ".join(_say(ring, unit) for ring in rings[:_SHOWN])
        more = f"; and {len(rings) - _SHOWN} more" * (len(rings) > _SHOWN)
        held = f"the lines make {len(rings)} rings: {shown}{more}" if rings else "there is no ring"
        raise InputError(
            f"on {'layer' if len(layers) == 1 else 'layers'} {', '.join(layers[:_SHOWN]) or layer}"
            f", {held}",
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
    if not (np.abs(places) < _FARTHEST).all():
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
        if not 0 < dxf.radius * metres < _FARTHEST:
            return np.empty((0, 2)), False
        centre = _plan([_to_world(entity, dxf.center)], metres)[0]
        return circle(centre, 2 * dxf.radius * metres, sagitta=SAGITTA), True
    if kind == "ARC":
        angles = np.radians([dxf.start_angle, dxf.end_angle])
        turn = float((angles[1] - angles[0]) % (2 * np.pi)) or 2 * np.pi
        count = _count_chords(dxf.radius, turn, sagitta, path)
        turned = angles[0] + np.linspace(0, turn, count + 1)
        around = np.column_stack([np.cos(turned), np.sin(turned), 0 * turned])
        local = np.array(tuple(dxf.center)) + dxf.radius * around
        return _plan([_to_world(entity, place) for place in local], metres), False
    if kind in {"ELLIPSE", "SPLINE"}:
        is_closed = kind == "SPLINE" and bool(entity.closed)
        return _plan(list(entity.flattening(sagitta)), metres), is_closed
    corners, bulges, is_closed = _polyline(entity)
    places = _bow(entity, corners, bulges, sagitta=sagitta, is_closed=is_closed, path=path)
    return _plan(places, metres), is_closed


def _polyline(entity: Any) -> tuple[FloatArray, list[float], bool]:
    """Corners of a polyline in its own coordinates, their bulges, and whether it is closed."""
    if entity.dxftype() == "LWPOLYLINE":
        rows = np.array(entity.get_points("xyb"), dtype=np.float64).reshape(-1, 3)
        height = np.full(len(rows), float(entity.dxf.elevation))
        return np.column_stack([rows[:, :2], height]), rows[:, 2].tolist(), bool(entity.closed)
    # 16: frame of a spline, DXF reference, VERTEX group 70: it is beside the line
    drawn = [vertex for vertex in entity.vertices if not vertex.dxf.flags & 16]
    corners = np.array([tuple(vertex.dxf.location) for vertex in drawn], dtype=np.float64)
    bulges = [0.0 if entity.is_3d_polyline else float(vertex.dxf.bulge) for vertex in drawn]
    return corners.reshape(-1, 3), bulges, bool(entity.is_closed)


def _bow(
    entity: Any,
    corners: FloatArray,
    bulges: Sequence[float],
    *,
    sagitta: float,
    is_closed: bool,
    path: Path,
) -> list[Any]:
    """Places along a polyline: between two corners the chords of the arc that bulges there."""
    if len(corners) == 0:
        return []
    sides = list(pairwise(range(len(corners))))
    if is_closed:
        sides.append((len(corners) - 1, 0))
    places = [corners[:1]]
    for start, end in sides:
        places.append(_bend(corners[start], corners[end], bulges[start], sagitta, path))
    local = np.vstack(places)
    return [_to_world(entity, place) for place in local]


def _bend(
    start: FloatArray, end: FloatArray, bulge: float, sagitta: float, path: Path
) -> FloatArray:
    """Places after `start` up to `end`; bulge: tangent of a quarter of the arc's angle."""
    side = end - start
    chord = float(np.hypot(side[0], side[1]))
    if bulge == 0 or chord == 0 or not np.isfinite(bulge):
        return end[None]
    turn = 4 * float(np.arctan(bulge))
    radius = chord * (1 + bulge**2) / (4 * abs(bulge))
    count = _count_chords(radius, abs(turn), sagitta, path)
    middle = (start + end) / 2
    centre = middle + (1 - bulge**2) / (4 * bulge) * np.array([-side[1], side[0], 0.0])
    angles = turn * np.arange(1, count) / count
    spoke = start - centre
    east = spoke[0] * np.cos(angles) - spoke[1] * np.sin(angles)
    north = spoke[0] * np.sin(angles) + spoke[1] * np.cos(angles)
    between = centre + np.column_stack([east, north, np.full(len(angles), spoke[2])])
    return np.vstack([between, end])


def _count_chords(radius: float, turn: float, sagitta: float, path: Path) -> int:
    """Chords that stay within `sagitta` of an arc."""
    is_drawable = sagitta < radius * 1e12  # past which 1 - sagitta / radius is 1
    step = 2 * np.arccos(max(1 - sagitta / radius, 0.5)) if is_drawable else 0.0
    count = turn / step if step > 0 else np.inf
    if not 0 < count < _MOST_CHORDS:
        raise InputError(
            f"an arc of radius {radius:g} cannot be drawn to {SAGITTA * 1000:g} mm",
            remedy="Check the arcs of the outline",
            path=path,
        )
    return max(2, int(np.ceil(count)))


def _to_world(entity: Any, place: Any) -> Any:
    """A place of an entity, whose own plan may look down the other side, in the drawing's."""
    if entity.dxftype() == "POLYLINE" and entity.is_3d_polyline:
        return place
    ocs = entity.ocs()
    return ocs.to_wcs(place) if ocs.transform else place


def _plan(places: Sequence[Any], metres: float) -> FloatArray:
    rows = np.array([tuple(place)[:2] for place in places], dtype=np.float64)
    return rows.reshape(-1, 2) * metres
