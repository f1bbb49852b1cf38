"""Concrete: the volume and its parts."""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.prisms import integral, volume_above
from gradevol.measures.thickness import ThicknessField
from gradevol.site.slab import Slab
from gradevol.site.thickening import volume_as_drawn


@dataclass(frozen=True, slots=True)
class Concrete:
    """
    Volume of concrete, m³.

    Attributes
    ----------
    volume : float
        Slab and thickenings less voids.
    slab : float
        Integral of top less base where that is positive.
    thickenings, voids : float
        As drawn; what shots already show adds nothing.
    beyond_survey : float
        Share of `slab` (m³) that rests on extrapolation.
    overlap : float
        Integral of base less top where that is positive.
    nominal : float
        Plan area times design thickness.
    parts : tuple of (str, float)
        Each thickening (positive) and void (negative) by its name.
    """

    volume: float
    slab: float
    thickenings: float
    voids: float
    beyond_survey: float
    overlap: float
    nominal: float
    parts: tuple[tuple[str, float], ...]

    @property
    def over_nominal(self) -> float:
        """The slab's volume less its nominal volume, m³."""
        return self.slab - self.nominal


def measure_concrete(field: ThicknessField, slab: Slab) -> Concrete:
    """
    Measure the concrete over a base.

    Parameters
    ----------
    field : ThicknessField
    slab : Slab

    Returns
    -------
    Concrete
    """
    above = volume_above(field.area, field.thickness)
    filled = float(above.sum())
    beams = [
        (part.name, 0.0 if part.surveyed == "yes" else volume_as_drawn(part, slab))
        for part in slab.thickenings
    ]
    voids = [(part.name, part.volume) for part in slab.voids]
    thickenings = float(sum(volume for _, volume in beams))
    displaced = float(sum(volume for _, volume in voids))
    return Concrete(
        volume=filled + thickenings - displaced,
        slab=filled,
        thickenings=thickenings,
        voids=displaced,
        beyond_survey=float(above[~field.is_surveyed].sum()),
        overlap=max(0.0, filled - float(integral(field.area, field.thickness).sum())),
        nominal=slab.area * slab.thickness,
        parts=(*beams, *((name, -volume) for name, volume in voids)),
    )


def measure_coverage(field: ThicknessField) -> float:
    """Share of the slab's area that lies inside the survey, 0 to 1."""
    return float(np.sum(field.area[field.is_surveyed]) / field.area.sum())
