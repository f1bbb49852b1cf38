import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal
from scipy.spatial import cKDTree

from gradevol.geometry.groups import label_groups
from gradevol.geometry.loops import Loops, find_lone, share_corners, weld
from gradevol.ground.arrays import number_rows

WHERE = np.array([[0, 0], [4, 0], [4, 3], [0, 3], [2, 0], [2, 3], [4, 1.5]], float)


def loops_of(*rings, values=1):
    """Pieces by the numbers of their places; each corner's value is its place's."""
    place = np.concatenate([np.array(ring) for ring in rings])
    piece = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    return Loops(piece, place, np.repeat(place[:, None].astype(float), values, axis=1))


def rings_of(loops):
    return [loops.place[loops.piece == piece].tolist() for piece in np.unique(loops.piece)]


def test_sides_without_a_neighbour_are_all_but_those_that_run_both_ways():
    rows = np.array([[0, 1, 2], [2, 1, 3], [4, 5, 6], [4, 5, 7]])
    sides = np.stack([rows, np.roll(rows, -1, axis=1)], axis=2).reshape(-1, 2)
    found = {tuple(side) for side in sides[find_lone(rows)].tolist()}
    assert found == {tuple(side) for side in sides.tolist()} - {(1, 2), (2, 1)}
    assert len(find_lone(rows)) == 10  # 4 to 5 twice


def test_corners_follow_one_another_around_each_piece():
    assert_array_equal(loops_of([0, 1, 2], [0, 2, 5, 3]).after, [1, 2, 0, 4, 5, 6, 3])


def test_the_twin_of_a_side_runs_the_other_way():
    twins = loops_of([0, 1, 2], [0, 2, 3]).find_twins()
    assert_array_equal(twins, [-1, -1, 3, 2, -1, -1])


def test_a_side_that_runs_the_same_way_is_no_twin():
    assert (loops_of([0, 1, 2], [0, 1, 3]).find_twins() == -1).all()


def test_of_three_sides_between_two_places_two_are_twins():
    twins = loops_of([0, 1, 2], [0, 3, 1], [0, 5, 1]).find_twins()
    sides = np.flatnonzero(twins >= 0)
    assert len(sides) == 2
    assert sides[0] == 0  # the only one that runs from 0 to 1
    assert_array_equal(twins[twins[sides]], sides)


def test_a_piece_of_which_two_corners_fall_together_goes():
    moved = loops_of([0, 1, 2], [0, 2, 3]).at(np.array([0, 0, 2, 0, 2, 3]))
    assert rings_of(moved) == [[0, 2, 3]]


def test_a_larger_piece_only_loses_the_corner():
    assert rings_of(loops_of([0, 4, 1, 2]).at(np.array([0, 4, 4, 2]))) == [[0, 4, 2]]


def test_corners_are_put_into_sides_in_their_order():
    added = loops_of([0, 1, 2]).insert(
        np.array([0, 0, 2]), np.array([0.7, 0.2, 0.5]), np.array([7, 8, 9]), np.zeros((3, 1))
    )
    assert rings_of(added) == [[0, 8, 7, 1, 2, 9]]


def test_a_neighbours_corner_on_a_side_is_shared():
    shared = share_corners(loops_of([0, 1, 2, 5, 3], [0, 3, 5]), WHERE, within=1e-9)
    assert rings_of(shared) == [[0, 1, 2, 5, 3], [0, 3, 5]]
    whole, *halves = [0, 1, 2, 3], [3, 5, 0], [5, 2, 0]
    shared = share_corners(loops_of(whole[2:] + whole[:2], *halves), WHERE, within=1e-9)
    assert rings_of(shared)[0] == [2, 5, 3, 0, 1]


def test_a_corner_put_in_has_the_value_between():
    loops = loops_of([0, 1, 2], [0, 4, 3])  # the place 4 lies halfway from 0 to 1
    shared = share_corners(loops, WHERE, within=1e-9)
    held = shared.value[(shared.piece == 0) & (shared.place == 4), 0]
    assert_allclose(held, [0.5])


def test_corners_no_farther_apart_than_told_are_one_place():
    plan = np.array([[0, 0], [5, 5], [0, 4e-10], [1e-8, 0], [5, 5]])
    place, where = weld(plan, within=1e-9)
    assert len(where) == 3
    assert place[0] == place[2] != place[3]
    assert place[1] == place[4]
    assert_allclose(where[place], plan, atol=1e-9)


@pytest.mark.parametrize("width", [2, 3, 4])
def test_rows_are_numbered_as_numpy_does(width):
    rows = np.random.default_rng(3).integers(-1, 2, (200, width)).astype(float)
    distinct, number = number_rows(rows)
    expected, inverse = np.unique(rows, axis=0, return_inverse=True)
    assert_array_equal(distinct, expected)
    assert_array_equal(number, inverse.ravel())


def test_places_are_welded_as_a_tree_would_pair_them():
    rng = np.random.default_rng(5)
    near = rng.integers(0, 4, (300, 2)) + rng.choice([0, 0.6e-9, 0.9e-9, 3e-9], (300, 2))
    place, where = weld(near, within=1e-9)
    assert (np.hypot(*(where[place] - near).T) < 5e-9).all()
    distinct, own = number_rows(near)
    pairs = cKDTree(distinct).query_pairs(1e-9, output_type="ndarray")
    groups = label_groups(len(distinct), pairs)[own]
    one, other = np.triu_indices(len(near), 1)
    assert_array_equal(place[one] == place[other], groups[one] == groups[other])
