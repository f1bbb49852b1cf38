"""The map on a sheet: the ground's metres to the paper's inches, and the thickness upon it."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.sampling import sample
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.out.pictures.colours import paint
from gradevol.out.pictures.hatching import close, holds
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.styles import DESIGN_IN_NOISE, LINES
from gradevol.out.pictures.widths import DPI

#: A line of the design this many times as long as the slab's edges is that of a base on grade.
_NOISE = 2.5
#: Labels of one level stand this far apart, in.
_APART = 2.2


@dataclass(frozen=True, slots=True)
class Chart:
    """
    A map on a sheet.

    Attributes
    ----------
    scale : float
        Inches to a metre.
    corner : (2,) array of float
        South-west corner of the map on paper, in.
    """

    sheet: Sheet
    drawing: Drawing
    scale: float
    corner: FloatArray

    @property
    def origin(self) -> FloatArray:
        """The south-west corner on the ground, (2,), m."""
        return np.asarray(self.drawing.slab.edge.min(axis=0))

    def on_paper(self, places: FloatArray) -> FloatArray:
        """Places on the ground, m, to paper, in."""
        return np.asarray(self.corner + (places - self.origin) * self.scale)

    def all_on_paper(self, paths: Sequence[FloatArray]) -> list[FloatArray]:
        """Lines or rings (n, 2) on the ground, m, to paper, in."""
        return [self.on_paper(path) for path in paths]

    def is_on_slab(self, places: FloatArray) -> BoolArray:
        """Whether places on paper (..., 2), in, lie on the slab."""
        return holds(self.drawing.slab.rings, (places - self.corner) / self.scale + self.origin)

    def is_near(self, places: FloatArray, reach: float) -> BoolArray:
        """Whether places on paper (n, 2), in, lie on the map or within `reach` of it."""
        high = self.corner + self.drawing.slab.size * self.scale
        return np.asarray(((places > self.corner - reach) & (places < high + reach)).all(axis=1))

    def spacing(self, count: int) -> float:
        """How far so many places on the slab are apart on paper, about, in."""
        return float(np.sqrt(self.drawing.slab.area / max(1, count)) * self.scale)


def draw_thickness(chart: Chart) -> list[tuple[str, FloatArray]]:
    """
    Colour the slab by thickness and draw its level lines.

    Returns
    -------
    list of (str, (n, 2) array of float)
        What each line should say, and where it runs, in; longest first.
    """
    sheet, relief, bands = chart.sheet, chart.drawing.relief, chart.drawing.bands
    within = chart.all_on_paper(chart.drawing.slab.rings)
    image = sample(relief.corners, relief.thickness, cell=1 / DPI / chart.scale)
    west, east, south, north = image.extent
    low, high = chart.on_paper(np.array([(west, south), (east, north)]))
    sheet.image(paint(bands, image.thickness), (low[0], high[0], low[1], high[1]), within=within)
    named = []
    for text, lines in zip(bands.labels, relief.levels, strict=True):
        paths = chart.all_on_paper(lines)
        LINES["level"].draw(sheet, paths, within=within)
        named += [(text, path) for path in paths]
    design = chart.all_on_paper(relief.design)
    # where the base lies on grade the line runs through its noise, and would hide the map
    is_noise = sum(map(measure_path, design)) > _NOISE * sum(map(measure_path, close(within)))
    style = DESIGN_IN_NOISE if is_noise else LINES["design"]
    style.draw(sheet, design, within=within)
    return sorted(named, key=lambda line: -measure_path(line[1]))


def label_lines(chart: Chart, named: list[tuple[str, FloatArray]]) -> None:
    """Write the level on its lines where there is room, a few times a level."""
    written: dict[str, list[FloatArray]] = {}
    for text, path in named:
        if measure_path(path) < 0.7:
            break
        for place in _places_along(path):
            at = np.array(place[:2])
            if any(np.hypot(*(at - other)) < _APART for other in written.get(text, [])):
                continue
            if chart.sheet.label([place], text, size=7.0, plate=True, pad=0.03, layer=6):
                written.setdefault(text, []).append(at)


def measure_path(path: FloatArray) -> float:
    """Length of a line (k, 2)."""
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def measure_along(path: FloatArray) -> FloatArray:
    """Way along a line (k, 2) from where it begins to each of its places, (k,)."""
    return np.concatenate([[0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])


def _places_along(path: FloatArray) -> list[tuple[float, float, float]]:
    """Places for a word along a line and its angle there, straightest first."""
    station = measure_along(path)
    half = 0.14
    middles = np.arange(half + 0.1, station[-1] - half - 0.1, 0.12)
    if len(middles) == 0:
        return []

    def at(stations: FloatArray) -> FloatArray:
        return np.column_stack([np.interp(stations, station, column) for column in path.T])

    before, middle, after = at(middles - half), at(middles), at(middles + half)
    chord = after - before
    straight = np.hypot(*chord.T) / (2 * half)
    angle = np.degrees(np.arctan2(chord[:, 1], chord[:, 0]))
    angle = (angle + 90) % 180 - 90  # never upside down
    order = np.argsort(-np.round(straight, 2), kind="stable")
    order = order[straight[order] > 0.93]
    return [(float(middle[i, 0]), float(middle[i, 1]), float(angle[i])) for i in order[:60]]
