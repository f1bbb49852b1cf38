"""What its neighbours lead one to expect of a point."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.expectation import GROUNDS
from gradevol.geometry.neighbours import expect_values

#: Prior variance of the plane's slopes, as `expect_values` has it.
SLOPES = 1e3


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
