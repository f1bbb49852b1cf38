"""What holds for any level notes."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.site.levelling import reduce_levels
from gradevol.site.levelling.book import LevelNotes, LevelRow
from gradevol.site.levelling.misclosure import adjust_by_distance, adjust_by_setups

readings = st.integers(1, 4000).map(lambda millimetres: millimetres / 1000)
setups = st.lists(
    st.tuples(readings, st.lists(readings, max_size=4), readings), min_size=1, max_size=6
)
elevations = st.integers(-1_000_000, 9_000_000).map(lambda millimetres: millimetres / 1000)


def line_of(setups, start, end=None, sight=None):
    """A line of levels from BM1 to BM2; `sight`: the length of every sight."""
    known = {"BM1": start} | ({} if end is None else {"BM2": end})
    rows: list[LevelRow] = []
    for number, (back, shots, fore) in enumerate(setups):
        before = rows.pop() if rows else LevelRow("BM1")
        rows.append(replace(before, backsight=back, backsight_length=sight))
        rows += [LevelRow(f"{number}-{n}", intermediate=shot) for n, shot in enumerate(shots)]
        point = "BM2" if number == len(setups) - 1 else f"TP{number + 1}"
        rows.append(LevelRow(point, foresight=fore, foresight_length=sight))
    return LevelNotes(tuple(rows), known)


def by_point(reduction):
    return {item.row.point: item.elevation for item in reduction.rows}


@given(setups, elevations, st.randoms(use_true_random=False))
def test_order_of_intermediate_sights_does_not_matter(setups, start, random):
    notes = line_of(setups, start, start + 1)
    parts = []
    for row in notes.rows:  # shuffled within each setup
        if row.intermediate is None:
            parts += [[row], []]
        else:
            parts[-1].append(row)
    for part in parts:
        random.shuffle(part)
    shuffled = replace(notes, rows=tuple(row for part in parts for row in part))
    assert by_point(adjust_by_setups(reduce_levels(shuffled))) == by_point(
        adjust_by_setups(reduce_levels(notes))
    )


@given(setups, elevations, elevations)
def test_an_adjusted_line_closes(setups, start, end):
    reduction = adjust_by_setups(reduce_levels(line_of(setups, start, end)))
    assert_allclose(reduction.rows[-1].elevation, end, atol=1e-8)
    assert reduction.rows[0].elevation == start


@given(setups, elevations)
def test_misclosure_of_a_loop_is_backsights_less_foresights(setups, start):
    notes = line_of(setups, start)
    loop = replace(notes, rows=(*notes.rows[:-1], replace(notes.rows[-1], point="BM1")))
    (leg,) = reduce_levels(loop).legs
    back, fore = leg.sums
    assert leg.misclosure == pytest.approx(back - fore, abs=1e-8)


@given(setups, elevations, elevations, st.floats(1, 100))
def test_equal_sights_are_adjusted_alike_by_setups_and_by_distance(setups, start, end, sight):
    reduction = reduce_levels(line_of(setups, start, end, sight))
    by_setups, by_distance = adjust_by_setups(reduction), adjust_by_distance(reduction)
    assert_allclose(
        [item.correction for item in by_setups.rows],
        [item.correction for item in by_distance.rows],
        rtol=1e-9,
        atol=1e-9,
    )
    assert (by_setups.adjusted, by_distance.adjusted) == ("setups", "distance")


@given(setups, elevations, st.integers(-1000, 1000))
def test_shifting_the_benchmark_shifts_everything(setups, start, shift):
    before = reduce_levels(line_of(setups, start))
    after = reduce_levels(line_of(setups, start + shift))
    assert_allclose(
        [item.observed + shift for item in before.rows],
        [item.observed for item in after.rows],
        atol=1e-8,
    )


@given(setups, elevations)
def test_levels_hang_alike_on_a_benchmark_at_either_end(setups, start):
    forward = reduce_levels(line_of(setups, start))
    end = forward.rows[-1].observed
    backward = reduce_levels(replace(line_of(setups, 0.0), known={"BM2": end}))
    assert_allclose(
        [item.observed for item in forward.rows],
        [item.observed for item in backward.rows],
        atol=1e-8,
    )


@given(setups, setups, elevations, elevations, elevations)
def test_each_leg_between_benchmarks_is_adjusted_on_its_own(first, second, start, middle, end):
    one = line_of(first, start, middle)
    two = line_of(second, middle, end)
    rename = {"BM1": "BM2", "BM2": "BM3"}
    second_rows = [
        replace(row, point=rename.get(row.point, f"second {row.point}")) for row in two.rows
    ]
    turning = replace(one.rows[-1], backsight=second_rows[0].backsight)
    both = LevelNotes(
        (*one.rows[:-1], turning, *second_rows[1:]), {"BM1": start, "BM2": middle, "BM3": end}
    )
    together = adjust_by_setups(reduce_levels(both))
    apart = [adjust_by_setups(reduce_levels(notes)) for notes in (one, two)]
    assert len(together.legs) == 2
    assert_allclose(
        [item.elevation for item in together.rows],
        [item.elevation for item in (*apart[0].rows, *apart[1].rows[1:])],
        atol=1e-8,
    )


def test_the_examples_above_do_have_intermediate_sights():
    notes = line_of([(1.0, [1.5, 2.0], 1.2), (1.1, [1.3], 0.9)], 100.0, 100.5)
    assert [row.point for row in notes.rows] == ["BM1", "0-0", "0-1", "TP1", "1-0", "BM2"]
    assert reduce_levels(notes).legs[0].misclosure == pytest.approx(-0.5)
