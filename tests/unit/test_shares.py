from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab, Thickening
from gradevol.site.survey import Survey
from gradevol.site.top import Between, Level, Measured, Panel, Panels, build_top
from gradevol.uncertainty.sensitivity import (
    measure_shares,
    share_out_top,
    spread_of_datum,
    sum_by_setup,
)

EDGE = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])


def shots_about(level, *, spacing=3.0, reach=0.0):
    east, north = (
        grid.ravel()
        for grid in np.meshgrid(
            np.arange(-reach, 12.1 + reach, spacing), np.arange(0, 9.1, spacing)
        )
    )
    rng = np.random.default_rng(4)
    return np.column_stack([east, north, level + 0.01 * rng.standard_normal(len(east))])


def measured(survey, slab, design, faces=None):
    top = build_top(design, slab)
    base = build_base(MeasuredBase(survey, faces), slab, top)
    return base, build_field(base.surface, top.surface, slab)


def volume(survey, slab, design, faces=None):
    return measure_concrete(measured(survey, slab, design, faces)[1], slab).volume


def assert_shares_are_differences(survey, slab, design, faces=None, *, tolerance=1e-7, each=5):
    """Every fifth shot raised and lowered by 10 µm changes the volume as its share says."""
    base, field = measured(survey, slab, design, faces)
    shares = measure_shares(field, base) / np.bincount(base.place)
    assert len(range(0, len(survey.points), each)) >= 3
    for shot in range(0, len(survey.points), each):
        step = np.zeros(survey.points.shape)
        step[shot, 2] = 1e-5
        higher, lower = (
            volume(replace(survey, points=survey.points + sign * step), slab, design, faces)
            for sign in (1, -1)
        )
        assert_allclose((lower - higher) / 2e-5, shares[base.place[shot]], atol=tolerance)
    return shares


def test_shares_add_up_to_the_area_and_are_differences_over_a_lattice():
    slab = Slab(EDGE, (), 0.15, 0.13)
    survey = Survey(shots_about(0.0), np.zeros(3))
    shares = assert_shares_are_differences(survey, slab, Level(0.15))
    assert_allclose(shares.sum(), 108, rtol=1e-12)


def test_shares_beyond_the_survey_go_to_the_shots_at_its_rim():
    slab = Slab(EDGE, (np.array([[4, 4], [5, 4], [5, 5], [4, 5.0]]),), 0.15, 0.13)
    rng = np.random.default_rng(8)
    plan = rng.uniform([3, 2], [9, 7], (30, 2))
    level = 0.01 * rng.standard_normal(30)
    survey = Survey(np.column_stack([plan, level]), np.zeros(3))
    shares = assert_shares_are_differences(survey, slab, Level(0.15))
    assert_allclose(shares.sum(), 107, rtol=1e-12)


def test_a_place_shot_twice_shares_its_area_between_the_two():
    points = np.vstack([shots_about(0.0), shots_about(0.0)[7:9] + np.array([0, 0, 0.004])])
    slab = Slab(EDGE, (), 0.15, 0.13)
    assert_shares_are_differences(Survey(points, np.zeros(3)), slab, Level(0.15))


def test_shares_of_trench_shots_are_differences_under_a_top_that_bends():
    beam = Thickening("beam", 0.1, width=0.3, side_slope=1.0, surveyed="departure", sides=(1,))
    slab = Slab(EDGE, (), 0.15, 0.13, thickenings=(beam,))
    points = shots_about(0.0)
    points[points[:, 1] == 0, 1] = 0.1
    points[points[:, 1] == 0.1, 2] -= 0.1
    ruled = Between(
        np.array([[0, 0, 0.15], [5, 0, 0.19], [12, 0, 0.15]]),
        np.array([[0, 9, 0.15], [7, 9, 0.12], [12, 9, 0.15]]),
    )
    survey = Survey(points, np.zeros(3))
    base, _ = measured(survey, slab, ruled)
    assert len(base.surface.points) > len(points) + 12  # bends of the top stand between the shots
    shares = assert_shares_are_differences(survey, slab, ruled)
    assert_allclose(shares.sum(), 108, rtol=1e-9)


def test_shares_are_of_the_area_that_holds_concrete():
    slab = Slab(EDGE, (), 0.15, 0.13)
    points = shots_about(0.0)
    points[:, 2] += np.where(points[:, 0] > 7, 0.3, 0.0)
    survey = Survey(points, np.zeros(3))
    _, field = measured(survey, slab, Level(0.15))
    # the zero line moves with the shots, so the difference is of second order in the step
    shares = assert_shares_are_differences(survey, slab, Level(0.15), tolerance=1e-4)
    wet = sum(
        shapely.Polygon(c).area
        for c, t in zip(field.corners, field.thickness, strict=True)
        if t.min() > 0
    )
    assert wet < shares.sum() < 108 - 36


def test_shares_of_a_files_faces_are_differences_where_they_leave_gaps_too():
    points = shots_about(0.0, spacing=1.5)
    faces = shapely.delaunay_triangles(shapely.MultiPoint(points[:, :2]))
    tree = shapely.STRtree(shapely.points(points[:, :2]))
    rows = []
    for face in faces.geoms:
        corners = shapely.get_coordinates(face)[:3]
        if corners[:, 0].max() < 10 and not (np.abs(corners - [6, 4.5]) < 1).all():
            rows.append(tree.nearest(shapely.points(corners)))
    survey = Survey(points, np.zeros(3))
    assert_shares_are_differences(
        survey, Slab(EDGE, (), 0.15, 0.13), Level(0.15), np.array(rows), tolerance=1e-6, each=11
    )


def test_setups_share_out_the_area_among_them():
    slab = Slab(EDGE, (), 0.15, 0.13)
    points = shots_about(0.0)
    names = tuple("west" if east < 5 else "east" for east in points[:, 0])
    survey = Survey(points, np.zeros(3), setups=names)
    base, field = measured(survey, slab, Level(0.15))

    areas = sum_by_setup(measure_shares(field, base), base, survey)

    assert_allclose(areas["west"], 4.5 * 9, rtol=1e-9)  # the shots at 0 and 3 reach half-way to 6
    assert_allclose(areas["east"], 7.5 * 9, rtol=1e-9)
    nameless = sum_by_setup(measure_shares(field, base), base, replace(survey, setups=()))
    assert nameless == {"": pytest.approx(108)}


def test_a_measured_top_shares_out_its_area_by_setup():
    slab = Slab(EDGE, (), 0.15, 0.13)
    corners = np.array([[0, 0, 0.15], [12, 0, 0.16], [12, 9, 0.17], [0, 9, 0.15]])
    whole = Measured(corners, setups=("1", "1", "2", "2"))
    assert share_out_top(whole, slab) == {"1": pytest.approx(54), "2": pytest.approx(54)}
    assert share_out_top(Measured(corners), slab) == {}
    assert share_out_top(Level(0.15), slab) == {}
    west, east = (
        np.array([[0, 0], [4, 0], [4, 9], [0, 9]]),
        np.array([[4, 0], [12, 0], [12, 9], [4, 9]]),
    )
    panels = Panels((Panel(west, Level(0.15)), Panel(east, whole)))
    # on the east panel the southern pair counts 1 - n/9: half of its 72 m²
    assert share_out_top(panels, slab) == {"1": pytest.approx(36), "2": pytest.approx(36)}


def test_what_base_and_top_share_by_setup_cancels():
    assert spread_of_datum({"1": 108.0}, {}, 0.002) == pytest.approx(0.216)
    assert spread_of_datum({"1": 108.0}, {"1": 108.0}, 0.002) == pytest.approx(0, abs=1e-15)
    # base from one setup, top from another: both are unsure
    assert spread_of_datum({"1": 108.0}, {"2": 108.0}, 0.002) == pytest.approx(0.216 * np.sqrt(2))
    assert spread_of_datum({"1": 60.0, "2": 48.0}, {"1": 108.0}, 0.002) == pytest.approx(
        0.002 * 48 * np.sqrt(2)
    )
