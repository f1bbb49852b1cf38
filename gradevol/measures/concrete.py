"""Concrete: the volume and its parts."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.prisms import integral, volume_above
from gradevol.measures.field import ThicknessField, each_piece
from gradevol.site.slab import Slab, Thickening, Void
from gradevol.site.thickening import volume_as_drawn

#: A line this near to a zone's boundary runs along it, m, as a key does where two pours meet.
_BESIDE = 0.001


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
    shown : tuple of (int, float)
        Thickenings that the shots show, by their place in `parts`, as drawn: what `slab` holds of
        them is as they were dug.
    """

    volume: float
    slab: float
    thickenings: float
    voids: float
    beyond_survey: float
    overlap: float
    nominal: float
    parts: tuple[tuple[str, float], ...]
    shown: tuple[tuple[int, float], ...] = ()

    @property
    def over_nominal(self) -> float:
        """The slab's volume less its nominal volume, m³."""
        return self.slab - self.nominal

    @property
    def drawn(self) -> float:
        """As drawn, m³: area times thickness, thickenings whether shot or not, less voids."""
        return self.nominal + self.thickenings + self.shown_drawn - self.voids

    @property
    def shown_drawn(self) -> float:
        """Volume as drawn of the thickenings that the shots show, m³."""
        return float(sum(volume for _, volume in self.shown))


def measure_concrete(
    field: ThicknessField,
    slab: Slab,
    *,
    within: shapely.Geometry | None = None,
    of: Sequence[Thickening] | None = None,
) -> Concrete:
    """
    Measure the concrete over a base, or over a part of it.

    Parameters
    ----------
    field : ThicknessField
    slab : Slab
    within : shapely polygon or multipolygon, optional
        The part of the slab that the field is cut to (`cut_field`), m; left out, all of it.
    of : sequence of Thickening, optional
        The thickenings that are counted; left out, all of the slab's.

    Returns
    -------
    Concrete
        Those of parts that make up the slab add up to the whole's. A void goes to the parts by the
        length of its line, or by area where it has none.
    """
    zone = slab.outline if within is None else within
    above = each_piece(field, lambda part: volume_above(part.area, part.thickness))
    whole = each_piece(field, lambda part: integral(part.area, part.thickness))
    filled = float(above.sum())
    counted = slab.thickenings if of is None else of
    drawn = [(part, volume_as_drawn(part, slab, within=within)) for part in counted]
    beams = [(part.name, 0.0 if part.surveyed == "yes" else volume) for part, volume in drawn]
    voids = [
        (void.name, void.volume * (1.0 if within is None else _share(void, within, slab)))
        for void in slab.voids
    ]
    thickenings = float(sum(volume for _, volume in beams))
    displaced = float(sum(volume for _, volume in voids))
    return Concrete(
        volume=filled + thickenings - displaced,
        slab=filled,
        thickenings=thickenings,
        voids=displaced,
        beyond_survey=float(above[~field.is_surveyed].sum()),
        overlap=max(0.0, filled - float(whole.sum())),
        nominal=float(zone.area) * slab.thickness,
        parts=(*beams, *((name, -volume) for name, volume in voids)),
        shown=tuple(
            (place, volume) for place, (part, volume) in enumerate(drawn) if part.surveyed == "yes"
        ),
    )


def _share(void: Void, zone: shapely.Geometry, slab: Slab) -> float:
    """Share of a void that lies in a zone, 0 to 1; half of what runs where it meets another."""
    if void.line is not None:
        line = shapely.LineString(void.line[:, :2])
        within = float(shapely.intersection(line, slab.outline).length)
        if within > 0:
            inside, between = part_line(line, zone, slab.outline)
            return float(inside.length + between.length / 2) / within
    return float(zone.area / slab.area)


def part_line(
    line: shapely.LineString, zone: shapely.Geometry, outline: shapely.Geometry
) -> tuple[shapely.Geometry, shapely.Geometry]:
    """What of a line lies in a zone of an outline, and what between it and the rest of that."""
    rest = shapely.buffer(shapely.difference(outline, zone), _BESIDE, join_style="mitre")
    wide = shapely.buffer(zone, _BESIDE, join_style="mitre")
    held = shapely.intersection(shapely.intersection(line, outline), wide)
    return shapely.difference(held, rest), shapely.intersection(held, rest)


def measure_coverage(field: ThicknessField) -> float:
    """Share of the slab's area that lies inside the survey, 0 to 1."""
    return float(np.sum(field.area[field.is_surveyed]) / field.area.sum())
