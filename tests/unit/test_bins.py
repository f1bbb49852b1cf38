"""Bins: what a square holds does not depend on how the points came, and planes survive."""

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files.clouds import bins as binning
from gradevol.files.clouds.bins import Bins, coarsen_bins, merge_bins
from gradevol.files.clouds.stored import Steps, Stored, store_points
from gradevol.ground.errors import GeometryError
from tests.conftest import examples

PLACES = arrays(float, (60, 3), elements=st.floats(-4, 4, allow_subnormal=False))
CELLS = st.sampled_from([0.05, 0.1, 0.3, 0.5, 1.0, 2.0, 7.0])
STATE_PLANE = np.array([6_543_210.0, 1_987_654.0, 1_234.0])


def bin_points(points, cell):
    return binning.bin_points(store_points(points), cell)


def parts_of(bins: Bins):
    return bins.column, bins.row, bins.count, *bins.total


def assert_same(one: Bins, other: Bins, *, atol: float = 1e-8) -> None:
    """One and other hold the same squares, counts and means."""
    assert_array_equal(one.column, other.column)
    assert_array_equal(one.row, other.row)
    assert_array_equal(one.count, other.count)
    assert_allclose(one.means, other.means, rtol=0, atol=atol)


def test_one_square_by_hand():
    points = np.array([[0.1, 0.2, 10.0], [0.5, 0.4, 10.2], [0.3, 0.9, 10.4], [1.5, 0.5, 11.0]])
    bins = bin_points(points, 1.0)
    assert_array_equal(bins.count, [3, 1])
    assert_allclose(bins.means, [[0.3, 0.5, 10.2], [1.5, 0.5, 11.0]], atol=1e-12)


@given(PLACES, CELLS, st.permutations(range(60)), st.integers(1, 59))
def test_bins_depend_neither_on_order_nor_on_chunks(places, cell, order, cut):
    points = places + STATE_PLANE
    shuffled = points[list(order)]
    parts = [bin_points(shuffled[cut:], cell), bin_points(shuffled[:cut], cell)]
    assert_same(merge_bins(parts), bin_points(points, cell))


@given(PLACES, CELLS)
def test_counts_add_up_to_the_points(places, cell):
    assert bin_points(places, cell).count.sum() == len(places)


@given(PLACES, CELLS, st.floats(-0.3, 0.3), st.floats(-0.3, 0.3))
def test_a_plane_is_kept_exactly(places, cell, east, north):
    places = places.copy()
    places[:, 2] = 20 + east * places[:, 0] + north * places[:, 1]
    pad = np.array([500.0, 800.0, 0.0])
    means = bin_points(places + pad, cell).means - pad
    assert_allclose(means[:, 2], 20 + means[:, :2] @ [east, north], atol=1e-11)


@given(PLACES, CELLS)
def test_each_mean_lies_in_its_own_square(places, cell):
    bins = bin_points(places, cell)
    middles = (np.column_stack([bins.column, bins.row]) + 0.5) * cell
    assert (np.abs(bins.means[:, :2] - middles) <= cell / 2 + 1e-7).all()


@given(PLACES, st.sampled_from([0.1, 0.5, 1.0]), st.sampled_from([2, 5, 10]))
def test_coarser_bins_are_those_of_the_points(places, cell, factor):
    assert_same(
        coarsen_bins(bin_points(places, cell), factor, cell=cell * factor),
        bin_points(places, cell * factor),
    )


@examples(30)
@given(PLACES)
def test_a_table_and_a_sort_give_the_same_bins(places):
    far = np.vstack([places, [[90_000.0, 90_000.0, 0.0]]])  # too sparse for a table
    near, both = bin_points(places, 0.5), bin_points(far, 0.5)
    assert len(both) == len(near) + 1
    assert_allclose(both.means[:-1], near.means, rtol=0, atol=1e-9)


@given(PLACES, CELLS, st.integers(0, 60))
def test_bins_arrive_as_they_were_sent(places, cell, count):
    bins = bin_points((places + STATE_PLANE)[:count], cell)
    arrived = pickle.loads(pickle.dumps(bins))
    assert (arrived.cell, arrived.steps) == (bins.cell, bins.steps)
    for one, other in zip(parts_of(bins), parts_of(arrived), strict=True):
        assert other.dtype == one.dtype
        assert_array_equal(other, one)


def test_bins_of_a_scan_are_sent_in_a_quarter_of_their_memory():
    east, north, level = np.random.default_rng(2).integers(0, 30_000, (3, 5000))
    steps = Steps((0.001,) * 3, (6_543_210.0, 1_987_654.0, 1_234.0), (1.0,) * 3)
    bins = binning.bin_points(Stored((east, north, level), steps), 0.05, steps)
    assert 4 * len(pickle.dumps(bins)) < sum(part.nbytes for part in parts_of(bins))


def test_points_on_a_side_belong_to_the_square_beyond_it():
    # 0.3 / 0.1 is 2.9999999999999996
    bins = bin_points(np.array([[0.3, 0.6, 1.0], [0.7, 0.7, 1.0]]), 0.1)
    assert_array_equal(bins.column, [3, 7])
    assert_array_equal(bins.row, [6, 7])


def test_no_points_make_no_bins():
    assert len(bin_points(np.empty((0, 3)), 1.0)) == 0


@pytest.mark.parametrize("cell", [0.0, -1.0, float("nan"), float("inf")])
def test_a_side_of_nothing_is_refused(cell):
    with pytest.raises(ValueError, match="cell must be above zero"):
        bin_points(np.zeros((1, 3)), cell)


def test_bins_of_two_sides_do_not_merge():
    points = np.zeros((1, 3))
    with pytest.raises(ValueError, match="do not merge"):
        merge_bins([bin_points(points, 1.0), bin_points(points, 2.0)])


def test_stray_points_too_far_to_number_are_refused():
    stray = np.array([[0.0, 0.0, 0.0], [9e8, 9e8, 0.0]])
    with pytest.raises(GeometryError, match="stray points"):
        bin_points(stray, 1e-4)
