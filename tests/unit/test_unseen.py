import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.ground.units import Units
from gradevol.uncertainty.trend import STRIP, build_trend
from gradevol.uncertainty.unseen import (
    find_rows,
    measure_unseen,
    remark_on_forms,
    remark_on_rows,
    stand_off_rows,
)
from tests.pads import grid

SLAB = shapely.box(0, 0, 12, 18)
METRIC = Units.of_job("m")


def lay_out(step, start=0.3):
    east, north = np.arange(start, 12, step), np.arange(start, 18, step)
    return grid(east, north)


def test_a_track_is_hidden_wherever_no_shot_would_stand_in_it():
    along, across = find_rows(lay_out(2.4), SLAB, 0.0)
    # middles of the track lie within 0.15 to 17.85 m; rows at 0.3, 2.7 ... 17.1 m, eight of them:
    # seven gaps less the track's 0.3 m, and what is left beyond the outer rows
    assert_allclose(along.hidden, (7 * 2.1 + 0.6) / 17.7)
    assert (along.count, across.count) == (8, 5)
    assert_allclose([along.gap, across.gap], 2.4)


def test_staggered_shots_hide_less_than_as_many_in_rows():
    rng = np.random.default_rng(3)
    rows = lay_out(2.4)
    scattered = rng.uniform([0, 0], [12, 18], rows.shape)
    unseen = [measure_unseen(find_rows(p, SLAB, 0.0), SLAB) for p in (rows, scattered)]
    assert unseen[0] > 2 * unseen[1]
    assert measure_unseen(find_rows(rng.uniform([0, 0], [12, 18], (4000, 2)), SLAB, 0.0), SLAB) < (
        0.05 * unseen[1]
    )


def test_what_rows_hide_is_bounded_whatever_the_shots():
    """Two tracks of 0.3 m by 25 mm, and waves of 8 mm a sixteenth of the time over two rows."""
    for step in (0.5, 1.0, 3.0, 5.9):
        unseen = measure_unseen(find_rows(lay_out(step), SLAB, 0.0), SLAB) / SLAB.area
        assert unseen <= np.hypot(0.5 * np.sqrt(2) * 2 * 0.025 * 0.3 / 12, 0.25 * 0.008)


@pytest.mark.parametrize("degrees", [17.0, 90.0, 133.0])
def test_turned_coordinates_hide_as_much(degrees):
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    by = np.array([[cos, sin], [-sin, cos]])
    turned = shapely.transform(SLAB, lambda plan: plan @ by)
    here = measure_unseen(find_rows(lay_out(2.0), SLAB, 0.0), SLAB)
    there = find_rows(lay_out(2.0) @ by, turned, np.radians(degrees))
    assert_allclose(measure_unseen(there, turned), here, rtol=1e-9)


def test_rows_are_told_where_they_are_a_good_part_of_the_spread():
    rows = find_rows(lay_out(2.4), SLAB, 0.0)
    (note,) = remark_on_rows(rows, 0.2, 0.3, SLAB)
    assert note.code == "interval-rows"
    assert "Stagger the next shots" in note.say(METRIC)
    assert "2.4" in note.say(METRIC)
    # two ruts of 0.3 m along the 18 m
    assert "a pair 25 mm deep all along takes 0.27 m³ more" in note.say(METRIC)
    assert remark_on_rows(rows, 0.05, 0.3, SLAB) == ()
    scattered = np.random.default_rng(3).uniform([0, 0], [12, 18], (80, 2))
    assert remark_on_rows(find_rows(scattered, SLAB, 0.0), 0.2, 0.3, SLAB) == ()


def test_places_off_the_rows_lie_a_quarter_of_the_gap_from_them():
    rows = tuple(find_rows(lay_out(2.4), SLAB, 0.0))
    plan = np.array([[1.5, 1.5], [0.4, 1.5], [1.5, 2.6], [1.0, 3.5], [0.8, 3.5]])
    assert stand_off_rows(rows, plan).tolist() == [True, False, False, True, False]


def test_too_few_shots_at_the_forms_are_told():
    trend = build_trend(lay_out(2.0), SLAB)
    (note,) = remark_on_forms(lay_out(2.0, start=1.0), trend)
    assert note.code == "interval-forms"
    assert "no shot is within" in note.say(METRIC)
    assert remark_on_forms(lay_out(2.0, start=0.2), trend) == ()


def test_the_strip_along_the_forms_is_integrated_in_closed_form():
    """Four wedges, less what they share at the corners: pyramids of height one, twice."""
    made = build_trend(lay_out(2.0), SLAB)
    assert_allclose(made.whole[3], 60 * STRIP / 2 - 4 * STRIP**2 / 3)
    east, north = np.meshgrid((np.arange(2400) + 0.5) / 200, (np.arange(3600) + 0.5) / 200)
    away = np.minimum(np.minimum(east, 12 - east), np.minimum(north, 18 - north))
    assert_allclose(made.whole[3], np.clip(1 - away / STRIP, 0, 1).mean() * 216, rtol=1e-3)
    assert_allclose(made.at(np.array([[6.0, 9], [6, 0], [6, STRIP / 4]]))[:, 3], [0, 1, 0.75])
