"""Do next shots gain what is said of them? They are taken on invented bases and compared.

Of each base the shots that are asked for are really taken, and beside them as many at random; what
they leave is compared with what was said.

    python docs/studies/next_shots.py [cases]
    python docs/studies/next_shots.py [cases of each] truth

print the tables of ``docs/explanation/next-shots.md``: the second compares, on the bases of
``hard.py``, how much of the slab is told wrong as thin or not after five more shots for thin
concrete, five in the widest gaps, and five at random.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass

import hard
import numpy as np

from gradevol.geometry.even_places import spread_places
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import FloatArray
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
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
#: How often as many are taken at random: one draw may fall well or badly by half of what is gained.
DRAWS = 4
#: What is asked for, and the figure that it is to lessen.
FIGURES = {"volume": "half_width", "thin": "open_area"}


@dataclass
class Case:
    """What is said of a base, what came of the shots asked for, and of shots at random."""

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

    now = look(plan, level)
    at_random = [shoot(rng.uniform([0, 0], [18, 12], (NEXT, 2))) for _ in range(DRAWS)]
    found = {}
    for what, figure in FIGURES.items():
        asked, before = getattr(now, what), getattr(now, figure)
        if len(asked) == NEXT:
            came = shoot(np.array([shot.at for shot in asked]))
            found[what] = Case(
                now=before,
                said=before - sum(shot.gain for shot in asked),
                came=getattr(came, figure),
                random=float(np.mean([getattr(planned, figure) for planned in at_random])),
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


def measure_wrong(made: hard.Shot, places: FloatArray, rng: np.random.Generator) -> float:
    """Area told wrong as thin or not once places (k, 2) are shot too, m²."""
    level = made.level(*places.T) + hard.SHOT * rng.standard_normal(len(places))
    points = np.vstack([made.survey.points, np.column_stack([places, level])])
    survey = Survey(points, made.survey.origin, sigma=hard.SHOT)
    surface = build_base(MeasuredBase(survey), made.slab, made.top).surface
    cells = np.column_stack(hard.spread_cells())
    told = hard.THICKNESS - nearest_level(surface.corners, cells)
    return made.slab.area * float(np.mean((told < hard.LEAST) != (made.thick < hard.LEAST)))


def find_gaps(shots: FloatArray, slab: Slab) -> FloatArray:
    """Find the places farthest from all shots, one after the other, (NEXT, 2), m."""
    places = spread_places(slab.edge, slab.outline, count=1000, step=0.1524)
    for _ in range(NEXT):
        away = np.hypot(*(places[:, None] - shots).transpose(2, 0, 1)).min(axis=1)
        shots = np.vstack([shots, places[np.argmax(away)]])
    return shots[-NEXT:]


def compare_with_truth(count: int, seed: int) -> list[tuple[str, list[float]]]:
    """Area told wrong of each slab, m²: now, after shots that are asked for, in gaps, at random."""
    found = []
    for made in hard.make_slabs(count, seed):
        if made.design == "200 shots":
            continue
        between = fit_between(
            made.field, made.base, made.survey, made.top, made.slab, concrete=made.concrete
        )
        interval = estimate_interval(
            made.field, made.base, made.survey, between, stated=made.concrete.volume,
            top_sigma=0.0,
        )  # fmt: skip
        planned = plan_next_shots(between, made.survey, made.slab, interval, step=0.1524)
        if planned is None or len(planned.thin) < NEXT:
            continue
        rng = np.random.default_rng([seed, len(found)])
        wrong = [
            measure_wrong(made, places, rng)
            for places in (
                np.zeros((0, 2)),
                np.array([shot.at for shot in planned.thin]),
                find_gaps(made.survey.points[:, :2], made.slab),
                rng.uniform([0, 0], hard.SIZE, (NEXT, 2)),
            )
        ]
        found.append((made.kind, wrong))
    return found


def tell_truth(count: int, seed: int) -> None:
    """Print the area told wrong, ft² a slab, on the mean of each kind of base."""
    found = compare_with_truth(count, seed)
    print("| base | n | now | asked for | widest gaps | at random |")
    print("| --- | --- | --- | --- | --- | --- |")
    for kind in (*dict.fromkeys(kind for kind, _ in found), "all"):
        some = np.array([wrong for name, wrong in found if kind in (name, "all")]) / 0.3048**2
        means = " | ".join(f"{mean:.0f}" for mean in some.mean(axis=0))
        print(f"| {kind} | {len(some)} | {means} |")
    off = np.array([wrong[1] - wrong[2] for _, wrong in found]) / 0.3048**2
    print(
        f"\nasked for less gaps: {off.mean():.1f}, give or take {off.std() / len(off) ** 0.5:.1f}"
    )


if __name__ == "__main__":
    if "truth" in sys.argv:
        tell_truth(int(sys.argv[1]), 11)
        sys.exit()
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 60
    print("| shots before | volume: n | said | came | random | thin: n | said | came | random |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    for shots in (20, 30, 60):
        cells = [str(shots)]
        for some in run_cases(number, shots).values():
            shares = [f"{ratio(some, of, 'now'):.2f}" for of in ("said", "came", "random")]
            cells += [str(len(some)), *shares]
        print(f"| {' | '.join(cells)} |", flush=True)
