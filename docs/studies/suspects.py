"""Are clean surveys accused, and slips found? Surveys invented, spoiled, and screened.

    python docs/studies/suspects.py [cases] [seed]

prints the tables of ``docs/studies/suspects.md``.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

import interval_bases as bases
import numpy as np

from gradevol.doubts.suspects import Suspect, find_suspects
from gradevol.ground.arrays import FloatArray
from gradevol.site.survey import Survey

FOOT = 0.3048
#: Standard deviation of a base's departures, in, and of one shot, m.
SPREAD, SHOT = (0.3, 0.9), (0.002, 0.003)
COUNTS = (30, 45, 60, 90, 130, 200)
KINDS = ("smooth", "rough", "half rough", "ridges", "ruts", "falls")
LAYOUTS = ("regular", "random")
SLIPS = ("0.1 ft", "digits", "1 ft", "rod", "stake")


@dataclass
class Case:
    """One invented survey: what it is, and what was found clean and with each slip."""

    kind: str
    layout: str
    count: int
    clean: tuple[Suspect, ...]
    spoiled: dict[str, tuple[int, tuple[Suspect, ...]]]


def invent_base(rng: np.random.Generator, kind: str, size: FloatArray) -> bases.Base:
    """Invent a base on a slab of `size` (2,), m: departures from its design, m."""
    cells = size[:, None] * rng.random((2, 2000))

    def scaled(base: bases.Base) -> bases.Base:
        scale = rng.uniform(*SPREAD) * bases.INCH / base(*cells).std()
        return lambda east, north: scale * base(east, north)

    if kind == "ridges":
        return scaled(bases.invent_base(rng, "ridges", size))
    reach = float(np.exp(rng.uniform(np.log(3), np.log(12))))
    under = bases.wave(rng, reach, 1.5 if kind in ("rough", "falls") else 2.5)
    match kind:
        case "half rough":
            stones, side, share = bases.wave(rng, 0.3, 0.5), rng.integers(2), rng.uniform(0.5, 1.5)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                is_rough = (north > size[1] / 2) == side
                return under(east, north) + share * is_rough * stones(east, north)

            return scaled(level)
        case "falls":
            ridge, falls = rng.uniform(0.2, 0.8) * size[0], rng.uniform(0.5, 3.0, 2)

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                off = (east - ridge) / size[0]
                return 0.4 * under(east, north) - np.where(off > 0, falls[0], -falls[1]) * off

            return scaled(level)
        case "ruts":
            even, deep = scaled(under), rng.uniform(0.4, 1.0) * bases.INCH
            gauge, width, way = rng.uniform(1.6, 2), rng.uniform(0.15, 0.3), rng.uniform(0, np.pi)
            across = rng.uniform(0.3, 0.7, 2) * size

            def level(east: FloatArray, north: FloatArray) -> FloatArray:
                off = (north - across[1]) * np.cos(way) - (east - across[0]) * np.sin(way)
                pair = sum(np.exp(-(((off + s * gauge / 2) / width) ** 2)) for s in (-1, 1))
                return even(east, north) - deep * pair

            return level
    return scaled(under)


def invent_survey(rng: np.random.Generator, kind: str, layout: str, count: int) -> Survey:
    """Invent a base and shoot it, clean: elevations booked to two decimals of a foot."""
    spacing = rng.uniform(1.5, 3.5)
    size = spacing * np.sqrt(count) * np.array([1, 1.5]) / np.sqrt(1.5)
    base = invent_base(rng, kind, size)
    plan = bases.lay_out(rng, layout, count, size)
    level = base(*plan.T) + rng.uniform(95, 105) * FOOT
    level += rng.uniform(*SHOT) * rng.standard_normal(len(plan))
    booked = np.round(level / FOOT, 2)
    return Survey.about_local_origin(
        np.column_stack([plan, booked * FOOT]),
        ids=tuple(str(number) for number in range(1, len(plan) + 1)),
        readings=tuple(f"{number:.2f}" for number in booked),
        reading_unit="ft",
        sigma=0.002,
    )


def spoil(rng: np.random.Generator, survey: Survey, slip: str) -> tuple[int, Survey]:
    """Spoil one shot of a survey: its index, and the survey with it."""
    at, way = int(rng.integers(len(survey.points))), rng.choice([-1.0, 1.0])
    booked = float(survey.readings[at])
    match slip:
        case "0.1 ft":
            booked += 0.1 * way
        case "1 ft":
            booked += way
        case "rod":  # read on a rod one section short: the ground comes out too high
            booked += rng.choice([4.0, 5.0, 6.0])
        case "stake":
            booked += rng.uniform(0.3, 1.0)
        case "digits":
            booked, at = swap_digits(rng, survey)
        case _:
            raise ValueError(slip)
    points, readings = survey.points.copy(), list(survey.readings)
    readings[at] = f"{booked:.2f}"
    points[at, 2] = float(readings[at]) * FOOT - survey.origin[2]
    return at, replace(survey, points=points, readings=tuple(readings))


def swap_digits(rng: np.random.Generator, survey: Survey) -> tuple[float, int]:
    """Exchange two neighbouring digits of one shot, tenth and hundredth or foot and tenth."""
    while True:
        at = int(rng.integers(len(survey.points)))
        digits = survey.readings[at].replace(".", "")
        last = len(digits) - int(rng.integers(1, 3))
        if digits[last] != digits[last - 1]:
            swapped = digits[: last - 1] + digits[last] + digits[last - 1] + digits[last + 1 :]
            return int(swapped) / 100, at


def screen(survey: Survey) -> tuple[Suspect, ...]:
    """Screen a survey without thickenings."""
    return find_suspects(survey, np.zeros(len(survey.points)))


def run_cases(count: int, seed: int, *, kinds: tuple[str, ...] = KINDS) -> Iterator[Case]:
    """Run cases, each kind and layout in turn: one survey clean, and with one slip of each kind."""
    for number in range(count):
        rng = np.random.default_rng([seed, number])
        kind, layout = kinds[number % len(kinds)], LAYOUTS[number // len(kinds) % len(LAYOUTS)]
        survey = invent_survey(rng, kind, layout, int(rng.choice(COUNTS)))
        spoiled = {}
        for slip in SLIPS:
            at, worse = spoil(rng, survey, slip)
            spoiled[slip] = (at, screen(worse))
        yield Case(kind, layout, len(survey.points), screen(survey), spoiled)


def groups(cases: list[Case]) -> Iterator[tuple[str, list[Case]]]:
    """All cases, and each class of them."""
    yield "all", cases
    for name in ("kind", "layout"):
        for value in dict.fromkeys(getattr(case, name) for case in cases):
            yield value, [case for case in cases if getattr(case, name) == value]
    for low, high in ((0, 50), (50, 100), (100, 300)):
        if some := [case for case in cases if low <= case.count < high]:
            yield f"{low} to {high} shots", some


def share_accused(cases: list[Case]) -> float:
    """Share of the clean surveys in which any shot is accused."""
    return float(np.mean([bool(case.clean) for case in cases]))


def share_found(cases: list[Case], slip: str) -> float:
    """Share of the slips that are among the suspects."""
    return float(
        np.mean(
            [
                any(suspect.index == at for suspect in found)
                for at, found in (case.spoiled[slip] for case in cases)
            ]
        )
    )


def share_named(cases: list[Case], slip: str = "") -> tuple[float, int]:
    """Share of the shots accused, clean or by a slip, that get a slip named; of how many."""
    if slip:
        pairs = (case.spoiled[slip] for case in cases)
        found = [suspect for at, some in pairs for suspect in some if suspect.index == at]
    else:
        found = [suspect for case in cases for suspect in case.clean]
    return float(np.mean([bool(suspect.slip) for suspect in found] or [0.0])), len(found)


def tell(cases: list[Case]) -> None:
    """Print the tables."""
    print("| cases | n | clean accused, % |", " | ".join(f"{slip} found, %" for slip in SLIPS), "|")
    print("| --- | --- | --- |", " | ".join("---" for _ in SLIPS), "|")
    for name, some in groups(cases):
        shares = [share_accused(some), *(share_found(some, slip) for slip in SLIPS)]
        print(
            f"| {name} | {len(some)} |", " | ".join(f"{100 * share:.1f}" for share in shares), "|"
        )
    print("\n| shots accused | n | a slip named, % |\n| --- | --- | --- |")
    for slip in ("", *SLIPS):
        share, count = share_named(cases, slip)
        print(f"| {slip or 'clean'} | {count} | {100 * share:.0f} |")


if __name__ == "__main__":
    started = time.perf_counter()
    given = [int(text) for text in sys.argv[1:3]]
    count, seed = (*given, *(600, 7)[len(given) :])
    tell(list(run_cases(count, seed)))
    print(f"\n{count} cases, seed {seed}: {time.perf_counter() - started:.0f} s")
