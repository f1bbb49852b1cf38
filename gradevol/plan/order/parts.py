"""Pours: parts of the slab that are poured at different times, and what each takes."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import shapely

from gradevol.geometry.rings import polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.field import ThicknessField, cut_field
from gradevol.site.slab import Slab

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
                    f"{other} and {name} share {{}} of the slab, and each place is poured once: "
                    "correct their corners.",
                    place=(float(place[0]), float(place[1])),
                ).measuring(Measure(shared.area, Kind.SOME_AREA))
        zones.append((name, zone))
    rest = shapely.difference(slab.outline, shapely.union_all([zone for _, zone in zones]))
    if rest.area > _CLOSE * slab.area:
        zones.append((REST, rest))

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
        for name, zone in zones
    )
