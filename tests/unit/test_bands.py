import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.drawing.bands import choose_bands, choose_moves, say_level
from gradevol.ground.units import Units
from gradevol.out.pictures.colours import paint

EDGE = np.array([[0.0, 0], [6, 0], [6, 4], [0, 4]])


def tilted(drop):
    """Shots at the corners of the slab, `drop` lower in the east than in the west, m."""
    return np.column_stack([EDGE, 9.85 - drop * EDGE[:, 0] / 6])


@pytest.mark.parametrize("unit", ["m", "ft"])
@pytest.mark.parametrize("drop", [0.0, 0.004, 0.03, 0.2, 3.0])
def test_bands_hold_the_thickness_in_a_few_round_steps(make_result, unit, drop):
    result = make_result(tilted(drop), EDGE, 10.0, unit=unit)
    bands = choose_bands(result)
    assert 5 <= len(bands.labels) - 1 <= 10
    steps = np.diff(bands.levels)
    round_one = 0.005 if unit == "m" else 0.25 * 0.0254
    assert_allclose(steps / round_one, np.rint(steps[0] / round_one), atol=1e-6)
    assert bands.levels[0] <= result.slab.least_thickness + 1e-9
    assert bands.levels[-1] >= result.slab.thickness - 1e-9
    assert bands.is_open_below == (result.thickness.min < bands.levels[0] - 1e-6)
    assert bands.is_open_above == (result.thickness.max > bands.levels[-1] + 1e-6)


def test_thinner_is_paler(make_result):
    bands = choose_bands(make_result(tilted(0.03), EDGE, 10.0))
    painted = paint(bands, np.array([0.0, 0.14, 0.16, 9.0]))
    assert (np.diff(painted[:, :3].sum(axis=1)) < 0).all()
    assert_allclose(painted[:, 3], 1)
    assert paint(bands, np.array([np.nan]))[0, 3] == 0


@pytest.mark.parametrize("drop", [0.0, 0.03, 0.2])
def test_moves_hold_the_thickness_about_the_design_and_one_step_to_either_side(make_result, drop):
    result = make_result(tilted(drop), EDGE, 10.0)
    bands = choose_bands(result)
    moves = choose_moves(bands, result)
    step = bands.levels[1] - bands.levels[0]
    assert_allclose(np.diff(moves.levels), step)
    assert moves.steps.min() <= -1
    assert moves.steps.max() >= 1
    assert_allclose((moves.levels[:-1] + moves.levels[1:]) / 2, moves.steps * step, atol=1e-12)
    assert moves.levels[0] <= result.thickness.min - result.slab.thickness
    assert moves.levels[-1] >= result.thickness.max - result.slab.thickness
    assert moves.labels[moves.steps.tolist().index(-1)] == f"{1000 * step:.0f}"


def test_levels_are_said_as_a_tape_shows_them():
    assert say_level(5.5 * 0.0254, Units.of_job("ft")) == "5 1/2"
    assert say_level(0.14, Units.of_job("mm")) == "140"
