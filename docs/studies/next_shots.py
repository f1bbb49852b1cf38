"""Do next shots gain what is said of them? They are taken on invented bases and compared.

Of each base the shots that are asked for are really taken, and beside them as many at random; what
they leave is compared with what was said.

    python docs/studies/next_shots.py [cases]

prints the table of ``docs/explanation/next-shots.md``.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.thickness import build_field
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top
from gradevol.uncertainty.interpolation import fit_between
from gradevol.uncertainty.interval import estimate_interval
from gradevol.uncertainty.next_shots import NextShots, plan_next_shots

SLAB = Slab(np.array([[0, 0], [18, 0], [18, 12], [0, 12.0]]), (), 0.15, 0.131)
TOP = build_top(Level(0.15), SLAB)
SIGMA = 0.002
#: Shots that are taken next.
NEXT = 5
#: What is asked for, and the figure that it is to lessen.
FIGURES = {"volume": "half_width", "thin": "open_area"}


@dataclass
class Case:
    """What is said of a base, and what came of shots where they are asked for and at random."""

    now: float
    said: float
    came: float
    random: float


def invent_base(rng: np.random.Generator) -> Callable[[FloatArray], FloatArray]:
    """Invent a realisation of a process of known reach, as a sum of waves."""
    waves, reach = 300, rng.choice([2.0, 4.0, 8.0])
    spread = np.sqrt(3 / rng.chisquare(3, waves))  # of a Matérn covariance of smoothness 3/2
    pull = rng.standard_normal((waves, 2)) / reach * spread[:, None]
    phase = rng.uniform(0, 2 * np.pi, waves)
    return lambda plan: 0.012 * np.sqrt(2 / waves) * np.cos(plan @ pull.T + phase).sum(axis=1)


def look(plan: FloatArray, level: FloatArray) -> NextShots:
    """Plan the next shots of a survey, places (n, 2) and levels (n,), m."""
    survey = Survey(
        np.column_stack([plan, level]),
        np.zeros(3),
        ids=tuple(str(number) for number in range(len(plan))),
        sigma=SIGMA,
    )
    base = build_base(MeasuredBase(survey), SLAB, TOP)
    field = build_field(base.surface, TOP.surface, SLAB)
    concrete = measure_concrete(field, SLAB)
    between = fit_between(field, base, survey, TOP, SLAB, concrete=concrete)
    interval = estimate_interval(
        field, base, survey, between, stated=concrete.volume, top_sigma=0.0
    )
    planned = plan_next_shots(between, survey, SLAB, interval, step=0.1)
    assert planned is not None
    return planned


def run_case(seed: int, shots: int) -> dict[str, Case]:
    """Take the shots that are asked for, of each kind of which there are enough."""
    rng = np.random.default_rng(seed)
    base = invent_base(rng)
    # every other one has no shot in its last quarter
    plan = rng.uniform([0, 0], [18, 12], (shots, 2)) * [0.75 if seed % 2 else 1, 1]
    level = base(plan) + SIGMA * rng.standard_normal(shots)

    def shoot(places: FloatArray) -> NextShots:
        read = base(places) + SIGMA * rng.standard_normal(len(places))
        return look(np.vstack([plan, places]), np.append(level, read))

    others = rng.uniform([0, 0], [18, 12], (NEXT, 2))
    now, at_random = look(plan, level), shoot(others)
    found = {}
    for what, figure in FIGURES.items():
        asked, before = getattr(now, what), getattr(now, figure)
        if len(asked) == NEXT:
            came = shoot(np.array([shot.at for shot in asked]))
            found[what] = Case(
                now=before,
                said=before - sum(shot.gain for shot in asked),
                came=getattr(came, figure),
                random=getattr(at_random, figure),
            )
    return found


def run_cases(count: int, shots: int) -> dict[str, list[Case]]:
    """Run cases; those with too few places to ask for are left out."""
    found: dict[str, list[Case]] = {what: [] for what in FIGURES}
    for seed in range(count):
        for what, case in run_case(seed, shots).items():
            found[what].append(case)
    return found


def ratio(cases: list[Case], of: str, to: str) -> float:
    """Compare the means of two figures of all cases."""
    one, other = (np.mean([getattr(case, name) for case in cases]) for name in (of, to))
    return float(one / other)


if __name__ == "__main__":
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    print("| shots before | volume: n | said | came | random | thin: n | said | came | random |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for shots in (20, 30, 60):
        cells = [str(shots)]
        for some in run_cases(number, shots).values():
            shares = [f"{ratio(some, of, 'now'):.2f}" for of in ("said", "came", "random")]
            cells += [str(len(some)), *shares]
        print(f"| {' | '.join(cells)} |", flush=True)
