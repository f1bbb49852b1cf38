"""What was known before the pour."""

import math
from dataclasses import dataclass, replace

import shapely

from gradevol.measures.base import BaseSurface
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.field import ThicknessField, cut_field
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Design
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.interval import Interval


@dataclass(frozen=True, slots=True)
class Ground:
    """
    What was known before the pour: a check's own, m about its origin.

    Attributes
    ----------
    design : Design
        The design top's.
    field : ThicknessField
        Design top less base.
    part : str
        The part of the slab that was poured; empty: all of it.
    zone : shapely geometry or None
        That part, m; None: all of it. Field, concrete and interval are then of it.
    """

    slab: Slab
    design: Design
    field: ThicknessField
    base: BaseSurface
    survey: Survey
    concrete: Concrete
    interval: Interval
    between: Between
    flush_sides: tuple[int, ...] = ()
    part: str = ""
    zone: shapely.Geometry | None = None

    @property
    def outline(self) -> shapely.Geometry:
        """What was poured, m."""
        return self.slab.outline if self.zone is None else self.zone

    @property
    def area(self) -> float:
        """Plan area of that, m²."""
        return float(self.outline.area)

    def cut(self, part: str, zone: shapely.Geometry) -> "Ground":
        """
        Return what was known of a part of the slab.

        What the whole shares in error goes by area, what differs from place to place by its root.
        """
        share = zone.area / self.slab.area
        field, interval = cut_field(self.field, zone), self.interval
        return replace(
            self,
            field=field,
            concrete=measure_concrete(field, self.slab, within=zone),
            interval=replace(
                interval,
                shots=math.sqrt(share) * interval.shots,
                between_shots=math.sqrt(share) * interval.between_shots,
                datum=share * interval.datum,
                top=share * interval.top,
            ),
            part=part,
            zone=zone,
        )
