"""Is as much concrete thin as the shots lead one to expect? Bases measured and compared.

The bases, shots and errors are those of ``hard.py``, or of ``interval.py``. What `study_hidden`
says of thin concrete is compared with the thickness in each of up to 40,000 cells.

    python docs/studies/thin.py [cases] [seed] [which]

prints the tables of ``docs/studies/thin.md``; `which` is ``hard``, with so many cases of each kind
by each design, or ``ridges``, or a table of ``interval.py``.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

import hard
import interval as slabs
import interval_bases as bases
import numpy as np
from numpy.typing import ArrayLike

from gradevol.geometry.quadrature import spread_cells
from gradevol.ground.arrays import FloatArray
from gradevol.measures.spots import find_thin
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.uncertainty.interpolation import fit_between
from gradevol.uncertainty.interval import estimate_interval
from gradevol.uncertainty.thin_risk import (
    Hidden,
    expect_thin,
    find_spare,
    spread_at_cores,
    study_hidden,
)

#: Sets of samples taken of each true slab.
SETS = 1000
#: Hidden ridges of each width.
RIDGES = 10
#: Expected chances are compared with what happened in these bins.
BINS = (0, 0.003, 0.01, 0.03, 0.1, 0.2, 0.4, 1)
PLACES = (0, 0.0001, 0.001, 0.003, 0.01, 0.03, 0.1, 0.2, 0.4, 0.7, 1)


@dataclass
class Case:
    """One invented slab: area that is thin, truly and on the surface, m², and what was expected."""

    kind: str
    layout: str
    errors: str
    count: int
    area: float
    thin: float
    seen: float
    hidden: Hidden
    failed: tuple[float, ...]
    #: Of places of a hard base: the chance that was said, and whether it was thin.
    said: FloatArray = field(default_factory=lambda: np.zeros(0))
    happened: FloatArray = field(default_factory=lambda: np.zeros(0))


def run_case(rng: np.random.Generator, *case: Any, **rest: Any) -> Case:
    """Invent a slab, measure it, ask what is thin, and take samples of what it truly is."""
    made, thick = slabs.measure_case(rng, *case, **rest)
    slab = made.slab
    hidden = study_hidden(made.between, made.field, slab, made.survey, made.interval)
    assert hidden is not None
    failed = take_samples(rng, hidden, thick, slab)
    thin = slab.area * float((thick < slab.least_thickness).mean())
    kind, layout, _, errors = case
    count, seen = len(made.survey.points), find_thin(made.field, slab).area
    return Case(kind, layout, errors, count, slab.area, thin, seen, hidden, failed)


def take_samples(
    rng: np.random.Generator, hidden: Hidden, thick: FloatArray, slab: Slab
) -> tuple[float, ...]:
    """Take samples of a true slab, and tell how often each test fails."""
    return tuple(
        float(
            tested.test.find_failed(
                rng.choice(thick, (SETS, tested.samples)), slab.thickness
            ).mean()
        )
        for tested in hidden.acceptance
    )


def run_hard(count: int, seed: int) -> Iterator[Case]:
    """Ask what is thin of so many slabs of every kind and design of ``hard.py``."""
    for made in hard.make_slabs(count, seed):
        slab, survey = made.slab, made.survey
        between = fit_between(made.field, made.base, survey, made.top, slab, concrete=made.concrete)
        interval = estimate_interval(
            made.field, made.base, survey, between, stated=made.concrete.volume, top_sigma=0.0
        )
        hidden = study_hidden(between, made.field, slab, survey, interval)
        assert hidden is not None
        assert between.process is not None
        places, _ = spread_cells(slab.outline, count=400)
        said = expect_thin(
            between.process,
            find_spare(slab, places),
            places,
            uneven=spread_at_cores(between, survey),
            shared=0.0,
        )
        yield Case(
            kind=made.kind,
            layout=made.design,
            errors="single",
            count=len(survey.points),
            area=slab.area,
            thin=slab.area * float((made.thick < slab.least_thickness).mean()),
            seen=find_thin(made.field, slab).area,
            hidden=hidden,
            failed=take_samples(np.random.default_rng(seed), hidden, made.thick, slab),
            said=said,
            happened=slab.thickness - made.level(*places.T) < slab.least_thickness,
        )


def run_ridge(rng: np.random.Generator, width: float) -> tuple[float, float, Hidden]:
    """
    Hide a ridge between two rows of shots: thin area, truly and on the surface, m², and the rest.

    The base is a slab's of 12 by 18 m, with shots 2 m apart, which spreads by 5 mm; the ridge runs
    across, is `width` wide at half its height, m, and stands 35 mm above the base about it.
    """
    base, middle = bases.wave(rng, 4.0, 1.5), 9.0 + rng.uniform(-0.2, 0.2)

    def level(east: FloatArray, north: FloatArray) -> FloatArray:
        off = (north - middle) * 2.355 / width
        return 0.005 * base(east, north) + 0.035 * np.exp(-(off**2) / 2)

    size = np.array([12.0, 18.0])
    cells = (np.arange(slabs.DENSE) + 0.5) / slabs.DENSE
    east, north = (grid.ravel() for grid in np.meshgrid(*(cells * s for s in size)))
    # rows at 0, 2, ... 8, 10, ... 18 m: the ridge stands midway between two of them
    plan = np.stack(np.meshgrid(np.linspace(0, 12, 7), np.linspace(0, 18, 10)), -1).reshape(-1, 2)
    shots = level(*plan.T) + slabs.SHOT * rng.standard_normal(len(plan))
    slab = Slab(
        size * np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]]),
        (),
        slabs.THICKNESS,
        slabs.THICKNESS - 0.019,
    )
    survey = Survey(
        np.column_stack([plan, shots]),
        np.zeros(3),
        ids=tuple(str(number) for number in range(len(plan))),
        sigma=slabs.SHOT,
    )
    made = slabs.look(survey, slab, top_sigma=0.0)
    hidden = study_hidden(made.between, made.field, slab, survey, made.interval)
    assert hidden is not None
    thin = slab.area * float((level(east, north) > 0.019).mean())
    return thin, find_thin(made.field, slab).area, hidden


def run_cases(
    count: int,
    seed: int,
    *,
    counts: tuple[int, ...] = slabs.COUNTS,
    spread: tuple[float, float] = slabs.SPREAD,
    kinds: tuple[str, ...] = bases.KINDS,
) -> Iterator[Case]:
    """Run the cases of ``interval.py``."""
    for number in range(count):
        rng = np.random.default_rng([seed, number])
        kind = kinds[number % len(kinds)]
        layout = bases.LAYOUTS[number // len(kinds) % len(bases.LAYOUTS)]
        errors = ("single", "shared")[number // (len(kinds) * len(bases.LAYOUTS)) % 2]
        yield run_case(rng, kind, layout, int(rng.choice(counts)), errors, spread=spread)


def holds(case: Case) -> bool:
    """Whether the true thin area lies between the bounds."""
    # a cell is the least that is told apart, there and here
    slack = case.area / 400
    return case.hidden.area_low - slack <= case.thin <= case.hidden.area_high + slack


def tell_areas(cases: list[Case]) -> None:
    """Print thin areas by class: truly, on the surface, and expected; m² over all cases."""
    print("| cases | n | true, m² | seen, m² | expected, m² | expected / true | held at 90 % |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for name, some in slabs.groups(cases):
        true, seen, expected = (
            sum(values)
            for values in zip(*((c.thin, c.seen, c.hidden.area) for c in some), strict=True)
        )
        held = 100 * np.mean([holds(case) for case in some])
        print(
            f"| {name} | {len(some)} | {true:.0f} | {seen:.0f} | {expected:.0f} "
            f"| {f'{expected / true:.2f}' if true else ''} | {held:.0f} |"
        )


def tell_bins(
    what: str, said: ArrayLike, happened: ArrayLike, bins: tuple[float, ...] = BINS
) -> None:
    """Print what was said against what happened, in bins of what was said, per cent."""
    print(f"\n| {what}, % | n | said, % | happened, % |")
    print("| --- | --- | --- | --- |")
    each, true = np.array(said), np.array(happened)
    for low, high in pairwise(bins):
        is_in = (each >= low) & ((each < high) | (high == 1))
        if is_in.any():
            print(
                f"| {100 * low:g} to {100 * high:g} | {is_in.sum()} "
                f"| {100 * each[is_in].mean():.2g} | {100 * true[is_in].mean():.2g} |"
            )


def tell_unseen(cases: list[Case]) -> None:
    """Print what is thin where no thin concrete was seen at all."""
    none = [case for case in cases if case.seen == 0]
    print(f"\nNothing thin seen: {len(none)} cases")
    print("| cases | n | true, m² | expected, m² | true thin over 1 % of the slab |")
    print("| --- | --- | --- | --- | --- |")
    for name, some in slabs.groups(none):
        share = sum(case.thin > 0.01 * case.area for case in some)
        print(
            f"| {name} | {len(some)} | {sum(c.thin for c in some):.1f} "
            f"| {sum(c.hidden.area for c in some):.1f} | {share} |"
        )


def tell_ridges(seed: int) -> None:
    """Print what is expected of ridges that no shot was taken on."""
    print("\n| ridge / spacing | n | true, m² | seen, m² | expected, m² | held at 90 % |")
    print("| --- | --- | --- | --- | --- | --- |")
    for share in (0.25, 0.5, 0.75, 1.0):
        some = [
            run_ridge(np.random.default_rng([seed, 9, number]), 2 * share)
            for number in range(RIDGES)
        ]
        held = [hidden.area_low <= thin <= hidden.area_high for thin, _, hidden in some]
        print(
            f"| {share} | {len(some)} | {sum(thin for thin, *_ in some):.0f} "
            f"| {sum(seen for _, seen, _ in some):.0f} "
            f"| {sum(hidden.area for *_, hidden in some):.0f} | {100 * np.mean(held):.0f} |"
        )


if __name__ == "__main__":
    number, seed, which = (*sys.argv[1:], *("288", "7", "usual")[len(sys.argv) - 1 :])
    start = time.perf_counter()
    if which == "ridges":
        tell_ridges(int(seed))
        sys.exit()
    if which == "hard":
        made = list(run_hard(int(number), int(seed)))
    else:
        made = list(run_cases(int(number), int(seed), **slabs.TABLES[which]))
    tell_areas(made)
    if which == "hard":
        said, happened = (
            np.concatenate([getattr(case, name) for case in made]) for name in ("said", "happened")
        )
        tell_bins("chance at a place", said, happened, PLACES)
    tell_bins(
        "chance of a thin core",
        [case.hidden.core_chance for case in made],
        [case.thin / case.area for case in made],
    )
    for place, tested in enumerate(made[0].hidden.acceptance):
        tell_bins(
            f"chance that the test fails: {tested.test.name}",
            [case.hidden.acceptance[place].chance for case in made],
            [case.failed[place] for case in made],
        )
    tell_unseen(made)
    print(f"\n{len(made)} cases in {time.perf_counter() - start:.0f} s")
