"""On grade: what G means, and how much a mark says beside it; one meaning for every output."""

import math
from dataclasses import dataclass, replace

import numpy as np

from gradevol.answer.result import Result
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.units import METRES, Units, eighths

#: Rounding is not off grade, m.
_ROUNDING = 1e-6
#: A half that falls short of one by no more is a half, m: what the page holds is rounded so far.
_HALF = 3e-6


@dataclass(frozen=True, slots=True)
class Grade:
    """
    How far from the design the base is on grade, and in which steps a mark says more.

    Attributes
    ----------
    high, low : float
        Above and below the design base, m: the job's tolerances, or the shots' own accuracy.
    is_high_given, is_low_given : bool
        Whether the job states the tolerance.
    in_inches : bool
        Whether marks are in inches and eighths, in jobs in feet.
    """

    high: float
    low: float
    is_high_given: bool
    is_low_given: bool
    units: Units
    in_inches: bool = False

    @property
    def step(self) -> float:
        """Of marks, m: a hundredth of a foot, an eighth of an inch or a millimetre."""
        if self.units.is_metric:
            return METRES["mm"]
        return METRES["in"] / 8 if self.in_inches else METRES[self.units.length] / 100

    @property
    def unit(self) -> str:
        """Unit of marks."""
        return "mm" if self.units.is_metric else "in" if self.in_inches else "ft"

    def holds(self, departure: float) -> bool:
        """Whether the base is on grade where it departs so much from the design, m, high above."""
        return bool(self.hold(np.array(departure)))

    def hold(self, departure: FloatArray) -> BoolArray:
        """Whether the base is on grade at each of many places, (...); as `holds`."""
        held: BoolArray = departure >= -self.low - _ROUNDING
        return held & (departure <= self.high + _ROUNDING)

    def count_steps(self, departure: float, step: float) -> int:
        """
        Count by how many steps, m, to move the base; what every output says of it.

        What is beyond the tolerance is never told as within it: a bit more than .02 is .03 where G
        reaches to .02.
        """
        steps = _round(abs(departure), step)
        if self.holds(departure):
            return steps
        return max(steps, _round(self.high if departure > 0 else self.low, step) + 1)

    def say_move(self, departure: float) -> str:
        """How much to move the base, as marks have it: ``.10``, ``1 1/4`` or ``25``."""
        return self.say_steps(self.count_steps(departure, self.step))

    def say_length(self, departure: float) -> str:
        """The same as lists have it: ``1 1/4 in``, ``25 mm``."""
        step = self.units.fine_step
        return self.units.say_thickness(self.count_steps(departure, step) * step)

    def say_booked(self, departure: float) -> str:
        """The same as it is booked, without a unit: ``0.10``, ``0.025``."""
        if self.units.is_metric:
            return f"{self.count_steps(departure, METRES['mm']) / 1000:.3f}"
        return f"{self.count_steps(departure, METRES[self.units.length] / 100) / 100:.2f}"

    def say_steps(self, steps: float) -> str:
        """So many steps as marks have them: ``.10``, ``1 1/4`` or ``25``."""
        if self.units.is_metric:
            return f"{steps:.0f}"
        if self.in_inches:
            return eighths(steps / 8)
        return f"{steps / 100:.2f}".removeprefix("0")

    def say_mark(self, departure: float, *, is_suspect: bool = False) -> str:
        """
        Say a mark: ``C.10`` (cut), ``F.08`` (fill), ``G`` (on grade); with ``?`` at a suspect.

        Parameters
        ----------
        departure : float
            Base less design base, m.
        is_suspect : bool
        """
        doubt = "?" if is_suspect else ""
        if self.holds(departure):
            return f"G{doubt}"
        return f"{self.say_way(departure > 0)}{self.say_move(departure)}{doubt}"

    def say_way(self, is_high: bool) -> str:
        """Letter before a move: C or F; inches stand apart from it."""
        return f"{'C' if is_high else 'F'}{' ' if self.in_inches else ''}"

    def say_sense(self) -> tuple[str, str]:
        """Say what the marks mean: in a sentence for each letter, then by an example."""
        high, low = (self.say_steps(limit / self.step) for limit in (self.high, self.low))
        within = f"no more than {high} {self.unit} high or low"
        if high != low:
            within = f"no more than {high} {self.unit} high, {low} {self.unit} low"
        examples = {
            "mm": "C25 = 25 mm",
            "in": "C 1/2 = 1/2 in (inches and eighths)",
            "ft": "C.10 = 0.10 ft (tenths and hundredths)",
        }
        return (
            "C = base high, take down. F = base low, fill or pour. G = on grade.",
            f"{examples[self.unit]}. G: {within}{self._say_basis()}.",
        )

    def _say_basis(self) -> str:
        """Say that the job gives no tolerance, or only one; empty where it gives both."""
        if self.is_high_given and self.is_low_given:
            return ""
        which = "tolerance"
        if self.is_high_given or self.is_low_given:
            which = f"{'low' if self.is_high_given else 'high'} tolerance"
        return f" (no {which} given: the shots' own accuracy)"


def find_grade(result: Result) -> Grade:
    """Find what is on grade: the job's tolerances; where it states none, what a shot is sure to."""
    high, low = result.slab.base_high, result.slab.base_low
    written = result.units.notation
    grade = Grade(
        high=high or 0.0,
        low=low or 0.0,
        is_high_given=high is not None,
        is_low_given=low is not None,
        units=result.units,
        in_inches=result.marks == "inches" and not result.units.is_metric,
    )
    usual = max(1, math.ceil(result.survey.spread / grade.step - 1e-6)) * grade.step
    return replace(
        grade,
        high=usual if high is None else high,
        low=usual if low is None else low,
        in_inches=written == "inches" if written else grade.in_inches,
    )


def _round(size: float, step: float) -> int:
    return math.floor((size + _HALF) / step + 0.5)
