"""Next shots, taken on invented bases: they must gain about what is said, and more than others."""

from dataclasses import dataclass

import numpy as np
import pytest

from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.thickness import build_field
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Level, build_top
from gradevol.uncertainty.interpolation import fit_between
from gradevol.uncertainty.interval import estimate_interval
from gradevol.uncertainty.next_shots import plan_next_shots

SLAB = Slab(np.array([[0, 0], [18, 0], [18, 12], [0, 12.0]]), (), 0.15, 0.131)
TOP = build_top(Level(0.15), SLAB)
#: Bases, and shots on each.
CASES, SHOTS = 16, 30
SIGMA = 0.002

pytestmark = pytest.mark.slow


@dataclass
class Case:
    """What is said of a base, and what came of five shots there and of five at random."""

    now: float
    said: float
    came: float
    random: float


def invent_base(rng):
    """A realisation of a process of known range, as a sum of waves."""
    waves, reach = 300, rng.choice([2.0, 4.0, 8.0])
    spread = np.sqrt(3 / rng.chisquare(3, waves))  # of a Matérn covariance of smoothness 3/2
    pull = rng.standard_normal((waves, 2)) / reach * spread[:, None]
    phase = rng.uniform(0, 2 * np.pi, waves)
    return lambda plan: 0.012 * np.sqrt(2 / waves) * np.cos(plan @ pull.T + phase).sum(axis=1)


def look(plan, level):
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
    return plan_next_shots(between, survey, SLAB, interval, step=0.1)


@pytest.fixture(scope="module")
def cases():
    found: dict[str, list[Case]] = {"volume": [], "thin": []}
    for seed in range(CASES):
        rng = np.random.default_rng(seed)
        base = invent_base(rng)
        plan = rng.uniform([0, 0], [18, 12], (SHOTS, 2)) * [0.75 if seed % 2 else 1, 1]
        level = base(plan) + SIGMA * rng.standard_normal(SHOTS)
        others = rng.uniform([0, 0], [18, 12], (5, 2))
        now = look(plan, level)

        def then(places, plan=plan, level=level, base=base, rng=rng):
            read = base(places) + SIGMA * rng.standard_normal(len(places))
            return look(np.vstack([plan, places]), np.append(level, read))

        at_random = then(others)
        for what, figure in (("volume", "half_width"), ("thin", "open_area")):
            shots = getattr(now, what)
            if len(shots) < 5:
                continue
            came = then(np.array([shot.at for shot in shots]))
            before = getattr(now, figure)
            found[what].append(
                Case(
                    now=before,
                    said=before - sum(shot.gain for shot in shots),
                    came=getattr(came, figure),
                    random=getattr(at_random, figure),
                )
            )
    return found


def ratio(cases, of, to):
    return np.mean([getattr(case, of) for case in cases]) / np.mean(
        [getattr(case, to) for case in cases]
    )


def test_the_interval_narrows_as_far_as_is_said_on_the_mean(cases):
    """Further, for the shots also tell what kind of base it is, which is not counted on."""
    assert len(cases["volume"]) > CASES / 2
    assert 0.7 < ratio(cases["volume"], "came", "said") < 1.05


def test_shots_for_the_volume_narrow_it_more_than_shots_at_random(cases):
    assert ratio(cases["volume"], "came", "random") < 0.85


def test_as_much_is_settled_as_is_said_on_the_mean(cases):
    assert len(cases["thin"]) > CASES / 2
    assert 0.7 < ratio(cases["thin"], "came", "said") < 1.3


def test_shots_for_thin_concrete_settle_more_than_shots_at_random(cases):
    assert ratio(cases["thin"], "came", "random") < 0.9
    assert ratio(cases["thin"], "came", "now") < ratio(cases["thin"], "random", "now") < 1
