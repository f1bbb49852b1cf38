"""Lines across triangles."""

import numpy as np

from gradevol.geometry.profiles import cut_segment


def test_a_line_beside_a_side_that_is_all_but_parallel_to_it_crosses_nothing():
    triangle = np.array([[[0, 0, 0], [3, 5e-324, 0], [0, 3, 0.0]]])
    crossed, _ = cut_segment(triangle, np.array([0, -1.0]), np.array([3, -1.0]))
    assert len(crossed) == 0
    crossed, share = cut_segment(triangle, np.array([0, 1.0]), np.array([3, 1.0]))
    assert crossed.tolist() == [0]
    np.testing.assert_allclose(share, [[0, 2 / 3]])
