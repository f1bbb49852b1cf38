"""Does the interval hold the truth as often as it says? Bases measured and compared.

A dense truth is made, shots are taken of it with the errors that the method is told of, and the
volume's interval is compared with the true volume. The bases, those of ``interval_bases.py``, are
invented, or patches of the elevation models that matplotlib ships, scaled down to a slab.

    python docs/studies/interval.py [cases] [seed] [which]

prints one of the tables of ``docs/studies/interval.md``: `usual`, or `few` shots, or `even` or
`uneven` bases, or `land`.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from interval_bases import INCH, KINDS, LAND, LAYOUTS, invent_base, lay_out

from gradevol.ground.arrays import FloatArray
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import ThicknessField
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top
from gradevol.uncertainty.interpolation import Between, fit_between
from gradevol.uncertainty.interval import Interval, estimate_interval, find_bounds

THICKNESS = 0.15
SHOT, DATUM, TOP = 0.002, 0.0015, 0.0018
#: Cells along each side of a slab in the dense truth.
DENSE = 200
COUNTS = (25, 40, 60, 100, 200, 400)
#: Standard deviation of a base's departures, in: as published (`uncertainty.process`).
SPREAD = (0.47, 0.90)
#: What each table changes.
TABLES: dict[str, dict[str, Any]] = {
    "usual": {},
    "few": {"counts": (4, 5, 6, 7, 9, 12, 16)},
    "even": {"spread": (0.1, 0.2)},
    "uneven": {"spread": (1.5, 3.0)},
    "land": {"kinds": tuple(LAND)},
}
LEVELS = (0.5, 0.8, 0.9)


@dataclass
class Case:
    """One invented slab: what it is, its true volume, and what the method says, m³ and m²."""

    kind: str
    layout: str
    errors: str
    count: int
    area: float
    truth: float
    interval: Interval = field(repr=False)


@dataclass
class Measured:
    """One slab and its survey, as the method sees them."""

    slab: Slab
    survey: Survey
    field: ThicknessField
    between: Between
    interval: Interval


def look(survey: Survey, slab: Slab, *, top_sigma: float) -> Measured:
    """Put a survey under a slab whose top is level, and ask for its interval."""
    top = build_top(Level(THICKNESS), slab)
    surface = build_base(MeasuredBase(survey), slab, top)
    thickness = build_field(surface.surface, top.surface, slab)
    concrete = measure_concrete(thickness, slab)
    between = fit_between(thickness, surface, survey, top, slab, concrete=concrete)
    interval = estimate_interval(
        thickness, surface, survey, between, stated=concrete.volume, top_sigma=top_sigma
    )
    return Measured(slab, survey, thickness, between, interval)


def measure_case(
    rng: np.random.Generator,
    kind: str,
    layout: str,
    count: int,
    errors: str,
    *,
    spread: tuple[float, float] = SPREAD,
) -> tuple[Measured, FloatArray]:
    """Invent a slab and measure it; also its true thickness at the middles of equal cells, m."""
    size = np.array([rng.uniform(8, 16), rng.uniform(12, 26)])
    notch = rng.random() < 0.25 and count >= 20  # an L: its north-east quarter is missing
    base = invent_base(rng, kind, size)
    cells = (np.arange(DENSE) + 0.5) / DENSE
    east, north = (grid.ravel() for grid in np.meshgrid(*(cells * s for s in size)))
    inside = ~(notch & (east > size[0] / 2) & (north > size[1] / 2))
    dense = base(east[inside], north[inside])
    scale = rng.uniform(*spread) * INCH / dense.std()
    shift = rng.uniform(-0.5, 0.5) * INCH - scale * dense.mean()

    plan = lay_out(rng, layout, count, size)
    plan = plan[~(notch & (plan[:, 0] > size[0] / 2) & (plan[:, 1] > size[1] / 2))]
    level = shift + scale * base(*plan.T) + SHOT * rng.standard_normal(len(plan))
    datum, top = (DATUM, TOP) if errors == "shared" else (0.0, 0.0)
    setups = np.where(np.arange(len(plan)) < 0.6 * len(plan), "1", "2")
    for name in ("1", "2"):
        level[setups == name] += datum * rng.standard_normal()
    finish = top * rng.standard_normal()

    edge = size * np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])
    if notch:
        edge = size * np.array([[0, 0], [1, 0], [1, 0.5], [0.5, 0.5], [0.5, 1], [0, 1]])
    slab = Slab(edge, (), THICKNESS, THICKNESS - 0.019)
    survey = Survey(
        np.column_stack([plan, level]), np.zeros(3), setups=tuple(setups),
        ids=tuple(str(number) for number in range(len(plan))), sigma=SHOT, datum_sigma=datum,
    )  # fmt: skip
    thick = THICKNESS + finish - shift - scale * dense
    return look(survey, slab, top_sigma=top), thick


def run_case(
    rng: np.random.Generator,
    kind: str,
    layout: str,
    count: int,
    errors: str,
    *,
    spread: tuple[float, float] = SPREAD,
) -> Case:
    """Compare the true volume of an invented slab with the interval."""
    made, thick = measure_case(rng, kind, layout, count, errors, spread=spread)
    area, shots = made.slab.area, len(made.survey.points)
    return Case(kind, layout, errors, shots, area, area * float(thick.mean()), made.interval)


def run_cases(
    count: int,
    seed: int,
    *,
    counts: tuple[int, ...] = COUNTS,
    spread: tuple[float, float] = SPREAD,
    kinds: tuple[str, ...] = KINDS,
) -> Iterator[Case]:
    """Run cases, each kind and layout in turn."""
    for number in range(count):
        rng = np.random.default_rng([seed, number])
        kind = kinds[number % len(kinds)]
        layout = LAYOUTS[number // len(kinds) % len(LAYOUTS)]
        errors = ("single", "shared")[number // (len(kinds) * len(LAYOUTS)) % 2]
        yield run_case(rng, kind, layout, int(rng.choice(counts)), errors, spread=spread)


def holds(case: Case, level: float) -> bool:
    """Whether the interval of a level holds the truth."""
    low, high = find_bounds(case.interval.volume, case.interval.stated, level)
    return low <= case.truth <= high


def width(case: Case, level: float) -> float:
    """Half the interval's width as a layer over the slab, mm."""
    low, high = find_bounds(case.interval.volume, case.interval.stated, level)
    return 1000 * (high - low) / 2 / case.area


def groups(cases: list[Case]) -> Iterator[tuple[str, list[Case]]]:
    """All cases, and each class of them."""
    yield "all", cases
    for name in ("kind", "layout", "errors"):
        for value in dict.fromkeys(getattr(case, name) for case in cases):
            yield value, [case for case in cases if getattr(case, name) == value]
    for low, high in ((0, 8), (8, 12), (12, 30), (30, 80), (80, 150), (150, 1000)):
        some = [case for case in cases if low <= case.count < high]
        if some:
            yield f"{low} to {high} shots", some


def tell(cases: list[Case]) -> None:
    """Print the table: shares held, and widths against the best constant one."""
    print("| cases | n | 50 % | 80 % | 90 % | width at 90 %, mm | best constant, mm | ratio |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for name, some in groups(cases):
        held = [100 * np.mean([holds(case, level) for case in some]) for level in LEVELS]
        off = [1000 * abs(c.truth - c.interval.stated) / c.area for c in some]
        mean, best = np.mean([width(c, 0.9) for c in some]), np.quantile(off, 0.9)
        print(
            f"| {name} | {len(some)} | {held[0]:.0f} | {held[1]:.0f} | {held[2]:.0f} "
            f"| {mean:.2f} | {best:.2f} | {mean / best:.2f} |"
        )


if __name__ == "__main__":
    number, seed, which = (*sys.argv[1:], *("1200", "7", "usual")[len(sys.argv) - 1 :])
    start = time.perf_counter()
    made = list(run_cases(int(number), int(seed), **TABLES[which]))
    tell(made)
    print(f"\n{len(made)} cases in {time.perf_counter() - start:.0f} s")
