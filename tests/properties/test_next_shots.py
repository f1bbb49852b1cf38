"""Next shots: the same whatever the order of the shots and wherever the origin lies."""

from dataclasses import replace

import hypothesis.strategies as st
import numpy as np
from hypothesis import given
from numpy.testing import assert_allclose

from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.uncertainty.next_shots import plan_next_shots
from tests.conftest import examples
from tests.pads import see

EDGE = np.array([[0, 0], [14, 0], [14, 5], [9, 5], [9, 9], [0, 9.0]])


def plan(survey, edge, suspects=()):
    slab = Slab(edge, (), 0.15, 0.131)
    seen = see(survey, slab, top_sigma=0.0)
    return plan_next_shots(seen.between, survey, slab, seen.interval, step=0.1, suspects=suspects)


def invent(seed):
    rng = np.random.default_rng(seed)
    places = rng.uniform([0, 0], [14, 9], (24, 2))
    level = 0.014 * np.sin(places[:, 0] / 2 + seed) + 0.002 * rng.standard_normal(24)
    return Survey(
        np.column_stack([places, level]),
        np.zeros(3),
        ids=tuple(f"{number}" for number in range(24)),
        sigma=0.002,
    )


@examples(3)
@given(
    st.integers(0, 50),
    st.permutations(range(24)),
    st.tuples(st.floats(-300, 300), st.floats(-300, 300)),
)
def test_neither_the_order_of_shots_nor_the_origin_changes_them(seed, order, shift):
    survey = invent(seed)
    still = plan(survey, EDGE, suspects=[3])

    moved_points = survey.points[order] + np.append(shift, 0)
    moved = plan(
        replace(survey, points=moved_points, ids=tuple(survey.ids[number] for number in order)),
        EDGE + shift,
        suspects=[order.index(3)],
    )

    assert len(still.thin) + len(still.volume) > 0
    for some, others in ((still.thin, moved.thin), (still.volume, moved.volume)):
        assert len(some) == len(others)
        places, found = (np.array([shot.at for shot in held]) for held in (some, others))
        assert_allclose(found.reshape(-1, 2) - shift, places.reshape(-1, 2), atol=1e-6)
        assert_allclose([shot.gain for shot in others], [shot.gain for shot in some], rtol=0.01)
    assert_allclose(moved.half_width, still.half_width, rtol=0.01)
