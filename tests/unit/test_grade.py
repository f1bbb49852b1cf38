"""What G means, and what marks say beside it."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gradevol.answer.drawing import draw_up
from gradevol.answer.grade import Grade, find_grade
from gradevol.ground.units import METRES, Units

EDGE = np.array([[0.0, 0], [6, 0], [6, 4], [0, 4]])
FEET, FOOT, INCH = Units.of_job("ft"), METRES["ft"], METRES["in"]


def grade_of(high, low, *, units=FEET, in_inches=False):
    given = {"is_high_given": True, "is_low_given": True, "in_inches": in_inches}
    return Grade(high, low, units=units, **given)


@pytest.mark.parametrize(
    ("feet", "mark"),
    [
        (0.0, "G"),
        (0.02, "G"),
        (0.0215, "C.03"),  # not C.02, which G holds
        (0.026, "C.03"),
        (0.104, "C.10"),
        (-0.06, "G"),
        (-0.0601, "F.07"),
        (-0.0749, "F.07"),
        (-1.25, "F1.25"),
    ],
)
def test_g_is_within_the_tolerances_and_no_mark_reads_as_within_them(feet, mark):
    assert grade_of(0.02 * FOOT, 0.06 * FOOT).say_mark(feet * FOOT) == mark


@pytest.mark.parametrize(
    ("inches", "mark"), [(0.2, "G"), (0.26, "C 3/8"), (-0.5, "F 1/2"), (-1.5, "F 1 1/2")]
)
def test_marks_in_inches_are_in_eighths(inches, mark):
    assert grade_of(0.24 * INCH, 0.3 * INCH, in_inches=True).say_mark(inches * INCH) == mark


def test_a_suspect_has_a_question_mark():
    assert grade_of(0.0, 0.0).say_mark(0.10 * FOOT, is_suspect=True) == "C.10?"
    assert grade_of(0.02, 0.02).say_mark(0.0, is_suspect=True) == "G?"


@given(
    st.floats(0, 0.05), st.floats(0, 0.05), st.floats(-0.2, 0.2),
    st.sampled_from([(FEET, False), (FEET, True), (Units.of_job("m"), False)]),
)  # fmt: skip
def test_a_mark_is_within_a_step_of_the_move_and_beyond_what_g_is_said_to_hold(high, low, off, how):
    grade = grade_of(high, low, units=how[0], in_inches=how[1])
    step = grade.step
    mark = grade.say_mark(off)
    assert (mark == "G") == grade.holds(off)
    if mark != "G":
        assert mark.startswith("C" if off > 0 else "F")
        wanted = [n for n in range(1000) if grade.say_steps(n) == grade.say_move(off)]
        assert abs(wanted[0] * step - abs(off)) <= step * 1.51
        limit = high if off > 0 else low
        assert wanted[0] > np.floor(limit / step + 0.5)


def test_without_a_tolerance_g_is_what_a_shot_is_sure_to_and_that_is_said(make_result):
    shots = np.column_stack([EDGE, np.full(4, 9.85)])
    plain = make_result(shots, EDGE, 10.0)
    survey = replace(plain.survey, sigma=0.003, datum_sigma=0.004)
    grade = find_grade(replace(plain, survey=survey))
    assert grade.high == grade.low == pytest.approx(0.005)
    assert grade.say_sense()[1] == (
        "C25 = 25 mm. G: no more than 5 mm high or low (no tolerance given: the shots' own "
        "accuracy)."
    )
    half = find_grade(make_result(shots, EDGE, 10.0, base_high=0.01))
    assert half.say_sense()[1].endswith(
        "G: no more than 10 mm high, 2 mm low (no low tolerance given: the shots' own accuracy)."
    )
    both = find_grade(make_result(shots, EDGE, 10.0, base_high=0.01, base_low=0.02))
    assert both.say_sense()[1].endswith("G: no more than 10 mm high, 20 mm low.")


def test_each_shot_on_the_slab_has_its_mark_on_the_map(make_result):
    shots = np.vstack([np.column_stack([EDGE, np.full(4, 9.85)]), [[3, 2, 9.87], [20, 2, 9.85]]])
    drawing = draw_up(make_result(shots, EDGE, 10.0, base_high=0.01, base_low=0.01))
    assert drawing.markings[0].marks == ("G", "G", "G", "G", "C20")


@given(
    st.floats(-0.3, 0.3),
    st.floats(0, 0.05),
    st.sampled_from([("ft", ""), ("us-ft", ""), ("m", ""), ("ft", "inches"), ("ft", "hundredths")]),
)
def test_mark_list_and_file_say_one_move_with_the_same_digits(off, tolerance, how):
    unit, notation = how
    units = Units.of_job(unit).written(notation)
    grade = grade_of(tolerance, tolerance / 2, units=units, in_inches=notation == "inches")
    mark, listed, booked = grade.say_move(off), grade.say_length(off), grade.say_booked(off)
    if unit == "m":
        assert listed == f"{mark} mm"
        assert float(booked) == pytest.approx(int(mark) / 1000)
    elif notation == "inches":
        assert listed == f"{mark} in"
    else:
        assert float(booked) == float(mark)
        if notation == "hundredths":
            assert listed == f"{float(mark):.2f} ft"


@pytest.mark.parametrize("steps", range(1, 60))
def test_a_half_is_rounded_up_whatever_the_noise_about_it(steps):
    grade = grade_of(0.0, 0.0)
    for noise in (-2e-6, 0.0, 2e-6):
        assert grade.count_steps((steps - 0.5) * FOOT / 100 + noise, FOOT / 100) == steps
        assert grade.count_steps(-(steps - 0.5) * FOOT / 100 - noise, FOOT / 100) == steps


def test_tolerances_do_not_move_with_the_notation(make_result):
    plain = make_result(np.column_stack([EDGE, np.full(4, 9.85)]), EDGE, 10.0, unit="ft")
    survey = replace(plain.survey, sigma=0.003, datum_sigma=0.004)
    grades = [
        find_grade(replace(plain, survey=survey, units=FEET.written(notation)))
        for notation in ("", "inches", "hundredths")
    ]
    assert len({(grade.high, grade.low) for grade in grades}) == 1
    assert [grade.unit for grade in grades] == ["ft", "in", "ft"]
