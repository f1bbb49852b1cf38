"""What its neighbours lead one to expect of a point."""

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.doubts.expectation import GROUNDS
from gradevol.geometry import neighbours
from gradevol.geometry.neighbours import (
    ask_nearest,
    expect_values,
    find_neighbours,
    measure_apart,
    measure_nearest,
)

#: Prior variance of the plane's slopes, as `expect_values` has it.
SLOPES = 1e3


RNG = np.random.default_rng(8)
#: How shots stand: all over, on a lattice, in clumps, on lines, with one far off, ever sparser, and
#: many at one place.
LAYOUTS = {
    "scattered": RNG.random((400, 2)) * 30,
    "lattice": np.stack(np.meshgrid(np.arange(20.0), np.arange(20.0)), axis=2).reshape(-1, 2),
    "clumps": np.concatenate([RNG.normal(9, 0.02, (200, 2)), RNG.random((200, 2)) * 30]),
    "line": np.column_stack([np.full(400, 7.0), RNG.random(400) * 30]),
    "outlier": np.concatenate([RNG.random((399, 2)) * 30, [[9e4, -8e4]]]),
    "ever sparser": RNG.standard_t(1.2, (400, 2)),
    "one place": np.concatenate([np.full((60, 2), 5.0), RNG.random((340, 2)) * 30]),
}


@pytest.mark.parametrize("crowd", [8, 40, 2000])  # so few at most, the tree is asked
@pytest.mark.parametrize("layout", LAYOUTS)
def test_squares_find_the_neighbours_that_all_against_all_does(monkeypatch, layout, crowd):
    monkeypatch.setattr("gradevol.geometry.squares._MOST", crowd)
    plan = np.round(LAYOUTS[layout], 3)
    if layout != "one place":
        plan = np.unique(plan, axis=0)
    away = measure_apart(plan, plan)
    np.fill_diagonal(away, np.inf)
    if layout != "one place" or crowd > len(plan):  # which of so many the tree says as it likes
        wanted = np.argsort(np.round(away, 6), axis=1, kind="stable")[:, :11]
        assert_array_equal(find_neighbours(plan, 11), wanted)
    monkeypatch.setattr(neighbours, "_FEW", 0)
    assert_allclose(measure_nearest(plan), away.min(axis=1), rtol=1e-12)
    places = np.random.default_rng(2).random((90, 2)) * 60 - 15
    assert_allclose(ask_nearest(plan)(places), measure_apart(places, plan).min(axis=1), rtol=1e-12)


def test_of_many_survey_shots_no_tree_is_asked(monkeypatch):
    monkeypatch.setattr(neighbours, "_plant", None)
    plan = np.random.default_rng(4).random((3000, 2)) * 30
    assert find_neighbours(plan, 24).shape == (3000, 24)
    ask_nearest(plan)(plan[:50] * 1.3 - 4)


def test_a_point_by_itself_has_no_neighbours():
    assert find_neighbours(np.zeros((1, 2)), 0).shape == (1, 0)


@pytest.mark.parametrize("stretch", [1.0, 1e-4, 1e3])
@pytest.mark.parametrize(("power", "nugget"), GROUNDS)
def test_what_is_expected_is_the_solution_of_the_kriging_system(power, nugget, stretch):
    """The system as textbooks have it, one point at a time: Matheron's, with a plane."""
    rng = np.random.default_rng(3)
    off = rng.uniform(-3, 3, (2, 16, 7)) * np.array([1.0, stretch])[:, None, None]
    value = 30 + rng.normal(0, 0.01, (16, 7))
    expected, spread = expect_values(off, value, power, nugget)
    for at in range(7):
        places = off[:, :, at].T
        apart = np.hypot(*(places[:, None] - places).T)
        plane = np.column_stack([np.ones(16), places])
        system = np.block([[-(apart**power), plane], [plane.T, np.diag([0, -1, -1]) / SLOPES]])
        system[range(16), range(16)] += nugget
        wanted = np.concatenate([-(np.hypot(*places.T) ** power), [1, 0, 0]])
        found = np.linalg.solve(system, wanted)
        assert_allclose(expected[at] - 30, found[:16] @ (value[:, at] - 30), atol=1e-9)
        assert_allclose(spread[at] ** 2, nugget - found @ wanted, rtol=1e-6)
