"""The ground that runs of shots are held against."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.doubts.expectation import GROUNDS
from gradevol.doubts.runs_of_shots import _weigh_ground
from gradevol.geometry.neighbours import measure_apart


@pytest.mark.parametrize("seed", range(4))
def test_ground_is_weighed_by_generalised_least_squares_and_restricted_likelihood(seed):
    rng = np.random.default_rng(seed)
    plan = rng.uniform(0, 6, (40, 2))
    over = 0.01 * rng.normal(size=40) + seed * 0.01 * np.sin(plan[:, 0])
    apart = measure_apart(plan, plan)
    flat = np.column_stack([np.ones(40), plan])
    found = []
    for power, nugget in GROUNDS:
        # the textbook's: with a plane estimated, whatever constant is added to the covariance
        inverse = np.linalg.inv(5 * apart.max() ** power - apart**power + nugget * np.eye(40))
        gram = flat.T @ inverse @ flat
        weights = inverse - inverse @ flat @ np.linalg.solve(gram, flat.T @ inverse)
        volume = np.linalg.slogdet(gram)[1] - np.linalg.slogdet(inverse)[1]
        found.append((37 * np.log(over @ weights @ over) + volume, weights))
    expected = min(found, key=lambda each: each[0])[1]
    assert_allclose(_weigh_ground(plan, over), expected, atol=1e-7 * np.abs(expected).max())
