"""What a mark says of the base, as it is painted beside a shot."""

import numpy as np
import pytest

from gradevol.answer.said.painted import say_mark
from gradevol.ground.units import METRES

FOOT = METRES["ft"]
PAD = np.array([[0, 0], [12, 0], [12, 8], [0, 8.0]])
SHOTS = np.column_stack([PAD, np.zeros(4)])


def test_a_high_base_is_a_cut_and_a_low_one_a_fill_in_hundredths_of_a_foot(make_result):
    result = make_result(SHOTS, PAD, 0.15, unit="ft")
    assert say_mark(0.10 * FOOT, result) == "C.10"
    assert say_mark(-0.08 * FOOT, result) == "F.08"
    assert say_mark(1.25 * FOOT, result) == "C1.25"
    assert say_mark(0.10 * FOOT, result, is_suspect=True) == "C.10?"


def test_metric_marks_are_millimetres(make_result):
    result = make_result(SHOTS, PAD, 0.15, unit="m")
    assert say_mark(0.025, result) == "C25"
    assert say_mark(-0.008, result) == "F8"


@pytest.mark.parametrize(
    ("unit", "on_grade", "off_grade"), [("ft", 0.0149 * FOOT, 0.0151 * FOOT), ("m", 0.0034, 0.0036)]
)
def test_without_a_tolerance_a_hundredth_of_a_foot_or_three_millimetres_is_on_grade(
    make_result, unit, on_grade, off_grade
):
    result = make_result(SHOTS, PAD, 0.15, unit=unit)
    assert say_mark(on_grade, result) == say_mark(-on_grade, result) == "G"
    # and nothing is said to be off by no more than is on grade
    assert say_mark(off_grade, result) == ("C.02" if unit == "ft" else "C4")
    assert say_mark(-off_grade, result) == ("F.02" if unit == "ft" else "F4")


def test_the_jobs_tolerances_are_what_is_on_grade_each_its_own_way(make_result):
    result = make_result(SHOTS, PAD, 0.15, base_high=0.006, base_low=0.018)
    assert say_mark(0.006, result) == "G"
    assert say_mark(0.007, result) == "C7"
    assert say_mark(-0.018, result) == "G"
    assert say_mark(-0.019, result) == "F19"
