import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.measures.contours import area_above, join_rings, outline_beyond, trace_level


def fan(columns, rows, level):
    """Triangles over a lattice of unit squares, and `level` at their corners."""
    corners = []
    for east in range(columns):
        for north in range(rows):
            square = np.array([(0, 0), (1, 0), (1, 1), (0, 1)]) + np.array([east, north])
            corners += [square[[0, 1, 2]], square[[0, 2, 3]]]
    plan = np.array(corners, dtype=float)
    return plan, level(plan[..., 0], plan[..., 1])


def test_a_level_line_of_a_plane_is_one_straight_line():
    corners, value = fan(5, 4, lambda e, n: 0.3 * e + 0.1 * n)
    (line,) = trace_level(corners, value, 0.65)
    assert_allclose(0.3 * line[:, 0] + 0.1 * line[:, 1], 0.65, atol=1e-6)
    assert_allclose(sorted(line[[0, -1], 1]), [0, 4], atol=1e-6)
    assert_allclose(shapely.length(shapely.linestrings(line)), np.hypot(4, 4 / 3), atol=1e-6)


def test_lines_are_joined_and_the_longest_comes_first():
    corners, value = fan(8, 8, lambda e, n: np.where((e == 2) & (n == 2), 1.0, 0.0) + (e >= 6))
    first, second = trace_level(corners, value, 0.5)
    assert len(first) > 8
    assert_allclose(first[:, 0], 5.5, atol=1e-6)
    assert_allclose(second[0], second[-1])  # a ring about the lone corner
    assert shapely.Polygon(second).contains(shapely.Point(2, 2))


def test_a_level_that_is_not_reached_has_no_lines():
    corners, value = fan(3, 3, lambda e, n: e + n)
    assert trace_level(corners, value, 9.0) == ()
    assert area_above(corners, value, 9.0).is_empty


def test_the_area_above_a_level_is_exact():
    corners, value = fan(4, 4, lambda e, _n: e)
    assert_allclose(area_above(corners, value, 2.5).area, 4 * 1.5, atol=1e-6)


def test_a_ring_within_a_ring_is_a_hole():
    outer = np.array([(0.0, 0), (4, 0), (4, 4), (0, 4)])
    inner = np.array([(1.0, 1), (1, 2), (2, 2), (2, 1)])
    assert join_rings([outer, inner]).area == 15
    assert join_rings([]).is_empty


@pytest.mark.parametrize(("count", "area"), [(1, 100), (2, 36), (3, 72), (4, 81), (5, 80)])
def test_what_lies_in_an_odd_number_of_rings_is_within_in_any_order(count, area):
    def square(corner, side):
        return corner + side * np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])

    # a square, its hole, an island in that, and another square with its hole
    rings = [square(0, 10), square(1, 8), square(2, 6), square(20, 3), square(21, 1)][:count]
    assert join_rings(rings).area == pytest.approx(area)
    assert join_rings(rings[::-1]).area == pytest.approx(area)


def test_beyond_the_shots_lies_what_they_do_not_surround(make_result):
    shots = np.array([(1.0, 1, 9.8), (5, 1, 9.8), (5, 3, 9.8), (1, 3, 9.8)])
    edge = np.array([[0.0, 0], [6, 0], [6, 4], [0, 4]])
    beyond = outline_beyond(make_result(shots, edge, 10.0).field)
    assert_allclose(beyond.area, 24 - 8, atol=1e-5)
    assert outline_beyond(make_result(shots, shots[:, :2], 10.0).field).is_empty
