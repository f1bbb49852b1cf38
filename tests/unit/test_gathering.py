"""Bins that grow while a cloud is read: the same bits whatever came first, in bounded memory."""

import pickle

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_array_equal

from gradevol.files.clouds import gathering, squares
from gradevol.files.clouds.bins import bin_points, coarsen_bins
from gradevol.files.clouds.gathering import Gathering
from gradevol.files.clouds.squares import MOST_IN_TABLE, Rectangle, find_line
from gradevol.files.clouds.stored import FINE, Steps, Stored, pack, store_points
from tests.conftest import examples

STEPS = Steps((0.001,) * 3, (500.0, 800.0, 20.0), (1.0,) * 3)


def scan(count, *, wide=4_000, seed=3):
    """Whole millimetres of an invented scan."""
    random = np.random.default_rng(seed)
    east, north = random.integers(-wide, wide, (2, count))
    return Stored((east, north, random.integers(-50, 50, count)), STEPS)


def gather(stored, shares, *, side=0.05, most=10**6, **rest):
    made = Gathering(side, STEPS, most, None, 0, **rest)
    for at, share in enumerate(shares):
        made.add(stored.keep(share), (at,))
    return made


def assert_same_bits(one, other):
    assert one.cell == other.cell
    for name in ("column", "row", "count"):
        assert_array_equal(getattr(one, name), getattr(other, name))
    for mine, theirs in zip(one.total, other.total, strict=True):
        assert_array_equal(mine, theirs)
    assert_array_equal(one.means, other.means)


def shares_of(count, parts, seed):
    order = np.random.default_rng(seed).permutation(count)
    return np.array_split(order, parts)


@examples(25)
@given(
    parts=st.integers(1, 7),
    seed=st.integers(0, 99),
    most=st.sampled_from([40, 300, 10**6]),
    expected=st.sampled_from([None, (496.0, 796.0, 504.0, 804.0), (0.0, 0.0, 9e3, 9e3)]),
)
def test_bins_are_the_same_bits_whatever_the_chunks_and_the_doublings(parts, seed, most, expected):
    stored = scan(600)
    whole = bin_points(stored, 0.05, STEPS)
    doubled = 0
    while len(whole) > most:
        doubled += 1
        whole = coarsen_bins(whole, 2, cell=0.05 * 2**doubled)
    made = gather(stored, shares_of(600, parts, seed), most=most, expected=expected)
    assert_same_bits(made.finish(), whole)
    assert made.doubled == doubled


@examples(25)
@given(st.permutations(range(4)), st.sampled_from([40, 10**6]))
def test_what_was_gathered_apart_is_put_together_to_the_same_bits(order, most):
    stored, shares = scan(600), shares_of(600, 4, 1)
    made = gather(stored, [], most=most)
    for part in order:
        apart = gather(stored, [shares[part]], most=most)
        apart.close()
        made.merge(apart)
    assert_same_bits(made.finish(), gather(stored, [slice(None)], most=most).finish())


@pytest.mark.parametrize(("side", "most"), [(0.05, 6 * 20_000), (0.25, 14 * 1_089)])
def test_few_points_are_sent_as_they_are_and_many_in_a_square_as_bins(side, most):
    stored = scan(20_000)
    apart = gather(stored, [], side=side)
    apart.go_apart()
    apart.add(stored, (0,))
    apart.close()
    sent = pickle.dumps(apart)
    assert len(sent) < most
    made = gather(stored, [], side=side)
    made.merge(pickle.loads(sent))
    assert_same_bits(made.finish(), bin_points(stored, side, STEPS))


def test_points_too_far_apart_for_a_table_wait_beside_it(monkeypatch):
    monkeypatch.setattr(squares, "MOST_IN_TABLE", 30_000)
    monkeypatch.setattr(gathering, "MOST_IN_TABLE", 30_000)
    near, far = scan(5_000), scan(3, wide=40_000_000)
    east, north, level = map(np.concatenate, zip(near.axes, far.axes, strict=True))
    both = Stored((east, north, level), STEPS)
    made = gather(both, [slice(0, 2_500), slice(2_500, None), slice(2_400, 2_500)])
    again = both.keep(np.r_[0:5_003, 2_400:2_500])
    assert_same_bits(made.finish(), bin_points(again, 0.05, STEPS))


def test_no_table_is_larger_than_tables_may_be_however_many_the_points(monkeypatch):
    monkeypatch.setattr(gathering, "MOST_IN_TABLE", 30_000)
    stored = scan(50_000, wide=10_000)
    made = gather(stored, shares_of(50_000, 3, 1))
    assert made._table is None
    assert_same_bits(made.finish(), bin_points(stored, 0.05, STEPS))


def test_tiles_a_whole_number_of_steps_apart_add_up_exactly():
    stored = scan(400)
    moved = Steps(STEPS.step, (512.0, 790.0, 20.5), STEPS.metres)
    east, north, level = stored.axes
    other = Stored((east - 12_000, north + 10_000, level - 500), moved)
    assert_same_bits(bin_points(other, 0.05, STEPS), bin_points(stored, 0.05, STEPS))


@pytest.mark.parametrize("wide", [4_000, 40_000_000, 2**40])
@pytest.mark.parametrize("cells", [4, 1_000])
def test_sums_are_exact_whether_or_not_two_fit_a_word(wide, cells):
    east, north = np.random.default_rng(4).integers(-wide, wide, (2, 300))
    stored = Stored((east, north, north // 2 - east), STEPS)
    bins = bin_points(stored, 0.002 * wide / cells, STEPS)
    held: dict[tuple[int, ...], list[list[int]]] = {}
    for point in np.column_stack(stored.axes).tolist():
        column, row = find_line(point[:2] * np.array(0.001) + (500, 800), bins.cell)
        held.setdefault((int(column), int(row)), []).append(point)
    found = zip(bins.column.tolist(), bins.row.tolist(), strict=True)
    sums = zip(bins.count.tolist(), *(axis.tolist() for axis in bins.total), strict=True)
    assert dict(zip(found, sums, strict=True)) == {
        place: (len(points), *map(sum, zip(*points, strict=True))) for place, points in held.items()
    }


def test_sums_past_what_64_bits_hold_still_give_the_mean():
    points = np.array([[6_543_210.25, 1_987_654.5, 4_000.0]])
    stored = store_points(np.repeat(points, 3_000, axis=0))
    with np.errstate(over="ignore"):
        assert abs(3_000 * points[0, 0] / FINE.step[0]) > 2**63
    assert_array_equal(bin_points(stored, 0.5).means, points)


def test_points_put_by_come_back_as_they_were_in_less_memory():
    stored = scan(10_000)
    packed = pack(stored)
    assert packed.nbytes <= stored.nbytes / 4
    for mine, theirs in zip(packed.unpack().axes, stored.axes, strict=True):
        assert_array_equal(mine, theirs)


@pytest.mark.parametrize("wide", [1_000, 40_000_000])
def test_what_is_looked_up_is_what_is_worked_out(wide):
    stored = scan(2_000, wide=wide)
    assert_array_equal(stored.work_out(0, np.sin), np.sin(stored.place(0)))


def test_a_table_begun_a_row_short_finds_room_for_all_rows_before_it_goes_on_across():
    limits = Rectangle(west=40_000, south=64_000, wide=8_000, tall=3_200)
    first = Rectangle(west=40_001, south=64_001, wide=10, tall=3_198)
    roomy = first.give_room(limits)
    assert (roomy.south, roomy.tall, roomy.west) == (64_000, 3_200, 40_000)
    assert MOST_IN_TABLE - 3_200 < roomy.size <= MOST_IN_TABLE
    upright = Rectangle(first.south, first.west, first.tall, first.wide).give_room(
        Rectangle(limits.south, limits.west, limits.tall, limits.wide)
    )
    assert upright == Rectangle(roomy.south, roomy.west, roomy.tall, roomy.wide)
