"""What a measured top's own shots, and the gaps between them, leave open of the volume."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.geometry.prisms import integral, plan_area
from gradevol.site.slab import Slab
from gradevol.site.survey import Survey
from gradevol.site.top import Between, Level, Measured, Panel, Panels, Plane, build_top
from gradevol.uncertainty.top_shots import measure_weights, spread_of_gaps, study_top

WIDE, LONG = 12.0, 18.0
EDGE = np.array([[0, 0], [WIDE, 0], [WIDE, LONG], [0, LONG]])
SLAB = Slab(EDGE, (), 0.15, 0.13)
SHOT = 0.002
SURVEY = Survey(np.zeros((3, 3)), np.zeros(3), sigma=SHOT, stated=frozenset({"sigma"}))


def owed_by(design, survey=SURVEY):
    told = study_top(design, SLAB, survey)
    assert told is not None
    return told


def volume_under(design):
    corners = build_top(design, SLAB).surface.corners
    return float(integral(plan_area(corners), corners[..., 2]).sum())


def warp_form(rng, *, spread, reach):
    """A form along 18 m: what it stands above the string, m, as a random field of one length."""
    waves = rng.standard_normal(60) / reach, rng.uniform(0, 2 * np.pi, 60)
    return lambda at: (
        spread * np.sqrt(2 / 60) * np.cos(np.multiply.outer(at, waves[0]) + waves[1]).sum(axis=-1)
    )


def shoot_forms(rng, count, *, spread=0.005, reach=2.0):
    """Shots on two warped forms, and the volume under a screed that rides on both."""
    forms = [warp_form(rng, spread=spread, reach=reach) for _ in range(2)]
    at = np.linspace(0, LONG, count)
    shots = [
        np.column_stack([np.full(count, east), at, form(at) + SHOT * rng.standard_normal(count)])
        for east, form in zip((0.0, WIDE), forms, strict=True)
    ]
    along = (np.arange(200) + 0.5) / 200 * LONG
    truth = WIDE * LONG * np.mean([form(along).mean() for form in forms])
    return Measured(np.concatenate(shots)), truth


def errors_over_spreads(count, *, both=True, **form):
    """Error of the top's volume over the spread that is told, of 200 slabs."""
    found = []
    at = np.column_stack([np.repeat([0, WIDE], count), np.tile(np.linspace(0, LONG, count), 2)])
    weights = measure_weights(np.column_stack([at, np.zeros(2 * count)]), SLAB.outline)
    for seed in range(200):
        design, truth = shoot_forms(np.random.default_rng([8, seed]), count, **form)
        noise = SHOT * np.linalg.norm(weights)
        gaps = spread_of_gaps(design.points, weights, SHOT) if both else 0.0
        spread = np.hypot(noise, gaps)
        found.append((weights @ design.points[:, 2] - truth) / spread)
    return np.array(found)


@pytest.mark.parametrize(("count", "reach"), [(3, 1.5), (4, 8.0), (5, 3.0), (9, 1.5)])
def test_warped_forms_shot_at_a_few_places_are_held(count, reach):
    """Of 90 % intervals 86 % hold, less two standard deviations of a share of 200, and not all."""
    off = errors_over_spreads(count, reach=reach)
    assert np.mean(np.abs(off) < 1.645) >= 0.86 - 2 * np.sqrt(0.86 * 0.14 / 200)
    assert np.sqrt(np.mean(off**2)) > 0.4


def test_their_shots_noise_alone_would_not_hold_them():
    off = errors_over_spreads(3, both=False, spread=0.012, reach=3.0)
    assert np.mean(np.abs(off) < 1.645) < 0.7


def test_forms_that_are_straight_owe_little_but_the_noise_of_their_shots():
    off = errors_over_spreads(12, spread=0.0)
    assert np.mean(np.abs(off) < 1.645) >= 0.86
    design, _ = shoot_forms(np.random.default_rng(3), 12, spread=0.0)
    told = owed_by(design)
    assert told.gaps < 1.5 * told.shots


def test_weights_are_the_derivative_of_the_volume_by_each_shot():
    design, _ = shoot_forms(np.random.default_rng(1), 4)
    weights = measure_weights(design.points, SLAB.outline)
    assert_allclose(weights.sum(), WIDE * LONG)
    for number, weight in enumerate(weights):
        raised = design.points.copy()
        raised[number, 2] += 0.01
        by = volume_under(Measured(raised)) - volume_under(design)
        assert_allclose(by / 0.01, weight, atol=1e-6)


def test_a_break_of_the_design_between_forms_is_no_warp():
    """A crown in the middle bends three shots of twenty-seven; the others tell how forms stray."""
    at = np.linspace(0, LONG, 9)
    rng = np.random.default_rng(2)
    lines = [
        np.column_stack([np.full(9, east), at, level + SHOT * rng.standard_normal(9)])
        for east, level in ((0.0, 0.0), (WIDE / 2, 0.0), (WIDE, 0.0))
    ]
    flat = np.concatenate(lines)
    crowned = flat + np.where(flat[:, 1:2] == LONG / 2, [[0, 0, 0.06]], 0)
    told = [owed_by(Measured(points)).gaps for points in (flat, crowned)]
    assert told[1] < 4 * told[0]


def test_a_plane_through_many_points_owes_how_they_scatter_about_it():
    """As far off as the regression formula says, of 200 planes through the same places."""
    rng = np.random.default_rng(6)
    plan = rng.uniform([0, 0], [WIDE, LONG], (8, 2))
    off, told = [], []
    for _ in range(200):
        level = 0.02 * plan[:, 0] + 0.004 * rng.standard_normal(8)
        design = Plane(np.column_stack([plan, level]))
        off.append(volume_under(design) - 0.02 * WIDE / 2 * WIDE * LONG)
        told.append(owed_by(design).gaps)
    assert_allclose(np.sqrt(np.mean(np.square(off)) / np.mean(np.square(told))), 1, atol=0.15)


def test_panels_owe_what_each_of_them_does():
    points = shoot_forms(np.random.default_rng(1), 4)[0].points
    halves = [EDGE * [1, 0.5], EDGE * [1, 0.5] + [0, LONG / 2]]
    first, second = (Measured(points[np.isin(points[:, 1], at)]) for at in ([0, 6], [6, 12, 18]))
    mixed = Panels((Panel(halves[0], Level(0.1)), Panel(halves[1], second)))
    both = Panels((Panel(halves[0], first), Panel(halves[1], second)))
    told = [owed_by(design) for design in (mixed, both)]
    assert 0 < told[0].shots < told[1].shots
    assert_allclose(told[0].shots, SHOT * np.linalg.norm(measure_weights(second.points, _half())))


def _half():
    return shapely.box(0, LONG / 2, WIDE, LONG)


@pytest.mark.parametrize("count", [4, 9])
def test_the_order_of_the_shots_changes_nothing(count):
    rng = np.random.default_rng(5)
    plan = np.stack(np.meshgrid(np.linspace(0, WIDE, 4), np.linspace(0, LONG, count)), -1)
    points = np.column_stack([plan.reshape(-1, 2), 0.004 * rng.standard_normal(4 * count)])
    turned = points[rng.permutation(len(points))]
    assert_allclose(owed_by(Measured(points)).gaps, owed_by(Measured(turned)).gaps, rtol=1e-9)


@pytest.mark.parametrize(
    "design",
    [
        Level(0.1),
        Plane(np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0.0]])),
        Between(np.array([[0, 0, 0], [0, LONG, 0]]), np.array([[WIDE, 0, 0], [WIDE, LONG, 0.0]])),
    ],
)
def test_a_top_that_is_drawn_owes_nothing(design):
    assert study_top(design, SLAB, SURVEY) is None


def test_depths_are_measured_from_the_top_whatever_it_is():
    design = shoot_forms(np.random.default_rng(1), 4)[0]
    assert study_top(design, SLAB, replace(SURVEY, depths=np.zeros(3))) is None


def test_a_scans_accuracy_is_not_that_of_the_tops_shots():
    design = shoot_forms(np.random.default_rng(1), 4)[0]
    scan = replace(SURVEY, method="point cloud", sigma=0.009)
    told = owed_by(design, scan)
    assert (told.sigma, told.is_stated) == (0.002, False)
