"""
Bands of thickness, and of cut and fill: what is coloured alike.

They hang on the job alone, not on what was measured: the design thickness has one colour on every
slab, and the base before and after it was reworked is coloured by one scale.
"""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.grade import Grade
from gradevol.answer.result import Result
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES

#: Bands thinner than that of the design, and thicker.
EACH_WAY = 4
#: Widths of bands whose halves a tape shows; m.
_INCHES = tuple(inches * METRES["in"] for inches in (0.25, 0.5, 1, 2, 4, 6, 12, 24, 60, 120))
_MILLIMETRES = tuple(mm * METRES["mm"] for mm in (2, 4, 10, 20, 50, 100, 200, 500, 1000, 2000))
#: The same of cut and fill, in steps of the marks: hundredths of a foot, eighths of an inch.
_HUNDREDTHS = (1, 2, 5, 10, 20, 50, 100, 200, 500)
_EIGHTHS = (1, 2, 4, 8, 16, 32, 64, 128)
#: Where more of the slab than this lies beyond the outermost bands, they are wider, share: such a
#: slab is far from its design everywhere, and would be of two colours.
_BEYOND = 0.25


@dataclass(frozen=True, slots=True)
class Bands:
    """
    Bands of thickness.

    Attributes
    ----------
    levels : (n + 1,) array of float
        Their limits, thin to thick, m.
    steps : (n,) array of float
        How many bands from that of the design each is: below 0 thinner, above it thicker.
    labels : tuple of str
        The limits as a tape shows them, without a unit.
    is_open_below, is_open_above : bool
        Whether the outermost bands hold thinner or thicker concrete than their limits say.
    """

    levels: FloatArray
    steps: FloatArray
    labels: tuple[str, ...]
    is_open_below: bool
    is_open_above: bool


@dataclass(frozen=True, slots=True)
class Moves:
    """
    Bands of cut and fill: one of what is on grade, and steps beyond it to either side.

    Attributes
    ----------
    levels : (n + 1,) array of float
        Their limits, thickness less design, m; the outermost bands hold all that is beyond.
    steps : (n,) array of float
        How many bands from grade each is: below 0 to cut, above it to fill.
    labels : tuple of str
        The limits between them as marks have them: ``C.02``, ``F.06``.
    """

    levels: FloatArray
    steps: FloatArray
    labels: tuple[str, ...]


def choose_bands(result: Result) -> Bands:
    """Choose bands about the design thickness, as wide as the tolerances of the base."""
    field, design = result.field, result.slab.thickness
    step = _choose_step(result)
    steps = np.arange(-EACH_WAY, EACH_WAY + 1, dtype=float)
    steps = steps[design + (steps + 0.5) * step > 1e-9]  # no concrete is thinner than none
    levels = design + np.append(steps - 0.5, steps[-1] + 0.5) * step
    return Bands(
        levels=levels,
        steps=steps,
        labels=tuple(map(result.units.say_bare_thickness, levels.tolist())),
        is_open_below=bool(field.thickness_at.min() < levels[0] - 1e-6),
        is_open_above=bool(field.thickness_at.max() > levels[-1] + 1e-6),
    )


def _choose_step(result: Result) -> float:
    """Width of a band, m: near the tolerances, such that the least thickness is on the scale."""
    field, slab = result.field, result.slab
    given = [limit for limit in (slab.base_high, slab.base_low) if limit]
    margin = slab.thickness - slab.least_thickness
    wanted = sum(given) / len(given) if given else margin / 2
    steps = _MILLIMETRES if result.units.is_metric else _INCHES
    first = min(steps, key=lambda step: abs(np.log(step / max(wanted, steps[0]))))
    reach = EACH_WAY + 0.5
    middle = field.mid_thickness
    area = field.area
    for step in steps:
        beyond = area[np.abs(middle - slab.thickness) > reach * step].sum() / area.sum()
        if step >= first and reach * step > margin - 1e-9 and beyond <= _BEYOND:
            return step
    return steps[-1]


def choose_moves(grade: Grade) -> Moves:
    """Choose bands of cut and fill about what is on grade."""
    wanted = (grade.high + grade.low) / 2 / grade.step
    rounds = _EIGHTHS if grade.in_inches else _HUNDREDTHS
    count = min(rounds, key=lambda count: abs(np.log(count / max(wanted, 1))))
    off = np.arange(EACH_WAY) * count * grade.step
    cut, fill = grade.high + off, grade.low + off
    steps = np.arange(-EACH_WAY, EACH_WAY + 1, dtype=float)
    last = count * grade.step
    return Moves(
        levels=np.concatenate([[-cut[-1] - last], -cut[::-1], fill, [fill[-1] + last]]),
        steps=steps,
        labels=tuple(
            f"{grade.say_way(is_high)}{grade.say_steps(limit / grade.step)}"
            for is_high, limits in ((True, cut[::-1]), (False, fill))
            for limit in limits.tolist()
        ),
    )
