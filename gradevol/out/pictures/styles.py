"""
Styles: how each kind of line, area and dot is drawn; one mark has one look, on every picture.

Plan, sheet, view and their keys draw by `MARKS` alone, and the page gets the dashes and hatches of
it; the words that go with each stand in `answer/drawing/captions.py`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.out.pictures.colours import ALERT, INK, PAPER, SOFT_INK
from gradevol.out.pictures.hatching import box, close, hatch, strew

if TYPE_CHECKING:
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
    casing, core : float
        White at either side of it, and along its middle, points.
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
        sheet: "Sheet",
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

    def show(self, sheet: "Sheet", x: float, y: float) -> None:
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

    def draw(self, sheet: "Sheet", places: FloatArray) -> None:
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

    def show(self, sheet: "Sheet", x: float, y: float) -> None:
        """Draw it in a key, about a place, in."""
        self.draw(sheet, np.array([(x, y)]))


@dataclass(frozen=True, slots=True)
class Area:
    """
    An area: ruled or strewn with dots, and its outline.

    Attributes
    ----------
    spacing : float
        From one line or dot to the next, in.
    angle : float
        Of the lines, degrees.
    """

    texture: Stroke | Dot
    spacing: float
    outline: Stroke | None = None
    angle: float = 45.0

    def draw(
        self, sheet: "Sheet", rings: Sequence[FloatArray], *, without: Sequence[FloatArray] = ()
    ) -> None:
        """Draw what lies within rings (n, 2) but not within others, and its outline, in."""
        self.rule(sheet, rings, without=without)
        if self.outline is not None:
            self.outline.draw(sheet, close(rings))

    def rule(
        self, sheet: "Sheet", rings: Sequence[FloatArray], *, without: Sequence[FloatArray] = ()
    ) -> None:
        """Draw its lines or dots alone, in."""
        if isinstance(self.texture, Dot):
            self.texture.draw(sheet, strew(rings, self.spacing))
        else:
            lines = hatch(rings, self.spacing, angle=self.angle, without=without)
            self.texture.draw(sheet, lines)

    def show(self, sheet: "Sheet", x: float, y: float) -> None:
        """Draw it in a key, about a place, in."""
        self.draw(sheet, [box(x, y, SWATCH, _HIGH)])


#: Of a line, an area or a place.
Style: TypeAlias = Stroke | Dot | Area

#: Every mark of a map, of lines, of areas and of places. Hatch that falls to the right is thin,
#: hatch that rises too high, dots too low; short dashes are tapes, long ones thickenings, dots in a
#: line the outermost shots. Colour only repeats what black says: `tests/unit/test_styles.py` holds
#: that no two look alike.
LINES: Mapping[str, Stroke] = {
    "level": Stroke(0.55, alpha=0.75),
    "design": Stroke(1.7, casing=0.7, layer=3.2),
    "outermost": Stroke(1.1, (1.2, 2.0), casing=0.5, layer=3.3),
    "tape": Stroke(0.8, (4.0, 2.2), layer=4.5),
    "thickening": Stroke(0.9, (9.0, 3.0), layer=3.6),
    "flat": Stroke(1.1, (6.0, 1.6, 1.0, 1.6), casing=0.6, layer=3.96),
    "line": Stroke(3.0, core=1.4, layer=4.5),
    # a side that meets what stands there
    "flush": Stroke(5.5, layer=4.81),
}
#: Light enough for numbers to be read on them.
AREAS: Mapping[str, Area] = {
    "thin": Area(
        Stroke(0.8, layer=2.5), 0.07, Stroke(1.9, colour=ALERT, casing=0.7, layer=4.4), angle=-45
    ),
    "high": Area(Stroke(0.45, layer=2.3), 0.11, Stroke(0.9, casing=0.4, layer=2.6)),
    "low": Area(Dot(1.5, layer=2), 0.105, Stroke(0.9, casing=0.4, layer=2.6)),
    "pond": Area(Stroke(0.45, layer=3.9), 0.08, Stroke(0.9, casing=0.7, layer=3.95), angle=0),
}
PLACES: Mapping[str, Dot] = {
    "shot": Dot(3.4, edge=PAPER, edge_width=0.5),
    # under the white that words have
    "unmarked": Dot(2.6, "+", edge=INK, edge_width=0.5, layer=4.55),
    "lattice": Dot(2.6, "s"),
    "later": Dot(4.4, "D", edge=PAPER, edge_width=0.5),
    "retired": Dot(4.6, colour="none", edge=SOFT_INK, edge_width=0.8, layer=4.97),
    "suspect": Dot(10.5, colour="none", edge=INK, edge_width=1.5, layer=7.0),
    "work": Dot(12.5, colour=PAPER, edge=INK, edge_width=1.1, layer=7.5),
    "next": Dot(5.5, "^", PAPER, INK, 0.9, layer=6.8),  # above lines that lead to words
    "worst": Dot(5.5, "x", ALERT, edge_width=1.5, layer=7),
    "cover": Dot(8.5, "*", PAPER, ALERT, 1.1, layer=7),
    # a core that was taken, and one that is proposed
    "core": Dot(7.5, "o", PAPER, INK, 2.2, layer=6.9),
    "core_proposed": Dot(6.5, "s", PAPER, INK, 1.0, layer=6.9),
    "removed": Dot(4.0, "1", edge=INK, edge_width=0.7, layer=4.95),
}
MARKS: Mapping[str, Style] = {**LINES, **AREAS, **PLACES}
#: The design's line where it runs through the noise of a base on grade.
DESIGN_IN_NOISE = Stroke(0.9, casing=0.3, layer=3.2)
