"""Pours: parts of the slab that are poured at different times, and what each takes."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.clipping import overlay
from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import plan_area, volume_above
from gradevol.geometry.rings import polygon, triangulate_polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.measures.concrete import Concrete
from gradevol.measures.thickness import ThicknessField
from gradevol.site.slab import Slab, Void
from gradevol.site.thickening import volume_as_drawn

#: What is left of the slab, or shared by two parts, beside its area: more is told.
_CLOSE = 1e-6
#: The part that no edge was given for.
REST = "rest of the slab"


@dataclass(frozen=True, slots=True)
class Part:
    """
    A part of the slab that is poured on its own.

    Attributes
    ----------
    name : str
    area : float
        Plan area within the slab, m².
    concrete : Concrete
        As of a whole slab: the parts add up to it.
    """

    name: str
    area: float
    concrete: Concrete


def measure_parts(
    edges: Sequence[tuple[str, FloatArray]], field: ThicknessField, slab: Slab
) -> tuple[Part, ...]:
    """
    Measure what each part of a slab takes.

    Parameters
    ----------
    edges : sequence of (str, (m, 2) array of float)
        Name and edge of each part, m.
    field : ThicknessField
    slab : Slab

    Returns
    -------
    tuple of Part
        In the order given; then `REST`, where the edges leave some of the slab. A void goes to the
        parts by the length of its line, or by area where it has none.

    Raises
    ------
    GeometryError
        If a part lies outside the slab, or two share some of it.
    """
    if not edges:
        return ()
    zones: list[tuple[str, shapely.Geometry]] = []
    for name, edge in edges:
        zone = shapely.intersection(polygon(edge, what=f"The edge of {name}"), slab.outline)
        if zone.area <= _CLOSE * slab.area:
            raise GeometryError(f"{name} does not lie within the slab: check its corners.")
        for other, taken in zones:
            shared = shapely.intersection(zone, taken)
            if shared.area > _CLOSE * slab.area:
                place = shared.representative_point().coords[0]
                raise GeometryError(
                    f"{other} and {name} share {shared.area:.3f} m² of the slab: part them, for "
                    "each place is poured once.",
                    place=(float(place[0]), float(place[1])),
                )
        zones.append((name, zone))
    rest = shapely.difference(slab.outline, shapely.union_all([zone for _, zone in zones]))
    if rest.area > _CLOSE * slab.area:
        zones.append((REST, rest))
    return tuple(_measure(name, zone, field, slab) for name, zone in zones)


def _measure(name: str, zone: shapely.Geometry, field: ThicknessField, slab: Slab) -> Part:
    tiles = triangulate_polygon(zone)
    corners, parent, _, _ = overlay(field.corners, tiles)
    held = np.dstack([field.corners, field.thickness])
    thickness = level_in(held, parent, corners)
    area = plan_area(corners)
    above = volume_above(area, thickness)
    below = volume_above(area, -thickness)
    beams = [
        (part.name, 0.0 if part.surveyed == "yes" else volume_as_drawn(part, slab, within=zone))
        for part in slab.thickenings
    ]
    voids = [(void.name, void.volume * _share(void, zone, slab)) for void in slab.voids]
    filled, thickenings = float(above.sum()), float(sum(volume for _, volume in beams))
    displaced = float(sum(volume for _, volume in voids))
    concrete = Concrete(
        volume=filled + thickenings - displaced,
        slab=filled,
        thickenings=thickenings,
        voids=displaced,
        beyond_survey=float(above[~field.is_surveyed[parent]].sum()),
        overlap=float(below.sum()),
        nominal=float(zone.area) * slab.thickness,
        parts=(*beams, *((void, -volume) for void, volume in voids)),
    )
    return Part(name, float(zone.area), concrete)


def _share(void: Void, zone: shapely.Geometry, slab: Slab) -> float:
    """Share of a void that lies in a zone, 0 to 1."""
    if void.line is not None:
        line = shapely.LineString(void.line[:, :2])
        within = float(shapely.intersection(line, slab.outline).length)
        if within > 0:
            return float(shapely.intersection(line, zone).length) / within
    return float(zone.area / slab.area)
