"""The interval: the same however coordinates are turned and shifted, rows or none."""

import hypothesis.strategies as st
import numpy as np
import pytest
from hypothesis import given, settings
from numpy.testing import assert_allclose

from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from tests.conftest import look_coarsely
from tests.pads import grid, see

EDGE = np.array([[0, 0], [14, 0], [14, 5], [9, 5], [9, 9], [0, 9.0]])
#: Eight sides of one length, of no direction.
ROUND = np.array(
    [[4.5 * np.cos(at) + 7, 4.5 * np.sin(at) + 4.5] for at in np.arange(8) * np.pi / 4]
)


def estimate(plan, level, edge):
    slab = Slab(edge, (), 0.15, 0.131)
    ids = tuple(str(number) for number in range(len(plan)))
    survey = Survey(np.column_stack([plan, level]), np.zeros(3), ids=ids, sigma=0.002)
    seen = see(survey, slab, top_sigma=0.0)
    made = seen.interval
    return [made.low, made.stated, made.high], seen.between


@given(
    seed=st.integers(0, 50),
    degrees=st.floats(0, 360),
    is_lattice=st.booleans(),
    shift=st.floats(-500, 500),
)
@settings(max_examples=8, deadline=None)
def test_turned_coordinates_have_the_same_interval(seed, degrees, is_lattice, shift):
    """To less than a hundredth of a cubic metre: no printed digit hangs on the direction."""
    rng = np.random.default_rng(seed)
    plan = rng.uniform([0, 0], [14, 9], (30, 2))
    if is_lattice:
        plan = grid(np.arange(0.5, 14, 2), np.arange(0.5, 9, 2))
    level = 0.01 * np.sin(plan[:, 0] / 2 + seed) + 0.003 * rng.standard_normal(len(plan))
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    by = np.array([[cos, sin], [-sin, cos]])

    here, between = estimate(plan, level, EDGE)
    there, turned = estimate(plan @ by + shift, level, EDGE @ by + shift)

    assert_allclose(there, here, atol=0.004)
    assert_allclose(turned.unseen, between.unseen, rtol=1e-6)
    assert [note.code for note in turned.notes] == [note.code for note in between.notes]


@pytest.mark.parametrize("edge", [EDGE, ROUND], ids=["sides", "round"])
def test_many_shots_are_thinned_to_the_same_cells_however_they_are_turned(edge):
    """The margin of an L of 900 shots hung by a tenth on it, where the top is sure."""
    plan = np.random.default_rng(4).uniform([-1, -1], [15, 10], (700, 2))
    by = np.exp(1j * np.radians(215))
    turn = np.array([[by.real, by.imag], [-by.imag, by.real]])
    with look_coarsely():
        here, there = (
            estimate(plan @ by, 0.01 * np.sin(plan[:, 0] / 2), edge @ by)[1].process.places
            for by in (np.eye(2), turn)
        )
    assert len(here) <= 120
    here = here @ turn
    here, there = (places[np.lexsort(places.round(6).T)] for places in (here, there))
    assert_allclose(there, here, atol=1e-9)
