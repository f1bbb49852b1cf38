from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.drawing.bands import EACH_WAY, choose_bands, choose_moves
from gradevol.answer.grade import find_grade
from gradevol.ground.units import METRES, Units
from gradevol.out.pictures.colours import paint

EDGE = np.array([[0.0, 0], [6, 0], [6, 4], [0, 4]])
FOOT = METRES["ft"]


def tilted(drop):
    """Shots at the corners of the slab, `drop` lower in the east than in the west, m."""
    return np.column_stack([EDGE, 9.85 - drop * EDGE[:, 0] / 6])


@pytest.mark.parametrize("unit", ["m", "ft"])
@pytest.mark.parametrize("drop", [0.0, 0.004, 0.03, 0.2, 3.0])
def test_the_design_lies_in_the_middle_of_its_band_and_the_least_on_the_scale(
    make_result, unit, drop
):
    result = make_result(tilted(drop), EDGE, 10.0, unit=unit)
    bands, slab = choose_bands(result), result.slab
    width = np.diff(bands.levels)
    assert_allclose(width, width[0])
    round_one = 0.002 if unit == "m" else 0.25 * 0.0254
    assert_allclose(width / round_one, np.rint(width[0] / round_one), atol=1e-6)
    assert len(bands.steps) == len(bands.levels) - 1 == len(bands.labels) - 1
    at = bands.steps.tolist().index(0)
    assert bands.levels[at : at + 2].mean() == pytest.approx(slab.thickness)
    assert bands.levels[0] <= slab.least_thickness + 1e-9
    assert bands.is_open_below == (result.thickness.min < bands.levels[0] - 1e-6)
    assert bands.is_open_above == (result.thickness.max > bands.levels[-1] + 1e-6)


def test_the_scale_hangs_on_the_job_not_on_the_base(make_result):
    seen = [
        choose_bands(make_result(tilted(drop), EDGE, 10.0, base_high=0.01, base_low=0.015))
        for drop in (-0.03, 0.0, 0.01, 0.04)
    ]
    for bands in seen[1:]:
        assert_allclose(bands.levels, seen[0].levels)
        assert bands.labels == seen[0].labels
    assert_allclose(np.diff(seen[0].levels), 0.01)


def test_the_steps_are_near_the_tolerances(make_result):
    for high, low, step in ((0.002, 0.003, 0.01), (0.02, 0.02, 0.02), (0.04, 0.06, 0.05)):
        result = make_result(tilted(0.01), EDGE, 10.0, base_high=high, base_low=low)
        # the least thickness, 19 mm under the design, stays on the scale
        assert np.diff(choose_bands(result).levels)[0] == pytest.approx(step)


def test_a_slab_far_from_its_design_has_wider_bands(make_result):
    bands = choose_bands(make_result(tilted(3.0), EDGE, 10.0, base_high=0.01, base_low=0.01))
    assert np.diff(bands.levels)[0] >= 0.2
    assert bands.levels[0] < 0.0 < bands.levels[1]  # nothing is thinner than none


def test_the_design_has_one_colour_and_thinner_is_paler(make_result):
    colours = []
    for drop, low in ((0.0, 0.01), (0.2, 0.05), (0.01, 0.01)):
        result = make_result(tilted(drop), EDGE, 10.0, base_high=low, base_low=low)
        painted = paint(choose_bands(result), np.array([0.0, 0.15, 99.0]))
        assert (np.diff(painted[:, :3].sum(axis=1)) < 0).all()
        assert_allclose(painted[:, 3], 1)
        colours.append(painted[1])
    assert_allclose(colours[1:], colours[:-1])
    assert paint(choose_bands(result), np.array([np.nan]))[0, 3] == 0


def test_what_is_on_grade_is_one_band_of_cut_and_fill(make_result):
    result = make_result(tilted(0.03), EDGE, 10.0, unit="ft", base_high=0.02, base_low=0.06)
    grade = find_grade(result)
    moves = choose_moves(grade)
    at = moves.steps.tolist().index(0)
    assert_allclose(moves.levels[at : at + 2], [-grade.high, grade.low])
    assert len(moves.steps) == 2 * EACH_WAY + 1 == len(moves.levels) - 1 == len(moves.labels) + 1
    assert (np.diff(moves.levels) > 0).all()
    assert moves.labels[EACH_WAY - 1][0] == "C"
    assert moves.labels[EACH_WAY][0] == "F"


def test_cut_and_fill_are_in_the_units_of_the_marks(make_result):
    limits = {"base_high": 0.02 * FOOT, "base_low": 0.06 * FOOT}
    result = make_result(tilted(0.03), EDGE, 10.0, unit="ft", **limits)
    assert choose_moves(find_grade(result)).labels == (
        "C.17", "C.12", "C.07", "C.02", "F.06", "F.11", "F.16", "F.21",
    )  # fmt: skip
    inches = replace(result, marks="inches")
    assert choose_moves(find_grade(inches)).labels[3:5] == ("C 1/4", "F 3/4")


def test_levels_are_said_as_a_tape_shows_them():
    assert Units.of_job("ft").say_bare_thickness(5.5 * 0.0254) == "5 1/2"
    assert Units.of_job("mm").say_bare_thickness(0.14) == "140"
