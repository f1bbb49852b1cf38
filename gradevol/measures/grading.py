"""Grading: cut and fill against the design base, the top less the design thickness."""

from dataclasses import dataclass

from gradevol.geometry.prisms import area_above, volume_above
from gradevol.measures.thickness import EQUAL, ThicknessField
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
    """
    Measure cut and fill; within a thickening that the shots show, nothing is measured.

    Parameters
    ----------
    field : ThicknessField
    slab : Slab

    Returns
    -------
    Grading
    """
    is_slab = ~field.is_trench
    area, room = field.area[is_slab], field.thickness[is_slab] - slab.thickness
    return Grading(
        cut=float(volume_above(area, -room).sum()),
        fill=float(volume_above(area, room).sum()),
        high_share=float(area_above(area, -room - EQUAL).sum() / area.sum()) if len(area) else 0.0,
    )
