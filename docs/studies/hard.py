"""Does the interval hold the truth where that is hard? Kinds of base by ways to shoot them.

    python docs/studies/hard.py [cases of each] [seed] [single, shared or told]

prints the tables of ``docs/studies/hard.md``: with single errors or shared ones, or what comes of
errors that are told wrong, of a rod's foot that stands high, and of shots chosen by eye. Bases and
designs are those of ``hard_bases.py``.
"""

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from hard_bases import DESIGNS, INCH, KINDS, SIZE, invent, lay_out, lay_out_by_eye

from gradevol.ground.arrays import FloatArray
from gradevol.measures.base import BaseSurface, MeasuredBase, build_base
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.field import ThicknessField
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Level, Top, build_top
from gradevol.uncertainty.interpolation import fit_between
from gradevol.uncertainty.interval import Interval, estimate_interval, find_bounds

THICKNESS, LEAST = 6 * INCH, 5.25 * INCH
YARD = 0.9144**3
#: One standard deviation of a shot, of a setup, of the rod's foot on the stone, and of the top, m.
SHOT, DATUM, FOOT_DOWN, TOP = 0.002, 0.0009, 0.0012, 0.0018
#: Cells of the dense truth, 3 in to the side.
DENSE = (160, 240)
#: What the rod's foot stands above the mean of the base, m: 0.01 ft.
FOOT_HIGH = 0.003
#: What is told of the errors, by name: how many times what they are, how high the foot stands, and
#: how high it is told to.
TOLD = {
    "as they are": (1.0, 0.0, 0.0),
    "half": (0.5, 0.0, 0.0),
    "double": (2.0, 0.0, 0.0),
    "foot 0.01 ft high, not told": (1.0, FOOT_HIGH, 0.0),
    "foot 0.01 ft high, told": (1.0, FOOT_HIGH, FOOT_HIGH),
}
#: Designs that those are tried on; the last is of that table alone.
TOLD_DESIGNS = ("grid 8 ft", "random", "by eye")
EDGE = SIZE * np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])


@dataclass
class Shot:
    """
    A slab with its survey: all that `fit_between` is given, and the truth.

    The true volume, m³, and the true thickness at the middles of cells, row by row, m.
    """

    kind: str
    design: str
    truth: float
    thick: FloatArray
    level: Callable[[FloatArray, FloatArray], FloatArray]
    field: ThicknessField
    base: BaseSurface
    survey: Survey
    top: Top
    slab: Slab
    concrete: Concrete
    top_sigma: float


@dataclass
class Case:
    """What the interval said of a slab; true volume, stated volume, m³; seconds of the fit."""

    kind: str
    design: str
    truth: float
    interval: Interval
    seconds: float

    def holds(self, level: float = 0.9) -> bool:
        """Whether the interval of a level holds the truth."""
        low, high = find_bounds(self.interval.volume, self.interval.stated, level)
        return low <= self.truth <= high

    @property
    def half(self) -> float:
        """Half the interval's width, yd³."""
        return (self.interval.high - self.interval.low) / 2 / YARD

    @property
    def off(self) -> float:
        """The stated volume less the true one, yd³."""
        return (self.interval.stated - self.truth) / YARD


def spread_cells() -> tuple[FloatArray, FloatArray]:
    """Middles of the cells of the dense truth: eastings and northings, m."""
    cells = [(np.arange(count) + 0.5) / count for count in DENSE]
    east, north = np.meshgrid(*(c * s for c, s in zip(cells, SIZE, strict=True)))
    return east.ravel(), north.ravel()


def make_slab(
    rng: np.random.Generator, kind: str, design: str, *, shared: bool, told: str = "as they are"
) -> Shot:
    """Invent a slab, shoot it, and tell the method of the errors."""
    base = invent(rng, kind)
    east, north = spread_cells()
    shift = rng.uniform(-0.5, 0.5) * INCH
    thick = THICKNESS - shift - base(east, north)
    plan = lay_out_by_eye(rng, base) if design == "by eye" else lay_out(rng, design)
    level = shift + base(*plan.T) + SHOT * rng.standard_normal(len(plan))
    datum, foot, top_sigma = (DATUM, FOOT_DOWN, TOP) if shared else (0.0, 0.0, 0.0)
    setups = np.where(np.arange(len(plan)) < 0.6 * len(plan), "1", "2")
    for name in ("1", "2"):
        level[setups == name] += datum * rng.standard_normal()
    times, high, high_told = TOLD[told]
    level += foot * rng.standard_normal() + high - high_told
    finish = top_sigma * rng.standard_normal()
    slab = Slab(EDGE, (), THICKNESS, LEAST)
    survey = Survey(
        np.column_stack([plan, level]), np.zeros(3), setups=tuple(setups.tolist()),
        ids=tuple(str(number) for number in range(len(plan))), sigma=times * SHOT,
        datum_sigma=times * datum, foot_sigma=times * foot, foot_high=high_told,
    )  # fmt: skip
    top = build_top(Level(THICKNESS), slab)
    surface = build_base(MeasuredBase(survey), slab, top)
    field = build_field(surface.surface, top.surface, slab)
    concrete = measure_concrete(field, slab)
    truth = slab.area * float(np.maximum(thick + finish, 0).mean())
    return Shot(
        kind, design, truth, thick + finish, lambda e, n: shift + base(e, n), field, surface,
        survey, top, slab, concrete, times * top_sigma,
    )  # fmt: skip


def ask(made: Shot) -> Case:
    """Ask for the interval of a slab."""
    start = time.process_time()
    between = fit_between(
        made.field, made.base, made.survey, made.top, made.slab, concrete=made.concrete
    )
    seconds = time.process_time() - start
    interval = estimate_interval(
        made.field, made.base, made.survey, between, stated=made.concrete.volume,
        top_sigma=made.top_sigma,
    )  # fmt: skip
    return Case(made.kind, made.design, made.truth, interval, seconds)


def make_slabs(count: int, seed: int, *, shared: bool = False) -> Iterator[Shot]:
    """Invent so many slabs of every kind, shot by every design."""
    for kind in KINDS:
        for design in DESIGNS:
            for number in range(count):
                at = [seed, KINDS.index(kind), DESIGNS.index(design), number]
                yield make_slab(np.random.default_rng(at), kind, design, shared=shared)


def tell_told(count: int, seed: int) -> int:
    """Print what comes of errors told wrong, of a high foot and of shots by eye; count cases."""
    print("| errors told | " + " | ".join(TOLD_DESIGNS) + " | held | half width | mean off |")
    print("| --- " * (len(TOLD_DESIGNS) + 4) + "|")
    for told in TOLD:
        made = [
            ask(make_slab(np.random.default_rng([seed, *at]), kind, design, shared=True, told=told))
            for number in range(count)
            for at, kind, design in (
                ([KINDS.index(kind), place, number], kind, design)
                for kind in KINDS
                for place, design in enumerate(TOLD_DESIGNS)
            )
        ]
        by = [[case for case in made if case.design == design] for design in TOLD_DESIGNS]
        cells = " | ".join(f"{share(each):.0f}" for each in by)
        off = np.mean([case.off for case in made])
        print(
            f"| {told} | {cells} | {share(made):.1f} | {width(made):.2f} | {off:+.2f} |", flush=True
        )
    return len(TOLD) * len(made)


def tell(cases: list[Case]) -> None:
    """Print shares held of every kind by every design, and of all."""
    print("| base | " + " | ".join(DESIGNS) + " | held | half width | rms off |")
    print("| --- " * (len(DESIGNS) + 4) + "|")
    for kind in (*KINDS, "all"):
        some = [case for case in cases if kind in (case.kind, "all")]
        by = [[case for case in some if case.design == design] for design in DESIGNS]
        cells = " | ".join(f"{share(each):.0f}" for each in by)
        print(f"| {kind} | {cells} | {share(some):.1f} | {width(some):.2f} | {error(some):.2f} |")
    by = [[case for case in cases if case.design == design] for design in DESIGNS]
    print("| half width | " + " | ".join(f"{width(each):.2f}" for each in by) + " | | | |")
    print("| rms off | " + " | ".join(f"{error(each):.2f}" for each in by) + " | | | |")


def share(cases: list[Case], level: float = 0.9) -> float:
    """Share held, per cent."""
    return 100 * float(np.mean([case.holds(level) for case in cases]))


def width(cases: list[Case]) -> float:
    """Mean of half the interval's width, yd³."""
    return float(np.mean([case.half for case in cases]))


def error(cases: list[Case]) -> float:
    """Root of the mean squared error of the stated volume, yd³."""
    found: FloatArray = np.sqrt(np.mean([case.off**2 for case in cases]))
    return float(found)


if __name__ == "__main__":
    count, seed, errors = (*sys.argv[1:], *("6", "7", "single")[len(sys.argv) - 1 :])
    start = time.perf_counter()
    if errors == "told":
        print(f"\n{tell_told(int(count), int(seed))} cases in {time.perf_counter() - start:.0f} s")
        sys.exit()
    made = [ask(slab) for slab in make_slabs(int(count), int(seed), shared=errors == "shared")]
    tell(made)
    levels = ", ".join(f"{share(made, level):.0f} at {100 * level:.0f} %" for level in (0.5, 0.8))
    print(f"\n{len(made)} cases in {time.perf_counter() - start:.0f} s; held also {levels}")
