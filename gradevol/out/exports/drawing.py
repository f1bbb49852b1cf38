"""The drawing of a result: what lies on which layer of the DXF."""

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import shapely

from gradevol.answer.drawing.bands import choose_bands
from gradevol.answer.drawing.sampling import average, faces_between, sample
from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import trace_level
from gradevol.out.exports.dxf import Dot, Faces, Item, Label, Line
from gradevol.out.exports.meshes import mesh_base, mesh_top, put_places

#: Layers and their colours by number; outlines and lines of thickness lie at elevation 0.
LAYERS = {
    "BASE": 8,
    "TOP": 9,
    "EDGE": 7,
    "THIN": 1,
    "HIGH": 30,
    "LOW": 5,
    "CONTOUR": 36,
    "THICKNESS": 3,
    "SHOTS": 2,
}
#: Level lines at most, in the steps below times a power of ten.
_MOST_LEVELS = 15
_STEPS = (1.0, 2.0, 5.0)
#: Past this many triangles, lines are drawn through means over squares: those through the noise
#: of single points of a cloud can't be read, and fill a drawing.
_MANY, _SQUARES, _PER_SQUARE = 20_000, 10_000, 4


def list_items(result: Result, view: dict[str, Any]) -> list[Item]:
    """
    List what the drawing shows, in the job's coordinates and unit.

    Parameters
    ----------
    result : Result
        With its base.
    view : dict
        From `present`.
    """
    height = max(float(np.ptp(result.slab.edge, axis=0).max()) * result.units.to_length(1) / 150, 0)
    outline = shapely.get_parts(shapely.get_rings(result.slab.outline))
    base = mesh_base(result)
    items: list[Item] = [Faces("BASE", base), Faces("TOP", mesh_top(result))]
    for ring in outline:
        corners = put_places(shapely.get_coordinates(ring)[:-1], result)
        items.append(Line("EDGE", corners, is_closed=True))
    items += _spots(view, height)
    items += _contours(base.points[base.triangles])
    items += _thickness_lines(result, height)
    return [*items, *_shots(result, height)]


def _spots(view: dict[str, Any], height: float) -> Iterator[Item]:
    """Outlines of the spots; the worst place of each line of work, and its name in the fix list."""
    for layer, spots in (
        ("THIN", view["thin"]["spots"]),
        ("HIGH", view["grading"].get("high_spots", [])),
        ("LOW", view["grading"].get("low_spots", [])),
    ):
        for spot in spots:
            for ring in spot["outline"]:
                yield Line(layer, np.array(ring), is_closed=True)
    for fix in view["fix"]:
        if fix["kind"] != "cover":  # what is cast in is lowered, not the base
            layer = fix["kind"].upper()
            yield Dot(layer, fix["at"])
            yield Label(layer, fix["at"], f"FIX{fix['rank']}", height)


def _contours(corners: FloatArray) -> Iterator[Item]:
    """Lines of equal elevation of a surface, at their elevation, on round ones."""
    level = corners[..., 2]
    for at in round_levels(float(level.min()), float(level.max())):
        for line in _level_lines(corners[..., :2], level, [at])[0]:
            yield Line("CONTOUR", line, elevation=at)


def _thickness_lines(result: Result, height: float) -> Iterator[Item]:
    """Lines of equal thickness at the levels of the plan, each named once."""
    bands = choose_bands(result)
    field, unit = result.field, "mm" if result.units.is_metric else "in"
    lines_of = _level_lines(field.corners, field.thickness, bands.levels.tolist())
    for label, lines in zip(bands.labels, lines_of, strict=True):
        for number, line in enumerate(lines):
            placed = put_places(line, result)
            yield Line("THICKNESS", placed)
            if number == 0:  # the longest
                middle = (*placed[len(placed) // 2].tolist(), 0.0)
                yield Label("THICKNESS", middle, f"{label} {unit}", height)


def _level_lines(
    corners: FloatArray, value: FloatArray, levels: Sequence[float]
) -> list[tuple[FloatArray, ...]]:
    """Of each level its lines, longest first."""
    if len(corners) > _MANY:
        origin = corners.reshape(-1, 2).min(axis=0)
        extent = np.ptp(corners.reshape(-1, 2), axis=0)
        cell = float(np.sqrt(extent.prod() / _SQUARES)) / _PER_SQUARE
        means = average(sample(corners - origin, value, cell=cell), _PER_SQUARE)
        corners, value = faces_between(means)
        corners = corners + origin
    return [trace_level(corners, value, level) for level in levels]


def round_levels(low: float, high: float) -> list[float]:
    """Round levels within a range, at most `_MOST_LEVELS` of them."""
    spread = high - low
    if spread <= 0:
        return []
    power = 10.0 ** np.floor(np.log10(spread / _MOST_LEVELS))
    step = next(
        step
        for step in (power * part for part in (*_STEPS, 10.0))
        if spread / step <= _MOST_LEVELS - 1
    )
    numbers = np.arange(np.ceil(low / step - 1e-6), np.floor(high / step + 1e-6) + 1)
    decimals = max(0, -int(np.floor(np.log10(step) + 1e-9)))
    return [round(float(number * step), decimals) for number in numbers]


def _shots(result: Result, height: float) -> Iterator[Item]:
    """Shots as measured, with their names; points of a cloud have none and are left out."""
    for name, place in zip(
        result.survey.ids, put_places(result.survey.points, result).tolist(), strict=False
    ):
        yield Dot("SHOTS", place)
        yield Label("SHOTS", place, name, height)
