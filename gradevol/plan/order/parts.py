"""Pours: parts of the slab that are poured at different times, and what each takes."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import shapely

from gradevol.geometry.rings import polygon, polygons_of
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.field import ThicknessField, cut_field
from gradevol.site.panels import is_hairline, join_to_nearest
from gradevol.site.slab import Slab

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
    volume_without : float or None
        Its volume without the suspect shots, m³; None where there are none, or where too little is
        left without them.
    zone : shapely geometry
        What of the slab it is, m.
    """

    name: str
    area: float
    concrete: Concrete
    volume_without: float | None = None
    zone: shapely.Geometry = field(default_factory=shapely.Polygon)


def measure_parts(
    edges: Sequence[tuple[str, FloatArray]],
    field: ThicknessField,
    slab: Slab,
    *,
    sure: ThicknessField | None = None,
) -> tuple[Part, ...]:
    """
    Measure what each part of a slab takes.

    Parameters
    ----------
    edges : sequence of (str, (m, 2) array of float)
        Name and edge of each part, m.
    field : ThicknessField
    slab : Slab
    sure : ThicknessField or None
        Without the suspect shots.

    Returns
    -------
    tuple of Part
        In the order given; then `REST`, where the edges leave some of the slab.

    Raises
    ------
    GeometryError
        If a part lies outside the slab, or two share some of it.
    """

    def measure(of: ThicknessField, zone: shapely.Geometry) -> Concrete:
        return measure_concrete(cut_field(of, zone), slab, within=zone)

    return tuple(
        Part(
            name,
            float(zone.area),
            measure(field, zone),
            None if sure is None else measure(sure, zone).volume,
            zone,
        )
        for name, zone in find_zones(edges, slab)
    )


def find_zones(
    edges: Sequence[tuple[str, FloatArray]], slab: Slab
) -> list[tuple[str, shapely.Geometry]]:
    """
    Find what of a slab each part is; then `REST`, if the edges leave some of it.

    Strips no wider than a slip of the pen are shared out as panels of a top do it.

    Raises
    ------
    GeometryError
        As for `measure_parts`.
    """
    if not edges:
        return []
    zones: list[shapely.Geometry] = []
    for name, edge in edges:
        edged = shapely.intersection(polygon(edge, what=f"The edge of {name}"), slab.outline)
        zone = shapely.multipolygons(polygons_of(edged))
        if is_hairline(zone):
            raise GeometryError(f"{name} does not lie within the slab: check its corners.")
        for (other, _), taken in zip(edges, zones, strict=False):
            shared = shapely.intersection(zone, taken)
            if not is_hairline(shared):
                place = shared.representative_point().coords[0]
                raise GeometryError(
                    f"{other} and {name} share {{}} of the slab, and each place is poured once: "
                    "correct their corners.",
                    place=(float(place[0]), float(place[1])),
                ).measuring(Measure(shared.area, Kind.SOME_AREA))
            zone = shapely.difference(zone, taken)
        zones.append(zone)
    left = shapely.get_parts(shapely.difference(slab.outline, shapely.union_all(zones)))
    is_slip = np.array([is_hairline(part) for part in left], bool)
    join_to_nearest(zones, shapely.multipolygons(left[is_slip]))
    named = [(name, zone) for (name, _), zone in zip(edges, zones, strict=True)]
    return named if is_slip.all() else [*named, (REST, shapely.multipolygons(left[~is_slip]))]
