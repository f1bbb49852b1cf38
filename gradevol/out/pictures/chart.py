"""The map on a sheet: the ground's metres to the paper's inches, and the thickness upon it."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import trace_level
from gradevol.out.pictures.bands import Bands, say_level
from gradevol.out.pictures.sampling import average, faces_between, sample
from gradevol.out.pictures.sheet import DPI, Sheet

#: Triangles smaller than this on paper make lines that can't be read: means are drawn, in.
_LEAST_TRIANGLE = 0.05
#: Side of the squares of those means, in.
MEAN_OVER = 0.1
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
    sheet : Sheet
    result : Result
    bands : Bands
    scale : float
        Inches to a metre.
    corner : (2,) array of float
        South-west corner of the map on paper, in.
    origin : (2,) array of float
        The same on the ground, about the job's origin, m.
    corners : (k, 3, 2) array of float
        Triangles that are drawn, m: the field's own, or those between means.
    value : (k, 3) array of float
        Thickness at their corners, m.
    is_mean : bool
        Whether means are drawn.
    """

    sheet: Sheet
    result: Result
    bands: Bands
    scale: float
    corner: FloatArray
    origin: FloatArray
    corners: FloatArray
    value: FloatArray
    is_mean: bool

    def on_paper(self, places: FloatArray) -> FloatArray:
        """Places on the ground, m, to paper, in."""
        return np.asarray(self.corner + (np.asarray(places)[..., :2] - self.origin) * self.scale)

    def rings_on_paper(self, shape: shapely.Geometry) -> list[FloatArray]:
        """Rings of an area on the ground, outer ones one way round and holes the other, in."""
        oriented = shapely.orient_polygons(shape)
        parts = [part for part in shapely.get_parts(oriented) if part.area > 0]
        return [
            self.on_paper(shapely.get_coordinates(ring)[:-1])
            for part in parts
            for ring in shapely.get_rings(part)
        ]

    def level_lines(self, level: float) -> list[FloatArray]:
        """Lines of one thickness, m, on paper, in."""
        return [self.on_paper(path) for path in trace_level(self.corners, self.value, level)]


def open_chart(
    sheet: Sheet, result: Result, bands: Bands, *, scale: float, corner: tuple[float, float]
) -> Chart:
    """Open a chart of the exact triangles, or of means where these are too small to see."""
    field = result.field
    corners, value = field.corners, field.thickness
    is_mean = np.sqrt(result.slab.area / len(field.area)) * scale < _LEAST_TRIANGLE
    if is_mean:
        image = sample(corners, value, cell=1 / DPI / scale)
        corners, value = faces_between(average(image, round(MEAN_OVER * DPI)))
    low = result.slab.edge.min(axis=0)
    return Chart(sheet, result, bands, scale, np.array(corner), low, corners, value, bool(is_mean))


def draw_thickness(chart: Chart) -> list[tuple[str, FloatArray]]:
    """
    Colour the slab by thickness and draw its level lines.

    Returns
    -------
    list of (str, (n, 2) array of float)
        What each line should say, and where it runs, in; longest first.
    """
    bands, sheet, slab = chart.bands, chart.sheet, chart.result.slab
    image = sample(chart.corners, chart.value, cell=1 / DPI / chart.scale)
    within = chart.rings_on_paper(slab.outline)
    west, east, south, north = image.extent
    low, high = chart.on_paper(np.array([(west, south), (east, north)]))
    sheet.image(bands.paint(image.thickness), (low[0], high[0], low[1], high[1]), within=within)
    named = []
    for level in bands.levels:
        paths = chart.level_lines(level)
        if paths:
            sheet.lines(paths, width=0.55, alpha=0.75, within=within)
            named += [(say_level(level, chart.result.units), path) for path in paths]
    design = chart.level_lines(slab.thickness)
    if design:
        # where the base lies on grade the line runs through its noise, and would hide the map
        around = sum(_length(np.vstack([ring, ring[:1]])) for ring in within)
        is_noise = sum(map(_length, design)) > _NOISE * around
        width, casing = (0.9, 0.3) if is_noise else (1.7, 0.7)
        sheet.lines(design, width=width, casing=casing, layer=3.2, within=within)
    return sorted(named, key=lambda line: -_length(line[1]))


def label_lines(chart: Chart, named: list[tuple[str, FloatArray]]) -> None:
    """Write the level on its lines where there is room, a few times a level."""
    written: dict[str, list[FloatArray]] = {}
    for text, path in named:
        if _length(path) < 0.7:
            break
        for place in _places_along(path):
            at = np.array(place[:2])
            if any(np.hypot(*(at - other)) < _APART for other in written.get(text, [])):
                continue
            if chart.sheet.label([place], text, size=7.0, plate=True, pad=0.03, layer=6):
                written.setdefault(text, []).append(at)


def _length(path: FloatArray) -> float:
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


def _places_along(path: FloatArray) -> list[tuple[float, float, float]]:
    """Places for a word along a line and its angle there, straightest first."""
    station = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
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
