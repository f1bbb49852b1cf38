"""Does the interval hold the truth as often as it says? Bases measured and compared.

A dense truth is made, shots are taken of it with the errors that the method is told of, and the
volume's interval is compared with the true volume. The bases are invented, or patches of the
elevation models that matplotlib ships, scaled down to a slab.

    python docs/studies/interval.py [cases] [seed] [which]

prints one of the tables of ``docs/studies/interval.md``: `usual`, or `few` shots, or `even` or
`uneven` bases, or `land`.
"""

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any

import numpy as np
from matplotlib.cbook import get_sample_data
from scipy.ndimage import map_coordinates

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

#: A departure of the base from its design as a function of easting and northing, m.
Base = Callable[[FloatArray, FloatArray], FloatArray]

INCH = 0.0254
THICKNESS = 0.15
SHOT, DATUM, TOP = 0.002, 0.0015, 0.0018
#: Cells along each side of a slab in the dense truth.
DENSE = 200
KINDS = ("smooth", "rough", "jagged", "ridges", "ruts", "corners", "planes", "terraces")
#: Elevation models that matplotlib ships as sample data: a fault in hills, about 80 m a cell, and a
#: coast with its sea floor, about 2.5 km a cell. What is taken of them is their shape alone.
LAND = {"hills": ("jacksboro_fault_dem.npz", "elevation"), "coast": ("topobathy.npz", "topo")}
LAYOUTS = ("regular", "random", "clustered")
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


def wave(rng: np.random.Generator, reach: float, smoothness: float) -> Base:
    """Make a random field of unit variance and Matérn covariance: a sum of 160 cosines."""
    heavy = rng.chisquare(2 * smoothness, 160) / (2 * smoothness)
    turns = rng.standard_normal((160, 2)) / np.sqrt(heavy)[:, None] / reach
    phase = rng.uniform(0, 2 * np.pi, 160)

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        at = np.multiply.outer(east, turns[:, 0]) + np.multiply.outer(north, turns[:, 1])
        return np.sqrt(2 / 160) * np.cos(at + phase).sum(axis=-1)

    return level


def invent_base(rng: np.random.Generator, kind: str, size: FloatArray) -> Base:
    """Invent a base on a slab of `size` (2,), m, of no particular height."""
    if kind in LAND:
        return cut_from_land(rng, kind, size)
    if kind in ("smooth", "rough", "jagged"):
        smoothness = {"smooth": 2.5, "rough": 1.5, "jagged": 0.5}[kind]
        return wave(rng, float(np.exp(rng.uniform(np.log(1.5), np.log(12)))), smoothness)
    under = wave(rng, rng.uniform(3, 6), rng.choice([1.5, 2.5]))
    angle, across = rng.uniform(0, np.pi), rng.uniform(0.2, 0.8, 2) * size

    def turned(east: FloatArray, north: FloatArray) -> tuple[FloatArray, FloatArray]:
        right, up = east - across[0], north - across[1]
        cos, sin = np.cos(angle), np.sin(angle)
        return right * cos + up * sin, up * cos - right * sin

    match kind:
        case "ridges":
            ridges = [
                (rng.uniform([0, 0], size), rng.uniform(0, np.pi), rng.uniform(0.6, 2),
                 rng.uniform(2, 8), rng.uniform(0.5, 1.5))
                for _ in range(rng.integers(1, 4))
            ]  # fmt: skip

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                total = 0.35 * under(east, north)
                for middle, way, width, length, height in ridges:
                    right, up = east - middle[0], north - middle[1]
                    along = right * np.cos(way) + up * np.sin(way)
                    off = up * np.cos(way) - right * np.sin(way)
                    total += height * np.exp(-((along / length) ** 2 + (off / width) ** 2) / 2)
                return total

        case "ruts":
            gauge, width = rng.uniform(1.6, 2), rng.uniform(0.25, 0.5)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                off = turned(east, north)[1]
                pair = sum(np.exp(-(((off + s * gauge / 2) / width) ** 2)) for s in (-1, 1))
                return 0.6 * under(east, north) - 1.5 * pair

        case "corners":
            corner, reach = rng.integers(0, 2, 2) * size, rng.uniform(2, 6)
            deep = rng.uniform(1.5, 4)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                away = (east - corner[0]) ** 2 + (north - corner[1]) ** 2
                return 0.5 * under(east, north) - deep * np.exp(-away / (2 * reach**2))

        case "planes":
            fall = rng.standard_normal(2) / size

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                return fall[0] * east + fall[1] * north + 0.05 * under(east, north)

        case "terraces":
            steps = np.sort(rng.uniform(-0.5, 0.5, rng.integers(2, 5))) * size.max()
            heights = rng.standard_normal(len(steps))

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                along = turned(east, north)[0]
                total = 0.2 * under(east, north)
                for step, height in zip(steps, heights, strict=True):
                    total += height / (1 + np.exp(np.clip(-(along - step) / 0.15, -50, 50)))
                return total

        case _:
            raise ValueError(kind)
    return level


def cut_from_land(rng: np.random.Generator, kind: str, size: FloatArray) -> Base:
    """Cut a patch from an elevation model, turned any way, 25 to 60 cells to the longer side."""
    land = read_land(kind)
    cells = rng.uniform(25, 60) / size.max()
    angle = rng.uniform(0, 2 * np.pi)
    reach = cells * np.hypot(*size) / 2 + 1
    middle = rng.uniform(reach, np.array(land.shape) - 1 - reach)

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        right, up = cells * (east - size[0] / 2), cells * (north - size[1] / 2)
        row = middle[0] + right * np.sin(angle) + up * np.cos(angle)
        column = middle[1] + right * np.cos(angle) - up * np.sin(angle)
        found: FloatArray = map_coordinates(land, [row, column], order=1, mode="nearest")
        return found

    return level


@cache
def read_land(kind: str) -> FloatArray:
    """Read an elevation model, (rows, columns), m."""
    name, key = LAND[kind]
    with np.load(get_sample_data(name, asfileobj=False)) as data:
        return np.asarray(data[key], float)


def lay_out(rng: np.random.Generator, layout: str, count: int, size: FloatArray) -> FloatArray:
    """Lay shots out over a slab, (n, 2), m; about `count`."""
    if layout == "regular":
        columns = max(3, round(np.sqrt(count * size[0] / size[1])))
        rows = max(3, round(count / columns))
        east, north = (
            np.linspace(0.03, 0.97, k) * s for k, s in zip((columns, rows), size, strict=True)
        )
        lattice = np.stack(np.meshgrid(east, north), -1).reshape(-1, 2)
        return lattice + rng.uniform(-0.05, 0.05, lattice.shape)
    if layout == "random":
        return rng.uniform([0, 0], size, (count, 2))
    middles = rng.uniform([0, 0], size, (max(3, count // 12), 2))
    spread = rng.normal(0, 0.12 * size.min(), (4 * count, 2))
    around = middles[rng.integers(0, len(middles), 4 * count)] + spread
    around = around[((around > 0) & (around < size)).all(axis=1)]
    return np.vstack([rng.uniform([0, 0], size, (count // 3, 2)), around])[:count]


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
