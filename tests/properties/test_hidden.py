"""Thin concrete between the shots: figures that hang neither on order nor on the origin."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.uncertainty.thin_risk import study_hidden
from tests.conftest import examples
from tests.pads import see, turned

#: An L of 12 by 9 m.
EDGE = np.array([[0, 0], [12, 0], [12, 4], [5, 4], [5, 9], [0, 9.0]])


def study(shots, *, away=(0.0, 0.0), order=None, angle=0.0):
    """Study shots (n, 3), turned, moved about and in another order."""
    move = np.array(away)
    held = turned(shots, angle) + np.append(move, 0.0)
    if order is not None:
        held = held[order]
    slab = Slab(turned(EDGE, angle) + move, (), 0.15, 0.13)
    ids = tuple(str(number) for number in range(len(held)))
    survey = Survey(held, np.zeros(3), ids=ids, sigma=0.002, datum_sigma=0.0015)
    seen = see(survey, slab)
    made = study_hidden(seen.between, seen.field, slab, survey, seen.interval)
    assert made is not None
    return made


@st.composite
def shots(draw):
    seed = draw(st.integers(0, 10_000))
    rng = np.random.default_rng(seed)
    plan = rng.uniform([0, 0], [12, 9], (draw(st.integers(12, 40)), 2))
    reach, size = draw(st.sampled_from([1.0, 3.0])), draw(st.sampled_from([0.004, 0.012]))
    level = 0.005 + size * np.sin(plan[:, 0] / reach) + 0.004 * rng.standard_normal(len(plan))
    return np.column_stack([plan, level]), rng.permutation(len(plan))


def assert_same(first, second):
    """Chances to seven digits; of a base in a thousand simulated a cell or two may turn."""
    assert_allclose(second.core_chance, first.core_chance, rtol=1e-6, atol=1e-12)
    assert_allclose(
        [second.area_low, second.area_high], [first.area_low, first.area_high], atol=0.3
    )
    for one, other in zip(first.acceptance, second.acceptance, strict=True):
        assert_allclose(other.chance, one.chance, atol=2.1 / 1024)


@examples(2)
@given(shots())
def test_the_answer_does_not_depend_on_the_order_of_the_shots(case):
    places, order = case
    assert_same(study(places), study(places, order=order))


@examples(2)
@given(shots(), st.integers(-900, 900), st.integers(-900, 900))
def test_the_answer_does_not_depend_on_where_the_origin_lies(case, east, north):
    places, _ = case
    assert_same(study(places), study(places, away=(east / 7, north / 7)))


def test_the_answer_does_not_depend_on_how_the_slab_is_turned():
    """Nor on how rows of cells would lie to ruts along the slab: they run askew of both."""
    rng = np.random.default_rng(7)
    plan = np.column_stack([np.repeat([0.5, 4.2, 8.0, 11.6], 20), rng.uniform(0, 9, 80)])
    level = 0.024 * (np.sin(plan[:, 1] * 2.9) > 0.6) + 0.001 * rng.standard_normal(80)
    shots = np.column_stack([plan, level])
    assert_same(study(shots), study(shots, angle=0.6))
