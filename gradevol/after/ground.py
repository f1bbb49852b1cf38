"""What was known before the pour."""

import math
from dataclasses import dataclass, replace

import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.measures.base import BaseSurface
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.field import ThicknessField, cut_field
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Design
from gradevol.uncertainty.interpolation import Between
from gradevol.uncertainty.interval import Interval

#: What lies this near to a part's edge is on it, m.
NEAR_PART = 0.05


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

    def count_on(self, points: FloatArray) -> int:
        """How many of some points lie on the part that was poured; of all the slab, all."""
        if self.zone is None:
            return len(points)
        return int(shapely.dwithin(self.zone, shapely.points(points[:, :2]), NEAR_PART).sum())

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
