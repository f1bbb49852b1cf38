"""What is cast with the slab as pictures have it: thickenings, lines, and cover that lacks."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.slab import rings_of
from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.site.thickening import outline_at


@dataclass(frozen=True, slots=True)
class DrawnThickening:
    """
    A thickening.

    Attributes
    ----------
    name : str
    depth : float
        m.
    surveyed : {"no", "yes", "departure"}
        How the shots see it.
    rings : tuple of (n, 2) arrays of float
        Its outermost outline within the slab, m; none closed.
    """

    name: str
    depth: float
    surveyed: str
    rings: tuple[FloatArray, ...]


@dataclass(frozen=True, slots=True)
class CastLine:
    """A line cast in: its name, and where it runs, (n, 2), m."""

    name: str
    path: FloatArray


@dataclass(frozen=True, slots=True)
class ThinCover:
    """Where an item lacks cover: its name, its worst place, (2,), m, and the cover there."""

    name: str
    at: FloatArray
    text: str


@dataclass(frozen=True, slots=True)
class CastIn:
    """All that is cast in."""

    thickenings: tuple[DrawnThickening, ...]
    lines: tuple[CastLine, ...]
    covers: tuple[ThinCover, ...]


def draw_cast_in(result: Result) -> CastIn:
    """Draw up what is cast in."""
    slab, say = result.slab, result.units.say_thickness
    return CastIn(
        thickenings=tuple(
            DrawnThickening(
                part.name,
                part.depth,
                part.surveyed,
                rings_of(outline_at(part, slab, out=part.side_slope * part.depth)),
            )
            for part in slab.thickenings
        ),
        lines=tuple(
            CastLine(void.name, np.array(void.line[:, :2]))
            for void in slab.voids
            if void.line is not None
        ),
        covers=tuple(
            ThinCover(cover.name, np.array(cover.at), f"cover {say(cover.least, down=True)}")
            for cover in result.cover
            if cover.short > 0
        ),
    )
