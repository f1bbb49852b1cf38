"""Chances of the normal distribution and of Student's, against scipy's."""

import numpy as np
import pytest
from scipy.special import ndtr, owens_t, stdtr

from gradevol.geometry.normal import OwensT, chance_below, find_student


def test_chances_are_those_of_another_library_far_down_the_tail_too() -> None:
    value = np.concatenate([np.linspace(-10, 9, 4001), [-1e9, -40, 40, 1e9]])
    assert chance_below(value) == pytest.approx(ndtr(value), rel=1e-12, abs=1e-300)


def test_a_value_that_is_none_has_no_chance() -> None:
    assert np.isnan(chance_below(np.array([np.nan]))).all()


def test_owens_integral_is_that_of_another_library() -> None:
    height, slope = np.meshgrid(np.linspace(0, 9, 91), np.geomspace(1e-6, 1e6, 97))
    found = OwensT.of(height[0]).at(np.arctan(slope))
    assert found == pytest.approx(owens_t(height, slope), abs=3e-9)


@pytest.mark.parametrize("freedom", [3, 9, 15])
@pytest.mark.parametrize("above", [0.3, 1e-3, 2.5e-9])
def test_the_value_found_is_passed_with_the_chance_asked_for(freedom: int, above: float) -> None:
    assert stdtr(freedom, -find_student(freedom, above)) == pytest.approx(above, rel=1e-9)
