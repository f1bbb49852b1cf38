"""Styles: how each kind of line, area and dot is drawn, on a map and in its key alike."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.colours import ALERT, INK, PAPER
from gradevol.out.pictures.hatching import box, close, hatch, strew
from gradevol.out.pictures.sheet import Sheet

#: Width of a mark in a key, and height of an area there, in.
SWATCH, _HIGH = 0.34, 0.13


@dataclass(frozen=True, slots=True)
class Stroke:
    """
    A line.

    Attributes
    ----------
    width : float
        Points.
    dashes : tuple of float
        Points on and off; none: it is whole.
    colour : str
    casing, core : float
        White at either side of it, and along its middle, points.
    alpha, layer : float
    """

    width: float
    dashes: tuple[float, ...] = ()
    colour: str = INK
    casing: float = 0.0
    core: float = 0.0
    alpha: float = 1.0
    layer: float = 3.0

    def draw(
        self,
        sheet: Sheet,
        paths: Sequence[FloatArray],
        *,
        within: Sequence[FloatArray] | None = None,
    ) -> None:
        """Draw lines (n, 2), in; of an area's rings only what lies in it."""
        if len(paths) == 0:
            return
        sheet.lines(
            paths,
            width=self.width,
            dashes=self.dashes,
            colour=self.colour,
            casing=self.casing,
            alpha=self.alpha,
            layer=self.layer,
            within=within,
        )
        if self.core:
            sheet.lines(paths, width=self.core, colour=PAPER, layer=self.layer + 0.01)

    def show(self, sheet: Sheet, x: float, y: float) -> None:
        """Draw it in a key, about a place, in."""
        half = SWATCH / 2
        self.draw(sheet, [np.array([(x - half, y), (x + half, y)])])


@dataclass(frozen=True, slots=True)
class Dot:
    """
    A dot, or another small sign.

    Attributes
    ----------
    size : float
        Points.
    mark : str
        As matplotlib has it.
    colour, edge : str
    edge_width : float
        Points.
    alpha, layer : float
    """

    size: float
    mark: str = "o"
    colour: str = INK
    edge: str = "none"
    edge_width: float = 0.0
    alpha: float = 1.0
    layer: float = 5.0

    def draw(self, sheet: Sheet, places: FloatArray) -> None:
        """Draw dots (n, 2), in."""
        if len(places) == 0:
            return
        sheet.dots(
            places,
            size=self.size,
            mark=self.mark,
            colour=self.colour,
            edge=self.edge,
            edge_width=self.edge_width,
            alpha=self.alpha,
            layer=self.layer,
        )

    def show(self, sheet: Sheet, x: float, y: float) -> None:
        """Draw it in a key, about a place, in."""
        self.draw(sheet, np.array([(x, y)]))


@dataclass(frozen=True, slots=True)
class Area:
    """
    An area: ruled or strewn with dots, and its outline.

    Attributes
    ----------
    texture : Stroke or Dot
    spacing : float
        From one line or dot to the next, in.
    outline : Stroke or None
    angle : float
        Of the lines, degrees.
    """

    texture: Stroke | Dot
    spacing: float
    outline: Stroke | None = None
    angle: float = 45.0

    def draw(
        self, sheet: Sheet, rings: Sequence[FloatArray], *, without: Sequence[FloatArray] = ()
    ) -> None:
        """Draw what lies within rings (n, 2) but not within others, in."""
        if isinstance(self.texture, Dot):
            self.texture.draw(sheet, strew(rings, self.spacing))
        else:
            lines = hatch(rings, self.spacing, angle=self.angle, without=without)
            self.texture.draw(sheet, lines)
        if self.outline is not None:
            self.outline.draw(sheet, close(rings))

    def show(self, sheet: Sheet, x: float, y: float) -> None:
        """Draw it in a key, about a place, in."""
        self.draw(sheet, [box(x, y, SWATCH, _HIGH)])


# the plan in colours -------------------------------------------------------------------------

DESIGN = Stroke(1.7, casing=0.7, layer=3.2)
#: The same where it runs through the noise of a base on grade.
DESIGN_IN_NOISE = Stroke(0.9, casing=0.3, layer=3.2)
LEVEL = Stroke(0.55, alpha=0.75)
THIN = Area(Stroke(0.8, layer=4.2), 0.065, Stroke(1.9, colour=ALERT, casing=0.7, layer=4.4))
HIGH = Stroke(1.2, (2.6, 1.5), casing=0.9, layer=4)
LOW = Stroke(1.2, (6.0, 1.6, 1.0, 1.6), casing=0.9, layer=4)
BEYOND = Area(Dot(1.5, alpha=0.55, layer=2), 0.085)
POND = Area(Stroke(0.45, layer=3.9), 0.08, Stroke(0.9, casing=0.7, layer=3.95), angle=0)
FLAT = Stroke(1.3, (0.8, 1.9), casing=0.6, layer=3.96)
LEAST = Dot(5.5, "x", ALERT, edge_width=1.6, layer=7)
COVER = Dot(6, "X", PAPER, ALERT, 1.2, layer=7)

# both ----------------------------------------------------------------------------------------

THICKENING = Stroke(0.9, (9.0, 3.0), layer=3.6)
LINE = Stroke(3.0, core=1.4, layer=4.5)
NEXT = Dot(5.5, "^", PAPER, INK, 0.9, layer=5.2)
#: A core that was taken, and one that is proposed.
CORE = Dot(7.5, "o", PAPER, INK, 2.2, layer=6.9)
CORE_PROPOSED = Dot(6.5, "s", PAPER, INK, 1.0, layer=6.9)

# the sheet in black and greys, light enough for numbers to be read on them -------------------

THIN_GREY = Area(Stroke(0.7, colour="0.41", layer=2.5), 0.07, Stroke(1.5, layer=2.6), angle=-45)
HIGH_GREY = Area(
    Stroke(0.6, colour="0.52", layer=2.3), 0.095, Stroke(0.6, colour="0.52", layer=2.4)
)
LOW_GREY = Area(Dot(1.5, colour="0.45", layer=2), 0.105, Stroke(0.5, colour="0.45", layer=2.2))
OUTERMOST = Stroke(1.0, (1.2, 2.0), layer=3.3)
#: A side that meets what stands there.
FLUSH = Stroke(5.5, layer=4.81)
TAPE = Stroke(0.8, (4.0, 2.2), layer=4.5)
