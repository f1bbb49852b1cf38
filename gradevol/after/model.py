"""A slab before it is poured: its modelled volume behind any front, and how sure that is."""

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Self

import shapely

from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import ThicknessField, cut_field
from gradevol.site.slab import Slab, Thickening
from gradevol.site.thickening import outline_at

if TYPE_CHECKING:
    from gradevol.uncertainty.interval import Interval

#: So little is no more of the slab, a share of its area.
NOTHING = 1e-9


@dataclass(frozen=True, slots=True)
class Sureness:
    """
    How sure a check is of the volume of a slab, m³.

    Attributes
    ----------
    shared : float
        One standard deviation of what all of the slab shares: datum, rod's foot, top.
    own : float
        Of what differs from place to place: single shots, and what lies between them.
    off : float
        How far the middle of the volume's distribution lies above the stated volume.
    """

    shared: float
    own: float
    off: float = 0.0

    @classmethod
    def of_interval(cls, interval: "Interval") -> Self:
        """Take it from the interval of a check."""
        return cls(
            math.hypot(interval.datum, interval.top),
            math.hypot(interval.shots, interval.between_shots),
            interval.volume.middle - interval.stated,
        )

    def of_part(self, share: float) -> "Sureness":
        """Return that of a share of the slab's area, as an order of it reckons."""
        return Sureness(share * self.shared, math.sqrt(share) * self.own, share * self.off)


@dataclass(frozen=True, slots=True)
class PourModel:
    """
    A slab, or the part of it that is poured, as modelled.

    Attributes
    ----------
    field : ThicknessField
    slab : Slab
    zone : shapely geometry
        What is poured, about the survey's origin, m.
    volume : float
        Modelled concrete in it, m³.
    sureness : Sureness
        Of that volume.
    beams : tuple of (Thickening, shapely geometry, float)
        Each thickening, its outermost outline in what is poured, and its volume there, m³.
    """

    field: ThicknessField
    slab: Slab
    zone: shapely.Geometry
    volume: float
    sureness: Sureness
    beams: tuple[tuple[Thickening, shapely.Geometry, float], ...] = ()

    def measure(self, behind: shapely.Geometry) -> tuple[float, float]:
        """
        Modelled concrete behind a front: the field cut along it, exactly.

        Returns
        -------
        volume : float
            m³, with thickenings and less voids.
        share : float
            Of what is poured, by area, 0 to 1.
        """
        zone = shapely.intersection(behind, self.zone)
        if shapely.area(shapely.difference(self.zone, zone)) <= NOTHING * self.zone.area:
            return self.volume, 1.0
        if zone.is_empty or zone.area <= NOTHING * self.zone.area:
            return 0.0, 0.0
        # only a thickening that the front crosses is sliced: that takes longest of all
        inside = [beam for beam in self.beams if shapely.covers(zone, beam[1])]
        crossed = [
            beam[0]
            for beam in self.beams
            if not shapely.covers(zone, beam[1])
            and shapely.area(shapely.intersection(zone, beam[1])) > 0
        ]
        part = measure_concrete(cut_field(self.field, zone), self.slab, within=zone, of=crossed)
        whole = sum(volume for _, _, volume in inside)
        return part.volume + whole, float(zone.area / self.zone.area)


def build_model(
    field: ThicknessField,
    slab: Slab,
    sureness: Sureness,
    *,
    zone: shapely.Geometry | None = None,
) -> PourModel:
    """
    Model what is poured.

    Parameters
    ----------
    field : ThicknessField
    slab : Slab
    sureness : Sureness
        Of all of the slab.
    zone : shapely geometry, optional
        The part that is poured, m; left out: all of the slab.
    """
    if zone is not None:
        field, sureness = cut_field(field, zone), sureness.of_part(zone.area / slab.area)
    whole = slab.outline if zone is None else zone
    concrete = measure_concrete(field, slab, within=zone)
    drawn = [volume for _, volume in concrete.parts[: len(slab.thickenings)]]
    outlines = [
        shapely.intersection(outline_at(part, slab, out=part.side_slope * part.depth), whole)
        for part in slab.thickenings
    ]
    beams = tuple(zip(slab.thickenings, outlines, drawn, strict=True))
    return PourModel(field, slab, whole, concrete.volume, sureness, beams)
