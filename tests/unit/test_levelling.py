from pathlib import Path

import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import InputError
from gradevol.site.levelling import reduce_levels
from gradevol.site.levelling.book import LevelNotes, LevelRow
from gradevol.site.levelling.misclosure import (
    Limit,
    adjust_by_distance,
    adjust_by_setups,
    find_exceeded,
)

na = None
PATH = Path("notes.csv")


def notes_of(*rows, known):
    """Notes from (point, BS, IS, FS), numbered from line 2 as below a header."""
    numbered = [
        LevelRow(point, back, between, fore, line=line)
        for line, (point, back, between, fore) in enumerate(rows, start=2)
    ]
    return LevelNotes(tuple(numbered), known, path=PATH)


def misclosure(leg):
    assert leg.misclosure is not None
    return leg.misclosure


def elevations(reduction):
    return [item.elevation for item in reduction.rows]


LOOP = [("BM", 1.5, na, na), ("TP1", 1.2, na, 1.0), ("x", na, 1.3, na), ("BM", na, na, 1.706)]


def test_sign_of_the_misclosure_is_observed_less_known():
    (leg,) = reduce_levels(notes_of(*LOOP, known={"BM": 100.0})).legs
    assert_allclose(misclosure(leg), -0.006, atol=1e-12)  # came in low


def test_by_setups_each_setup_takes_one_share():
    reduction = adjust_by_setups(reduce_levels(notes_of(*LOOP, known={"BM": 100.0})))
    corrections = [item.correction for item in reduction.rows]
    assert_allclose(corrections, [0, 0.003, 0.006, 0.006], atol=1e-12)
    assert reduction.adjusted == "setups"


def test_by_distance_the_longer_setup_takes_more():
    rows = (
        LevelRow("BM", backsight=1.5, backsight_length=10),
        LevelRow("TP1", backsight=1.2, foresight=1.0, backsight_length=30, foresight_length=10),
        LevelRow("BM", foresight=1.708, foresight_length=30),
    )
    reduction = reduce_levels(LevelNotes(rows, {"BM": 100.0}))
    assert reduction.legs[0].length == 80
    corrections = [item.correction for item in adjust_by_distance(reduction).rows]
    assert_allclose(corrections, [0, 0.002, 0.008], atol=1e-12)


def test_by_distance_needs_every_length():
    reduction = reduce_levels(notes_of(*LOOP, known={"BM": 100.0}))
    with pytest.raises(InputError, match=r"'BM' to 'BM' cannot be .* 0 of its 2 setups"):
        adjust_by_distance(reduction)


def test_an_open_line_is_left_as_observed():
    reduction = reduce_levels(notes_of(*LOOP[:2], ("end", na, na, 1.0), known={"BM": 100.0}))
    assert reduction.legs[0].misclosure is None
    assert adjust_by_setups(reduction) == reduction


def test_instrument_goes_on_from_the_known_elevation_on_the_way():
    reduction = reduce_levels(
        notes_of(
            ("A", 1.0, na, na),
            ("B", 2.0, na, 1.1),
            ("x", na, 1.5, na),
            ("end", na, na, 1.0),
            known={"A": 10.0, "B": 9.95},
        )
    )
    assert_allclose([leg.observed for leg in reduction.legs], [9.9, 10.95])
    assert_allclose(misclosure(reduction.legs[0]), -0.05)
    assert reduction.legs[1].misclosure is None
    assert_allclose(elevations(reduction), [10, 9.9, 10.45, 10.95])
    assert_allclose(elevations(adjust_by_setups(reduction)), [10, 9.95, 10.45, 10.95])


def test_turning_point_may_take_two_rows():
    one = notes_of(*LOOP, known={"BM": 100.0})
    two = notes_of(
        LOOP[0], ("TP1", na, na, 1.0), ("tp1 ", 1.2, na, na), *LOOP[2:], known={"BM": 100.0}
    )
    points = [item.elevation for item in adjust_by_setups(reduce_levels(two)).rows]
    assert_allclose(points[1], points[2])
    del points[2]
    assert_allclose(points, elevations(adjust_by_setups(reduce_levels(one))))


def test_a_new_line_begins_on_a_benchmark_and_setups_count_on():
    reduction = reduce_levels(
        notes_of(
            ("BM", 1.5, na, na), ("x", na, 1.0, na), ("BM", 1.6, na, na), ("y", na, 1.0, na),
            known={"BM": 100.0},
        )
    )  # fmt: skip
    assert_allclose(elevations(reduction), [100, 100.5, 100, 100.6])
    assert [item.setup for item in reduction.rows] == [1, 1, 2, 2]
    assert [note.code for note in reduction.notes] == ["setup-not-closed"]


def test_an_intermediate_sight_on_a_benchmark_checks_and_adjusts_nothing():
    reduction = reduce_levels(
        notes_of(("BM1", 1.5, na, na), ("BM2", na, 1.0, na), known={"BM1": 100.0, "BM2": 100.49})
    )
    (check,) = reduction.checks
    assert_allclose(check.observed - check.known, 0.01)
    assert adjust_by_setups(reduction) == reduction


def test_inverted_staff_stands_above_the_instrument_and_is_noted():
    reduction = reduce_levels(
        notes_of(("BM", 1.5, na, na), ("soffit", na, -2.0, na), known={"BM": 10})
    )
    assert_allclose(elevations(reduction), [10, 13.5])
    assert [note.code for note in reduction.notes] == ["staff-inverted"]


def test_booked_elevations_that_differ_are_noted():
    rows = (
        LevelRow("BM", backsight=1.5, booked_elevation=100.0),
        LevelRow("x", intermediate=1.0, booked_elevation=100.5),
        LevelRow("y", intermediate=1.1, booked_elevation=100.3),
    )
    (note,) = reduce_levels(LevelNotes(rows, {"BM": 100.0})).notes
    assert (note.code, note.points) == ("booked-elevations-differ", ("y",))
    assert_allclose(note.measures[0].value, 0.1)


@pytest.mark.parametrize(("booked", "is_right"), [(101.5, True), (101.5004, True), (101.51, False)])
def test_booked_height_of_instrument_is_checked_to_its_rounding(booked, is_right):
    rows = (
        LevelRow("BM", backsight=1.5, booked_instrument=booked, line=2),
        LevelRow("x", intermediate=1.0, line=3),
    )
    notes = LevelNotes(rows, {"BM": 100.0}, rounding=0.0005, path=PATH)
    if is_right:
        assert_allclose(elevations(reduce_levels(notes)), [100, 100.5])
    else:
        with pytest.raises(
            InputError,
            match=r"line 2: 'BM' has HI 101\.51 m, but its known elevation and BS make 101\.5\.",
        ):
            reduce_levels(notes)


@pytest.mark.parametrize(
    ("rows", "message"),
    [
        (
            [("BM", 1.0, na, na), ("x", 1.2, na, na)],
            "line 3: 'x' has a BS, .* two backsights without",
        ),
        (
            [("BM", 1.0, na, na), ("TP1", na, na, 1.2), ("TP2", 1.0, na, na)],
            "line 4: 'TP2' has a BS, but the last FS was on 'TP1'",
        ),
        ([("a", 4.37, na, na), ("1", na, na, 6.51), ("2", na, na, 6.46)], "under IS, not under FS"),
        ([("x", na, 1.2, na)], "line 2: 'x' has an IS, but no instrument stands"),
        (
            [("BM", 1.0, na, na), ("TP1", na, na, 1.2), ("x", na, 1.2, na)],
            "line 4: 'x' has an IS, .* since the last FS",
        ),
        (
            [("BM", 1.0, na, na), ("TP1", na, na, 1.2), ("TP2", na, na, 1.2)],
            "line 4: 'TP2' has an FS, .* since the last FS",
        ),
        ([("BM", na, na, 1.0), ("TP1", 1.0, na, na)], "line 2: 'BM' is the first .* are swapped"),
        ([("BM", 1.0, na, na), ("x", na, 1.0, 1.2)], "line 3: 'x' has both an IS and an FS"),
        ([("BM", 1.0, na, na), ("x", 1.0, 1.2, na)], "line 3: 'x' has both a BS and an IS"),
        ([("BM", 1.0, na, na), ("x", na, 0.0, na)], "line 3: 'x' has a reading of 0"),
        ([("BM", 1.0, na, na), ("x", na, na, na)], "line 3: 'x' has no reading"),
        ([("A", 1.0, na, na), ("x", na, 1.0, na)], "line 2: 'A' begins .* no elevation is known"),
    ],
)
def test_notes_that_make_no_setups_are_refused_with_their_line(rows, message):
    with pytest.raises(InputError, match=message):
        reduce_levels(notes_of(*rows, known={"BM": 100.0}))


def test_limits_by_length_and_by_setups():
    rows = (
        LevelRow("BM", backsight=1.5, backsight_length=2000),
        LevelRow("BM", foresight=1.49, foresight_length=2000),
    )
    (leg,) = reduce_levels(LevelNotes(rows, {"BM": 100.0})).legs
    assert Limit("", 0.004, "km").allowed(leg) == pytest.approx(0.008)
    assert Limit("", 0.004, "setup").allowed(leg) == pytest.approx(0.004)


@pytest.mark.parametrize(
    ("allowed", "is_exceeded"), [(0.0101, False), (0.01, False), (0.0099, True)]
)
def test_a_misclosure_of_just_what_is_allowed_is_within_it(allowed, is_exceeded):
    rows = [("BM", 1.51, na, na), ("BM", na, na, 1.5)]
    reduction = reduce_levels(notes_of(*rows, known={"BM": 100.0}))
    assert find_exceeded(reduction, [Limit("", allowed, "setup")]) == [is_exceeded]


def test_a_limit_that_cannot_be_held_against_anything_is_refused():
    loop = reduce_levels(notes_of(*LOOP, known={"BM": 100.0}))
    with pytest.raises(InputError, match="lengths of its sights are not known"):
        find_exceeded(loop, [Limit.of_order("third")])
    line = reduce_levels(notes_of(*LOOP[:2], known={"BM": 100.0}))
    with pytest.raises(InputError, match="no leg is closed"):
        find_exceeded(line, [Limit("5 mm × √setups", 0.005, "setup")])
