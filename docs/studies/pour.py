"""Does the forecast of a pour hold the day? Days are invented, poured, and asked after each load.

A slab is longer than it is wide and is poured from one end. What is modelled of it is off as the
survey says that it may be: as a whole, and from place to place by waves of a few metres. Each load
holds a little more or less than its ticket; fronts are taped with slips now and then larger than
normal, and always at the same place of the sloping face. None of this comes out of the forecast's
own covariances.

    python docs/studies/pour.py [days] [seed]

prints the tables of ``docs/studies/pour.md``.
"""

import math
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from gradevol.after.call import Pace, need_of, size_call
from gradevol.after.forecast import Forecast, forecast
from gradevol.after.joint import Noise, Prior
from gradevol.after.steps import Step
from gradevol.files.tickets.loads import Load
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import CUBIC_YARD
from gradevol.job.terms import Costs, Terms

#: What a truck brings, and what the plant sells by, m³.
TRUCK, STEP = 10 * CUBIC_YARD, 0.25 * CUBIC_YARD
#: As in the samples: a yard left over, coming up short once, a yard short.
COSTS = Costs(168 / CUBIC_YARD, returned=60 / CUBIC_YARD, short=1280.0, short_rate=95 / CUBIC_YARD)
AFTER = (1, 3, 5)
LEVELS = (0.5, 0.8, 0.9)


@dataclass(frozen=True)
class Day:
    """
    A day that was invented: what was known before, what the loads told, what it took, m³.

    `nominal` is plan area times thickness, `length` that of the slab, m, `fronts` as taped.
    """

    prior: Prior
    noise: Noise
    steps: tuple[Step, ...]
    fronts: tuple[float, ...]
    total: float
    nominal: float
    length: float


def invent_day(rng: np.random.Generator) -> Day:
    """Invent a slab, what is known of it, and its pour, load by load, but for the last."""
    width, length = rng.uniform(9, 15), rng.uniform(18, 30)
    thickness, area = rng.uniform(0.12, 0.2), width * length
    along = np.linspace(0, length, 1201)
    low = rng.uniform(0.0, 0.012)  # graded low, as bases are
    deep = thickness + low + _waves(rng, along, 0.006, rng.uniform(2, 8))
    modelled = _add_up(along, width * deep)
    shared, own = area * rng.uniform(0.002, 0.006), area * rng.uniform(0.0008, 0.003)
    sigma = rng.uniform(0.006, 0.015)
    prior = Prior(1.025, sigma, float(modelled[-1]), 0.0, shared, own)
    noise = Noise(face=0.3 * thickness, ticket=0.005 * TRUCK, load=TRUCK)

    reach = rng.uniform(1, 3)
    # what such waves add up to over the slab then has the standard deviation `own`
    size = own / (width * math.sqrt(length * reach * math.sqrt(2 * math.pi)))
    off = _waves(rng, along, size, reach)
    true = _add_up(along, width * (deep + off + shared * rng.standard_normal() / area))
    true = true * (1.025 + sigma * rng.standard_normal())
    habit = noise.face * math.sqrt(3) * rng.uniform(-1, 1)
    steps, fronts, ticketed, held = [], [], 0.0, 0.0
    while True:
        content = TRUCK * (1 + 0.005 * math.sqrt(3) * rng.uniform(-1, 1))
        if held + content >= true[-1]:
            break
        ticketed, held = ticketed + TRUCK, held + content
        in_truck = noise.held * rng.standard_normal()
        at = float(np.interp(held - in_truck, true, along))
        slip = noise.front * rng.standard_t(5) * math.sqrt(3 / 5)
        taped = min(max(at + habit + slip, 0.0), length)
        fronts.append(taped)
        steps.append(
            Step(
                load=Load(line=len(steps) + 2, number=str(len(steps) + 1), ticket="", volume=TRUCK),
                ticketed=ticketed,
                behind=float(np.interp(taped, along, modelled)),
                share=taped / length,
                grip=float(modelled[-1]) / length,
            )
        )
    rest = (true[-1] - held) / (1 + 0.005 * math.sqrt(3) * rng.uniform(-1, 1))
    return Day(prior, noise, tuple(steps), tuple(fronts), ticketed + rest, area * thickness, length)


def _waves(rng: np.random.Generator, along: FloatArray, size: float, reach: float) -> FloatArray:
    """Waves of a standard deviation about 0, and of a reach, m."""
    waves = 60
    pull = rng.standard_normal((waves, 1)) / reach
    phase = rng.uniform(0, 2 * np.pi, (waves, 1))
    return size * np.sqrt(2 / waves) * np.cos(pull * along + phase).sum(axis=0)


def _add_up(along: FloatArray, rate: FloatArray) -> FloatArray:
    steps = np.diff(along) * (rate[1:] + rate[:-1]) / 2
    return np.concatenate([[0.0], np.cumsum(steps)])


def look(day: Day, after: int) -> Forecast:
    """Forecast after so many loads; negative: before the last but so many."""
    upto = after if after > 0 else len(day.steps)
    return forecast(day.steps[:upto], day.prior, day.noise)


def holds(day: Day, after: int, level: float) -> bool:
    """Whether the interval holds what the day took."""
    found = look(day, after)
    reach = _reach(level) * found.total_sd
    return abs(day.total - found.total) <= reach


def _reach(level: float) -> float:
    from statistics import NormalDist  # noqa: PLC0415

    return NormalDist().inv_cdf((1 + level) / 2)


# the balance


def call_by_forecast(day: Day, *, after: int, released: float) -> float:
    """Call what the tool says, at the least expected cost."""
    found = look(day, after)
    ticketed = day.steps[after - 1].ticketed
    call = size_call(
        need_of(found.total - ticketed, found.total_sd),
        ticketed=ticketed,
        released=released,
        terms=Terms(step=STEP, truck=TRUCK, costs=COSTS),
        pours=(),
        pace=Pace(),
        is_metric=False,
        level=0.9,
    )
    return call.volume


def call_by_percent(day: Day, *, after: int, released: float) -> float:
    """Call plan area x thickness and 10 %."""
    del after
    return _round_up(1.1 * day.nominal - released)


def call_by_line(day: Day, *, after: int, released: float, more: float = 0.0) -> float:
    """Call what is ticketed, extended by the length that is left, and so much more."""
    whole = day.steps[after - 1].ticketed * day.length / day.fronts[after - 1]
    return _round_up(whole + more - released)


def _round_up(volume: float) -> float:
    return max(math.ceil(volume / STEP - 1e-9), 0) * STEP


WAYS = {
    "gradevol pour": call_by_forecast,
    "plan area x thickness + 10 %": call_by_percent,
    "straight line": call_by_line,
    "straight line + 0.5 yd3": lambda day, **how: call_by_line(day, more=0.5 * CUBIC_YARD, **how),
    "straight line + 1 yd3": lambda day, **how: call_by_line(day, more=CUBIC_YARD, **how),
}


def cost(day: Day, called: float, released: float) -> float:
    """What a balance costs: what is left over, or coming up short."""
    left = released + called - day.total
    if left >= 0:
        return COSTS.left_over * left
    return (COSTS.short or 0.0) + (COSTS.short_rate or 0.0) * -left


def judge(days: Sequence[Day]) -> dict[str, Any]:
    """Weigh each way of calling the balance when one full load is still to come."""
    some = [day for day in days if len(day.steps) >= 3]
    found = {}
    for name, way in WAYS.items():
        costs, short, left = [], 0, []
        for day in some:
            released = len(day.steps) * TRUCK
            called = way(day, after=len(day.steps) - 1, released=released)
            costs.append(cost(day, called, released))
            over = released + called - day.total
            short += over < 0
            left.append(max(over, 0.0) / CUBIC_YARD)
        found[name] = SimpleNamespace(
            cost=float(np.mean(costs)), short=100 * short / len(some), left=float(np.mean(left))
        )
    return cast(dict[str, Any], found)


def invent_days(count: int, seed: int) -> list[Day]:
    """Invent days."""
    rng = np.random.default_rng(seed)
    return [invent_day(rng) for _ in range(count)]


def main() -> None:
    """Print the tables."""
    count, seed = (int(given) for given in (*sys.argv[1:], "500", "7")[:2])
    if len(sys.argv) == 2:
        seed = 7
    days = invent_days(count, seed)
    print("| after | days | 50 % | 80 % | 90 % | half-width at 90 %, yd³ | days with an alert |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for after in (*AFTER, -1):
        some = [day for day in days if len(day.steps) >= max(after, 1)]
        held = [100 * np.mean([holds(day, after, level) for day in some]) for level in LEVELS]
        seen = [look(day, after) for day in some]
        wide = np.mean([_reach(0.9) * found.total_sd for found in seen]) / CUBIC_YARD
        alerts = 100 * np.mean([bool(found.alerts) for found in seen])
        name = f"load {after}" if after > 0 else "the last full load"
        told = " | ".join(f"{share:.0f}" for share in held)
        print(f"| {name} | {len(some)} | {told} | {wide:.2f} | {alerts:.1f} % |")
    print("\n| balance called by | cost, $ | short, % of days | left over, yd³ |")
    print("| --- | --- | --- | --- |")
    for name, found in judge(days).items():
        print(f"| {name} | {found.cost:.0f} | {found.short:.0f} | {found.left:.2f} |")


if __name__ == "__main__":
    main()
