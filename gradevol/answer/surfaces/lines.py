"""Level lines of the base and of the thickness, in the job's coordinates and unit."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.bands import choose_bands
from gradevol.answer.drawing.sampling import average, faces_between, sample
from gradevol.answer.result import Result
from gradevol.answer.surfaces.meshes import Mesh, put_places
from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import trace_level

#: Level lines at most, in the steps below times a power of ten.
_MOST_LEVELS = 15
_STEPS = (1.0, 2.0, 5.0)
#: Past this many triangles, lines are drawn through means over squares: those through the noise
#: of single points of a cloud can't be read, and fill a drawing.
_MANY, _SQUARES, _PER_SQUARE = 20_000, 10_000, 4


@dataclass(frozen=True, slots=True)
class LevelLines:
    """Lines (n, 2) of one level, longest first: what the level is, as a number and in words."""

    level: float
    words: str
    lines: tuple[FloatArray, ...]


def trace_contours(base: Mesh) -> tuple[LevelLines, ...]:
    """Lines of equal elevation of a surface, on round ones."""
    corners = base.points[base.triangles]
    level = corners[..., 2]
    rounds = round_levels(float(level.min()), float(level.max()))
    return tuple(
        LevelLines(at, f"{at:g}", _level_lines(corners[..., :2], level, [at])[0]) for at in rounds
    )


def trace_thickness(result: Result) -> tuple[LevelLines, ...]:
    """Lines of equal thickness at the levels of the plan."""
    bands, field = choose_bands(result), result.field
    unit = "mm" if result.units.is_metric else "in"
    levels = bands.levels.tolist()
    lines_of = _level_lines(field.corners, field.thickness, levels)
    return tuple(
        LevelLines(level, f"{label} {unit}", tuple(put_places(line, result) for line in lines))
        for level, label, lines in zip(levels, bands.labels, lines_of, strict=True)
    )


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
    power = 10.0 ** np.floor(np.log10(spread / (_MOST_LEVELS - 1)))
    step = next(
        step
        for step in (power * part for part in (*_STEPS, 10.0))
        if spread / step <= _MOST_LEVELS - 1
    )
    numbers = np.arange(np.ceil(low / step - 1e-6), np.floor(high / step + 1e-6) + 1)
    decimals = max(0, -int(np.floor(np.log10(step) + 1e-9)))
    return [round(float(number * step), decimals) for number in numbers]
