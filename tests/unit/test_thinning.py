"""The cell of a cloud: stated, or chosen from how dense its points are and how they scatter."""

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.files.clouds.bins import bin_points
from gradevol.files.clouds.stored import store_points
from gradevol.files.clouds.thinning import INCH_STEP, STEP, finish_thinning, start_thinning
from gradevol.files.clouds.thinning_notes import note_choice
from gradevol.files.sources import MOST_BINS
from gradevol.ground.units import Units

STATE_PLANE = np.array([2_104_000.0, 731_000.0, 1_200.0])
INCH = 0.0254
CAREFUL = 0.0015


def scan(spacing, noise, *, side=10.0, slope=0.02, seed=1):
    """Points of an invented base with a slope, and how far off it each is."""
    random = np.random.default_rng(seed)
    count = round((side / spacing) ** 2)
    plan = random.uniform(0, side, (count, 2))
    off = random.normal(0, noise, count)
    return np.column_stack([plan, slope * plan @ [1, -0.5] + off]) + STATE_PLANE, off


def thin_points(chunks, cell, *, step=STEP, most_bins=MOST_BINS, **rest):
    gathering = start_thinning(cell, step=step, most_bins=most_bins, **rest)
    for at, points in enumerate(chunks):
        gathering.add(store_points(points), (at,))
    return finish_thinning(gathering, cell, step=step, most_bins=most_bins)


def depart(points, slope=0.02):
    east, north, level = (points - STATE_PLANE).T
    return level - slope * (east - 0.5 * north)


@pytest.mark.parametrize(
    ("spacing", "noise"),
    [(0.02, 0.003), (0.02, 0.006), (0.04, 0.004), (0.075, 0.003), (0.1, 0.005)],
)
def test_a_noisy_cloud_is_gathered_until_its_points_are_as_sure_as_careful_shots(spacing, noise):
    points, _ = scan(spacing, noise)
    thinned = thin_points(np.array_split(points, 7), None)
    assert thinned.grain.cell > 0
    assert depart(thinned.points).std() < CAREFUL * 1.05
    assert thinned.grain.scatter == pytest.approx(noise, rel=0.04)
    assert thinned.grain.sigma == pytest.approx(depart(thinned.points).std(), rel=0.25)


@pytest.mark.parametrize("step", [0.05, INCH_STEP])
@pytest.mark.parametrize(
    ("spacing", "noise", "multiple"),
    [(0.01, 0.003, 2), (0.02, 0.006, 2), (0.075, 0.003, 4), (0.2, 0.010, 10)],
)
def test_the_cell_grows_with_spacing_and_noise_in_round_steps(spacing, noise, multiple, step):
    points, _ = scan(spacing, noise, side=6.0 if spacing < 0.05 else 12.0)
    assert thin_points([points], None, step=step).grain.cell == pytest.approx(step * multiple)


def test_the_choice_depends_neither_on_order_nor_on_chunks():
    points, _ = scan(0.05, 0.004)
    one = thin_points([points], None)
    mixed = np.random.default_rng(2).permutation(points)
    other = thin_points(np.array_split(mixed, 11), None)
    assert other.grain.cell == one.grain.cell
    assert_allclose(other.points, one.points, rtol=0, atol=1e-8)


def test_a_slope_a_ridge_and_a_step_are_no_scatter():
    points, _ = scan(0.02, 0.002, slope=0.3)
    points[:, 2] += np.where(points[:, 0] - STATE_PLANE[0] > 5.1, 0.4, 0.0)
    assert thin_points([points], None).grain.scatter == pytest.approx(0.002, rel=0.04)


def test_points_that_lie_apart_and_are_sure_stand_for_themselves():
    points, _ = scan(0.2, 0.001)
    thinned = thin_points([points[:400], points[400:]], None)
    assert thinned.grain.cell == 0
    assert_array_equal(thinned.points, points)


def test_too_few_points_to_tell_a_scatter_stand_for_themselves():
    points = np.arange(15.0).reshape(5, 3)
    thinned = thin_points([points[:2], points[2:]], None)
    assert (thinned.grain.cell, thinned.grain.scatter) == (0, None)
    assert_array_equal(thinned.points, points)
    assert "too few" in note_choice(thinned.grain, 0.1).text


def test_more_bins_than_can_be_worked_with_are_made_larger():
    points, _ = scan(0.05, 0.003)
    thinned = thin_points(np.array_split(points, 9), None, most_points=1000, most_bins=100)
    assert thinned.grain.cell == 1.6
    assert_allclose(thinned.points, bin_points(store_points(points), 1.6).means, rtol=0, atol=1e-7)


def test_one_stray_point_does_not_coarsen_the_cell():
    points, _ = scan(0.05, 0.003)
    cell = thin_points([points], None, most_points=1000, most_bins=500).grain.cell
    stray = STATE_PLANE[None] + 5000.0
    with_stray = thin_points([points, stray], None, most_points=1000, most_bins=501)
    assert with_stray.grain.cell == cell


@pytest.mark.parametrize("cell", [0.02, 0.5, 4 * INCH])
def test_a_stated_cell_is_used_whatever_the_count(cell):
    points, _ = scan(0.05, 0.003)
    thinned = thin_points(np.array_split(points, 9), cell, most_bins=50)
    assert thinned.grain.cell == cell
    assert_allclose(thinned.points, bin_points(store_points(points), cell).means, rtol=0, atol=1e-7)


def test_who_asks_for_every_point_gets_it_and_how_it_scatters():
    points, _ = scan(0.05, 0.003)
    thinned = thin_points(np.array_split(points, 3), 0)
    assert_array_equal(thinned.points, points)
    assert thinned.grain.sigma == pytest.approx(0.003, rel=0.04)


@pytest.mark.parametrize(
    ("unit", "step", "said"),
    [
        ("m", 0.05, "squares of 100 mm were chosen: a single point is off by 6.0 mm"),
        ("ft", INCH_STEP, "squares of 4 in were chosen: a single point is off by 0.24 in"),
    ],
)
def test_a_note_says_which_cell_was_chosen_and_why_in_the_jobs_units(unit, step, said):
    points, _ = scan(0.01, 0.006, side=5.0)
    grain = thin_points([points], None, step=step).grain
    assert said in note_choice(grain, 2 * step).say(Units.of_job(unit))
