"""Grading: cut and fill against the design base, the top less the design thickness."""

from dataclasses import dataclass

from gradevol.geometry.prisms import area_above, volume_above
from gradevol.measures.field import EQUAL, ThicknessField, split_field
from gradevol.site.slab import Slab


@dataclass(frozen=True, slots=True)
class Grading:
    """
    Base against design base, bank measure, no tolerance.

    Attributes
    ----------
    cut : float
        Base above the design base, m³.
    fill : float
        Base below it, m³.
    high_share : float
        Share of the area where it stands above, 0 to 1: there the slab is thinner than designed.
    """

    cut: float
    fill: float
    high_share: float = 0.0

    @property
    def net(self) -> float:
        """Fill less cut, m³."""
        return self.fill - self.cut


def measure_grading(field: ThicknessField, slab: Slab) -> Grading:
    """Measure cut and fill; within a thickening that the shots show, nothing is measured."""
    cut = fill = high = whole = 0.0
    for part in split_field(field):
        is_slab = ~part.is_trench
        area, room = part.area[is_slab], part.thickness[is_slab] - slab.thickness
        cut += float(volume_above(area, -room).sum())
        fill += float(volume_above(area, room).sum())
        high += float(area_above(area, -room - EQUAL).sum())
        whole += float(area.sum())
    return Grading(cut, fill, high / whole if whole else 0.0)
