import numpy as np
import pytest
from numpy.testing import assert_array_equal

from gradevol.ground.arrays import order_by


@pytest.mark.parametrize("most", [1, 2, 70_000, 2**33, 2**62])
def test_whole_numbers_are_ordered_as_lexsort_orders_them(most):
    first, second = np.random.default_rng(1).integers(0, most, (2, 500))
    first[::3] = first[0]
    assert_array_equal(order_by(first, second), np.lexsort((second, first)))
    assert_array_equal(order_by(first > most // 2, second), np.lexsort((second, first > most // 2)))


def test_nothing_is_ordered_too():
    assert order_by(np.empty(0, np.intp)).shape == (0,)
