"""Are shots after a bump of the level told, and clean surveys left alone? Families of floors.

    python docs/studies/runs.py [floors of each] [seed]

prints the table of ``docs/studies/runs.md``.
"""

import sys
import time
from collections.abc import Iterator

import numpy as np
from family_bases import FAMILIES, invent_floor

from gradevol.doubts.runs_of_shots import remark_on_runs
from gradevol.ground.arrays import FloatArray
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey

FOOT = 0.3048
#: One standard deviation of a shot, and what it is booked to, ft.
SHOT, BOOKED = 0.0064, 0.01
#: What is done to a survey: all shots after one of its middle half off by so much, ft, or so many.
SLIPS = {
    "clean": (0.0, 0),
    "bump 0.05 ft": (0.05, 0),
    "bump 0.1 ft": (0.1, 0),
    "bump 0.2 ft": (0.2, 0),
    "6 shots 0.2 ft": (0.2, 6),
}


def order_to_and_fro(plan: FloatArray) -> FloatArray:
    """Shots (n, 2) as a crew walks: along one row and back along the next, ft."""
    rows = np.round(plan[:, 1] / 2)
    lines = [plan[rows == row] for row in np.unique(rows)]
    lines = [line[np.argsort(line[:, 0])] for line in lines]
    return np.vstack([line[:: 1 - 2 * (at % 2)] for at, line in enumerate(lines)])


def run_floors(count: int, seed: int) -> Iterator[tuple[str, dict[str, bool]]]:
    """Invent floors of each family, and say under which slips a run of shots is told."""
    for number in range(count * len(FAMILIES)):
        rng = np.random.default_rng([seed, number])
        floor = invent_floor(rng, FAMILIES[number % len(FAMILIES)])
        plan = order_to_and_fro(floor.plan)
        level = floor.base(*plan.T) + SHOT * rng.standard_normal(len(plan))
        slab = Slab(floor.corners * FOOT, (), 0.15, 0.13)
        start, way = int(rng.integers(len(plan) // 4, 3 * len(plan) // 4)), rng.choice([-1, 1])
        told = {}
        for slip, (off, shots) in SLIPS.items():
            read = level.copy()
            read[start : start + (shots or len(plan))] += way * off
            points = np.column_stack([plan, np.round(read / BOOKED) * BOOKED]) * FOOT
            survey = Survey(points, np.zeros(3), ids=tuple(map(str, range(len(plan)))), sigma=0.002)
            told[slip] = bool(remark_on_runs(survey, slab, points[:, 2].copy()))
        yield floor.family, told


def tell(floors: list[tuple[str, dict[str, bool]]]) -> None:
    """Print the table: how often a run of shots is told, %."""
    print("| floors | n |", " | ".join(f"{slip}, told %" for slip in SLIPS), "|")
    print("| --- | --- |", " | ".join("---" for _ in SLIPS), "|")
    for family in ("all", *FAMILIES):
        some = [told for name, told in floors if family in {"all", name}]
        shares = [100 * np.mean([told[slip] for told in some]) for slip in SLIPS]
        print(f"| {family} | {len(some)} |", " | ".join(f"{share:.1f}" for share in shares), "|")


if __name__ == "__main__":
    started = time.process_time()
    given = [int(text) for text in sys.argv[1:3]]
    count, seed = (*given, *(20, 7)[len(given) :])
    tell(list(run_floors(count, seed)))
    print(f"\n{count} of each, seed {seed}: {time.process_time() - started:.0f} s")
