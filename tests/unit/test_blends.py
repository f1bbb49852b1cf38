import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.geometry.blends import Blend, hand_back


def test_weights_go_back_to_what_points_rest_on_and_their_sum_is_kept():
    middle = Blend(np.array([3, 3, 3]), np.array([0, 1, 2]), np.array([0.2, 0.3, 0.5]))
    beyond = Blend(np.array([4, 5]), np.array([3, 0]), np.array([1.0, 1.0]))

    left = hand_back(np.array([1.0, 2, 3, 4, 6, 10]), (middle, beyond))

    assert_allclose(left, [1 + 10 + 0.2 * 10, 2 + 0.3 * 10, 3 + 0.5 * 10, 0, 0, 0])
    assert left.sum() == pytest.approx(26)


def test_a_blend_whose_points_rest_on_one_another_is_refused():
    with pytest.raises(ValueError, match="rests on one"):
        Blend(np.array([3, 4]), np.array([0, 3]), np.ones(2))


def test_a_blend_of_unlike_columns_is_refused():
    with pytest.raises(ValueError, match="2 made, 1 of, 2 shares"):
        Blend(np.array([3, 4]), np.array([0]), np.ones(2))
