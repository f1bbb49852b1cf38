"""A sheet of paper in inches, the map on it, and the room that is left for words."""

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path
from typing import Any, TypeAlias

import numpy as np

from gradevol.answer.drawing.room import Room
from gradevol.ground.arrays import AnyArray, FloatArray
from gradevol.out.pictures.binding import loosen, split_bound
from gradevol.out.pictures.colours import INK, PAPER
from gradevol.out.pictures.widths import DPI, measure_width

_POINT = 1 / 72
#: How wide a letter is on the mean, as a share of its size.
_LETTER = 0.5
#: Middle of something on paper, in, and its angle, degrees.
Place: TypeAlias = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Sheet:
    """
    A sheet to draw on.

    Attributes
    ----------
    width, height : float
        in.
    figure, axes : matplotlib's
        One pair of axes over the whole sheet, in inches from its lower left corner.
    room : Room
        Where words may still stand.
    """

    width: float
    height: float
    figure: Any
    axes: Any
    room: Room

    @classmethod
    def blank(cls, width: float, height: float) -> "Sheet":
        """Return an empty sheet, in."""
        from matplotlib.backends.backend_agg import FigureCanvasAgg  # noqa: PLC0415
        from matplotlib.figure import Figure  # noqa: PLC0415

        figure = Figure(figsize=(width, height), dpi=DPI, facecolor=PAPER)
        FigureCanvasAgg(figure)
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set_xlim(0, width)
        axes.set_ylim(0, height)
        axes.set_axis_off()
        return cls(width, height, figure, axes, Room.over(width, height))

    def save(self, path: Path, *, dpi: int = DPI) -> None:
        """Write the sheet as PNG, without date or version, so that equal sheets are equal files."""
        with warnings.catch_warnings():
            # a title may hold a letter that the font lacks; a box in its place is fair
            warnings.filterwarnings("ignore", message="Glyph .* missing", category=UserWarning)
            self.figure.savefig(path, dpi=dpi, format="png", metadata={"Software": None})

    # what is drawn ------------------------------------------------------------------------------

    def lines(
        self,
        paths: Sequence[AnyArray],
        *,
        width: float,
        colour: str = INK,
        dashes: tuple[float, ...] = (),
        casing: float = 0.0,
        alpha: float = 1.0,
        layer: float = 3.0,
        within: Any = None,
    ) -> None:
        """Draw lines, in; `width` and `dashes` in points, `casing` the white at either side."""
        from matplotlib.collections import LineCollection  # noqa: PLC0415

        style: Any = (0, dashes) if dashes else "solid"
        if casing:
            under = LineCollection(
                list(paths),
                linewidths=width + 2 * casing,
                colors=PAPER,
                zorder=layer - 0.01,
                capstyle="round",
                joinstyle="round",
                alpha=0.9,
            )
            self.axes.add_collection(under, autolim=False)
        drawn = LineCollection(
            list(paths),
            linewidths=width,
            colors=colour,
            linestyles=[style],
            alpha=alpha,
            zorder=layer,
            capstyle="butt" if dashes else "round",
            joinstyle="round",
        )
        self.axes.add_collection(drawn, autolim=False)
        if within is not None:
            drawn.set_clip_path(self.patch_of(within))

    def faces(self, shapes: FloatArray, colours: FloatArray, *, within: Sequence[AnyArray]) -> None:
        """Draw triangles (k, 3, 2), in, each of one colour (k, 3), in the order given."""
        from matplotlib.collections import PolyCollection  # noqa: PLC0415

        whole: Any = shapes  # of a list it would make a path of each for itself
        drawn = PolyCollection(
            whole, facecolors=colours, edgecolors=colours, linewidths=0.3, zorder=2
        )
        self.axes.add_collection(drawn, autolim=False)
        drawn.set_clip_path(self.patch_of(within))

    def patch_of(self, rings: Sequence[AnyArray], **style: Any) -> Any:
        """Return an area, outer rings one way round and holes the other, in; not yet drawn."""
        from matplotlib.patches import PathPatch  # noqa: PLC0415
        from matplotlib.path import Path as Outline  # noqa: PLC0415

        closed = [np.vstack([ring, ring[:1]]) for ring in rings]
        codes = [
            np.r_[Outline.MOVETO, np.full(len(ring) - 2, Outline.LINETO), Outline.CLOSEPOLY]
            for ring in closed
        ]
        outline = Outline(np.concatenate(closed), np.concatenate(codes).astype(np.uint8))
        style.setdefault("facecolor", "none")
        style.setdefault("edgecolor", "none")
        return PathPatch(outline, transform=self.axes.transData, **style)

    def fill(self, rings: Sequence[AnyArray], **style: Any) -> None:
        """Draw an area, in."""
        self.axes.add_patch(self.patch_of(rings, **style))

    def box(self, left: float, bottom: float, wide: float, high: float, **style: Any) -> None:
        """Draw a rectangle, in."""
        east, north = left + wide, bottom + high
        self.fill(
            [np.array([(left, bottom), (east, bottom), (east, north), (left, north)])], **style
        )

    def dots(
        self,
        places: FloatArray,
        *,
        size: float,
        colour: str = INK,
        edge: str = "none",
        edge_width: float = 0.0,
        mark: str = "o",
        alpha: float = 1.0,
        layer: float = 5.0,
    ) -> None:
        """Draw dots, in; `size` their diameter, points."""
        self.axes.plot(
            places[:, 0],
            places[:, 1],
            linestyle="none",
            marker=mark,
            markersize=size,
            markerfacecolor=colour,
            markeredgecolor=colour if mark == "x" else edge,
            markeredgewidth=edge_width,
            alpha=alpha,
            zorder=layer,
            scalex=False,
            scaley=False,
        )

    def image(
        self,
        rgba: FloatArray,
        extent: tuple[float, float, float, float],
        *,
        within: Sequence[AnyArray] | None = None,
        smooth: bool = False,
    ) -> None:
        """Draw an image, rows from below; west, east, south, north in."""
        shown = self.axes.imshow(
            rgba,
            extent=extent,
            origin="lower",
            aspect="auto",
            zorder=1,
            interpolation="antialiased" if smooth else "nearest",
        )
        if within is not None:
            shown.set_clip_path(self.patch_of(within))
        self.axes.set_xlim(0, self.width)
        self.axes.set_ylim(0, self.height)

    # words --------------------------------------------------------------------------------------

    def measure(self, text: str, size: float, *, bold: bool = False) -> tuple[float, float]:
        """Width and height of a line of text, in."""
        return measure_width(text, size, bold), size * _POINT

    def write(
        self,
        x: float,
        y: float,
        text: str,
        *,
        size: float = 8.0,
        bold: bool = False,
        colour: str = INK,
        across: str = "left",
        up: str = "center_baseline",
        angle: float = 0.0,
        halo: float = 0.0,
        plate: bool = False,
        layer: float = 8.0,
    ) -> None:
        """Write a line of text, in; `halo` the white around it, points, `plate` white under it."""
        from matplotlib.patheffects import withStroke  # noqa: PLC0415

        self.axes.text(
            x,
            y,
            text,
            fontsize=size,
            fontfamily="DejaVu Sans",
            color=colour,
            rotation=angle,
            fontweight="bold" if bold else "normal",
            ha=across,
            va=up,
            rotation_mode="anchor",
            zorder=layer,
            parse_math=False,
            path_effects=[withStroke(linewidth=2 * halo, foreground=PAPER)] if halo else [],
            bbox={
                "boxstyle": "round,pad=0.14",
                "facecolor": PAPER,
                "edgecolor": "none",
                "alpha": 0.88,
            }
            if plate
            else None,
        )

    def wrap(self, text: str, wide: float, size: float) -> list[str]:
        """Break text into lines no wider than `wide`, in; measures stay whole."""
        words, lines = list(map(loosen, split_bound(text))), list[str]()

        def is_too_wide(count: int) -> bool:
            return count > 1 and self.measure(" ".join(words[:count]), size)[0] > wide

        while words:
            # to measure each line word by word takes long: about so many have room
            ends = accumulate(len(word) + 1 for word in words)
            count = max(1, sum(end * _LETTER * size * _POINT <= wide for end in ends))
            while is_too_wide(count):
                count -= 1
            while count < len(words) and not is_too_wide(count + 1):
                count += 1
            lines.append(" ".join(words[:count]))
            words = words[count:]
        return lines or [""]

    def label(
        self,
        places: Sequence[Place],
        text: str,
        *,
        size: float = 8.0,
        bold: bool = False,
        pad: float = 0.02,
        **style: Any,
    ) -> bool:
        """
        Write text about the first of the places that has room for it.

        Parameters
        ----------
        places : sequence of (float, float, float)
        text : str
            One line.
        size, bold, **style
            As for `write`.
        pad : float
            Room to leave around it, in.

        Returns
        -------
        bool
            Whether there was room.
        """
        wide, high = self.measure(text, size, bold=bold)
        place = self.room.find(places, wide + 2 * pad, high + 2 * pad)
        if place is None:
            return False
        x, y, angle = place
        self.write(x, y, text, size=size, bold=bold, angle=angle, across="center", **style)
        return True
