"""The points of a file, in its own numbers, and which of them are far from the rest.

The limits say when a thing is worth a sentence. Common practice, no source.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.files.globe import SITE, are_degrees
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.units import METRES
from gradevol.ground.words import show

#: A value is far from the rest past so many robust standard deviations.
FAR = 10.0
#: Of more than this share one can't say that it is far from "the rest".
FEW = 0.1
#: No elevation nearer to the others than this is called far, m; and of a file whose unit is not
#: known, its own numbers.
LEAST_FAR, LEAST_FAR_BARE = 1.0, 3.0
#: Shots this near in plan are at one place, m.
SAME_PLACE = 0.001
#: Decimals of degrees that are worth a metre on the ground.
FINE = 5


@dataclass(frozen=True, slots=True)
class Points:
    """
    The points of a file, in its own numbers.

    Attributes
    ----------
    places : (n, 3) array of float
        Easting, northing, elevation or rod reading.
    lines : tuple of int
        The line of each.
    ids, codes, setups : tuple of str
        As written; empty where the file has none.
    readings : tuple of str
        Each elevation or rod reading as written.
    level : str
        What the third number is: ``elevation`` or ``rod reading``.
    digits : (int, int, int)
        Decimals written.
    unit : str or None
        The unit, where it is known.
    """

    places: FloatArray
    lines: tuple[int, ...]
    ids: Sequence[str]
    codes: Sequence[str]
    setups: Sequence[str]
    readings: Sequence[str]
    level: str
    digits: tuple[int, int, int]
    unit: str | None

    def name(self, index: int) -> str:
        """What to call a point: its id, or its line."""
        held = self.ids[index] if self.ids else ""
        return show(held) if held else f"line {self.lines[index]}"

    def own(self, metres: float, bare: float) -> float:
        """So many metres in the file's unit; where that is not known, so many of its numbers."""
        return metres / METRES[self.unit] if self.unit else bare

    def say(self, value: float) -> str:
        """An elevation or a difference as the file writes them, with its unit."""
        return f"{value:z.{self.digits[2]}f}" + (f" {self.unit}" if self.unit else "")

    def point_out(self, code: str, text: str, rows: Sequence[int] | IntArray) -> Finding:
        """Finding about some of the points."""
        rows = [int(row) for row in rows]
        names = tuple(self.name(row) for row in rows)
        return Finding(code, text, tuple(self.lines[row] for row in rows), names)

    def part_setups(self) -> dict[str, list[int]]:
        """Rows by setup: readings of one alone can be compared with one another."""
        rows: dict[str, list[int]] = {}
        for row, name in enumerate(self.setups):
            rows.setdefault(name, []).append(row)
        return rows

    def take(self, rows: Sequence[int]) -> "Points":
        """Some of the points."""

        def pick(held: Sequence[str]) -> tuple[str, ...]:
            return tuple(held[row] for row in rows) if held else ()

        return replace(
            self,
            places=self.places[list(rows)],
            lines=tuple(self.lines[row] for row in rows),
            ids=pick(self.ids),
            codes=pick(self.codes),
            setups=pick(self.setups),
            readings=pick(self.readings),
        )

    def name_with_code(self, index: int) -> str:
        """A point's id or line, and its description."""
        code = show(self.codes[index]) if self.codes else ""
        return f"{self.name(index)}{f' ({code})' if code else ''}"


def find_far(values: FloatArray, least: float) -> BoolArray:
    """Find the few values (n,) farther than `least` from the median, and far from the rest: (n,).

    None where they would be more than a tenth: then there are two groups.
    """
    off = np.abs(values - np.median(values))
    spread = robust_spread(off)
    is_far = off > max(FAR * spread, least)
    return is_far if is_far.mean() <= FEW else np.zeros(len(values), bool)


def is_far_in_plan(points: Points) -> BoolArray:
    """Whether each shot is far from the rest in plan: more than ten times as far as most are."""
    plan = points.places[:, :2]
    away = np.hypot(*(plan - np.median(plan, axis=0)).T)
    is_far: BoolArray = away > max(FAR * float(np.median(away)), points.own(SAME_PLACE, 0.001))
    return is_far if is_far.mean() <= FEW else np.zeros(len(plan), bool)


def looks_like_degrees(points: Points) -> bool:
    """Whether places are fine, tiny and within the globe, as longitude and latitude of a site."""
    plan = points.places[:, :2]
    is_fine = min(points.digits[:2]) >= FINE
    return is_fine and are_degrees(plan.min(axis=0), plan.max(axis=0), widest=SITE)
