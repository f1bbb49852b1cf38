"""Bands of thickness, and of cut and fill, at round intervals: what is coloured alike."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES, Units, eighths

#: Intervals that a tape or a rule shows; m.
_INCHES = tuple(inches * METRES["in"] for inches in (0.25, 0.5, 1, 2, 3, 6, 12, 24, 60, 120))
_MILLIMETRES = tuple(mm * METRES["mm"] for mm in (5, 10, 20, 50, 100, 200, 500, 1000, 2000))
_MOST = 10
_FEWEST = 5
#: Share of the area at either end of the range that may fall beyond the outermost bands.
_TAIL = 0.002


@dataclass(frozen=True, slots=True)
class Bands:
    """
    Bands of thickness.

    Attributes
    ----------
    levels : (n + 1,) array of float
        Their limits, thin to thick, m.
    labels : tuple of str
        The limits as a tape shows them, without a unit.
    is_open_below, is_open_above : bool
        Whether the outermost bands hold thinner or thicker concrete than their limits say.
    """

    levels: FloatArray
    labels: tuple[str, ...]
    is_open_below: bool
    is_open_above: bool


@dataclass(frozen=True, slots=True)
class Moves:
    """
    Bands of cut and fill, as wide as those of thickness and about the design.

    Attributes
    ----------
    levels : (n + 1,) array of float
        Their limits, thickness less design, m.
    steps : (n,) array of float
        How many bands from grade each is: below 0 to cut, above it to fill.
    labels : tuple of str
        The middle of each, without sign or unit.
    """

    levels: FloatArray
    steps: FloatArray
    labels: tuple[str, ...]


def choose_bands(result: Result) -> Bands:
    """Choose bands that hold the thickness, the design and the least, in steps a tape shows."""
    field, slab = result.field, result.slab
    is_slab = ~field.is_trench if (~field.is_trench).any() else np.ones(len(field.area), bool)
    low, high = _range_of(field.thickness[is_slab], field.area[is_slab])
    low, high = min(low, slab.least_thickness), max(high, slab.thickness)
    steps = _MILLIMETRES if result.units.is_metric else _INCHES
    for step in steps:
        first, last = _round_out(low, high, step)
        if last - first <= _MOST:
            break
    while last - first < _FEWEST:  # so that a flat base does not look rough
        first, last = first - 1, last + 1
    levels = np.array([step * number for number in range(first, last + 1)])
    return Bands(
        levels=levels,
        labels=tuple(say_level(level, result.units) for level in levels.tolist()),
        is_open_below=bool(field.thickness.min() < levels[0] - 1e-6),
        is_open_above=bool(field.thickness.max() > levels[-1] + 1e-6),
    )


def choose_moves(bands: Bands, result: Result) -> Moves:
    """Choose bands of cut and fill; that on grade reaches half a step to either side."""
    step = float(bands.levels[1] - bands.levels[0])
    low, high = (bands.levels[[0, -1]] - result.slab.thickness).tolist()
    lowest, highest = _round_out(low, high, step)
    steps = np.arange(min(lowest, -1), max(highest, 1) + 1, dtype=float)
    return Moves(
        levels=np.append(steps - 0.5, steps[-1] + 0.5) * step,
        steps=steps,
        labels=tuple(say_level(abs(count) * step, result.units) for count in steps.tolist()),
    )


def _round_out(low: float, high: float, step: float) -> tuple[int, int]:
    """Steps that hold a range, rounding left alone."""
    return int(np.floor(low / step + 1e-6)), int(np.ceil(high / step - 1e-6))


def _range_of(thickness: FloatArray, area: FloatArray) -> tuple[float, float]:
    """Thickness between which all of the area lies but a little at either end, m."""
    order = np.argsort(thickness, axis=None)
    share = np.cumsum(np.repeat(area / 3, 3)[order])
    ends = np.searchsorted(share, share[-1] * np.array([_TAIL, 1 - _TAIL]))
    low, high = thickness.ravel()[order][np.minimum(ends, len(order) - 1)]
    return float(low), float(high)


def say_level(metres: float, units: Units) -> str:
    """Limit of a band without its unit: ``5 1/2`` (inches) or ``140`` (millimetres)."""
    if units.is_metric:
        return f"{metres * 1000:.0f}"
    return eighths(metres / METRES["in"])
