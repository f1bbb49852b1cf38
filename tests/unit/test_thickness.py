"""The field of thickness: it tiles the slab, and its moments are exact."""

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.geometry.prisms import area_above, integral, plan_area
from gradevol.ground.errors import GeometryError
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.site.slab import Slab, Thickening
from gradevol.site.surface import Surface, build_surface
from gradevol.site.top import Level, Measured, build_top
from tests.conftest import lattice
from tests.pads import field_of

SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])


def shots_on(columns, rows, spacing, level=lambda _: 0.0):
    plan = lattice(columns, rows, spacing)
    return np.column_stack([plan, level(plan) + np.zeros(len(plan))])


def test_moments_of_a_plane_are_those_of_a_uniform_spread():
    # thickness from 0.1 to 0.3 over 10 m: mean 0.2, sd 0.2/√12
    shots = shots_on(6, 6, 2.0, lambda plan: -0.02 * plan[:, 0])
    moments = measure_thickness(field_of(shots, Slab(SQUARE, (), 0.15, 0.13), Level(0.1)))
    assert_allclose(moments.mean, 0.2, rtol=1e-12)
    assert_allclose(moments.sd, 0.2 / np.sqrt(12), rtol=1e-9)
    assert_allclose([moments.min, moments.max], [0.1, 0.3], rtol=1e-12)
    assert_allclose([moments.min_at[0], moments.max_at[0]], [0, 10], atol=1e-12)


def test_spread_of_a_level_pad_is_nothing_even_far_above_the_datum():
    moments = measure_thickness(
        field_of(
            shots_on(6, 6, 2.0, lambda _: 1500.0), Slab(SQUARE, (), 0.15, 0.13), Level(1500.15)
        )
    )
    assert moments.sd < 1e-9
    assert_allclose(moments.mean, 0.15, atol=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_of_places_equally_thick_the_southernmost_is_named_whatever_the_order(seed):
    shots = shots_on(6, 6, 2.0)
    shots[[8, 15, 26], 2] = 0.04  # at (2, 4), (4, 6) and (8, 4)
    shots[[9, 19, 28], 2] = -0.04  # at (2, 6), (6, 2) and (8, 8)
    mixed = np.random.default_rng(seed).permutation(shots)
    moments = measure_thickness(field_of(mixed, Slab(SQUARE, (), 0.15, 0.13)))
    assert_allclose(moments.min_at, (2, 4), atol=1e-9)
    assert_allclose(moments.max_at, (6, 2), atol=1e-9)


def test_a_shot_on_a_corner_or_a_side_of_the_slab_is_met_exactly():
    shots = np.array([[0, 0, 0.02], [10, 0, 0.01], [10, 10, 0], [0, 10, -0.01], [5, 0, 0.05]])
    field = field_of(shots, Slab(SQUARE, (), 0.15, 0.13))
    moments = measure_thickness(field)
    assert_allclose([moments.min, moments.max], [0.10, 0.16], atol=1e-12)
    assert_allclose([*moments.min_at, *moments.max_at], [5, 0, 0, 10], atol=1e-12)
    assert field.is_surveyed.all()


def test_pieces_tile_the_slab_around_its_openings():
    slab = Slab(SQUARE, (np.array([[2, 2], [4, 2], [4, 4], [2, 4.0]]),), 0.15, 0.13)
    field = field_of(shots_on(6, 6, 2.0), slab)
    assert_allclose(field.area.sum(), 96, rtol=1e-12)
    middle = field.corners.mean(axis=1)
    assert shapely.contains_xy(slab.outline, middle[:, 0], middle[:, 1]).all()
    assert_allclose(plan_area(field.corners), field.area)


def test_zero_thickness_is_neither_above_nor_thick():
    field = field_of(shots_on(6, 6, 2.0, lambda _: 0.15), Slab(SQUARE, (), 0.15, 0.13))
    assert_array_equal(field.thickness, 0)
    assert area_above(field.area, field.thickness).sum() == 0


def test_a_base_that_overlaps_itself_or_leaves_a_gap_is_refused_at_run_time():
    slab = Slab(SQUARE, (), 0.15, 0.13)
    top = build_top(Level(0.15), slab).surface
    whole = build_surface(shots_on(6, 6, 2.0))
    for triangles in (whole.triangles[1:], np.vstack([whole.triangles, whole.triangles[:1]])):
        broken = Surface(whole.points, triangles, np.ones(len(triangles), bool))
        with pytest.raises(GeometryError, match="overlaps itself or leaves a gap"):
            build_field(broken, top, slab)


@pytest.mark.parametrize(
    "top",
    [
        Level(0.2),
        Measured(shots_on(11, 11, 1.0, lambda _: 0.2)),
        Measured(shots_on(3, 3, 5.0, lambda _: 0.2)),
    ],
    ids=["one level", "fine lattice", "coarse lattice"],
)
@pytest.mark.parametrize(
    "part",
    [
        Thickening("beam", 0.1, 0.3, 1.0, "yes", sides=(1, 3)),
        Thickening("pad on lattice lines", 0.1, surveyed="yes", outline=SQUARE / 2),
        Thickening("pad", 0.1, 0, 0.5, "yes", outline=SQUARE * 0.31 + 2),
    ],
    ids=lambda part: part.name,
)
def test_a_trench_that_shots_show_is_marked_and_changes_no_volume(top, part):
    shots = shots_on(6, 6, 2.0, lambda plan: 0.01 * np.sin(plan).sum(axis=1))
    plain = field_of(shots, Slab(SQUARE, (), 0.15, 0.13), top)
    marked = field_of(shots, Slab(SQUARE, (), 0.15, 0.13, thickenings=(part,)), top)
    expected = {"beam": 8.0, "pad on lattice lines": 25.0, "pad": 3.2**2}[part.name]
    assert_allclose(marked.area[marked.is_trench].sum(), expected, rtol=1e-9)
    assert_allclose(
        integral(marked.area, marked.thickness).sum(),
        integral(plain.area, plain.thickness).sum(),
        rtol=1e-12,
    )
    assert not plain.is_trench.any()


def test_a_thickening_that_no_shot_saw_marks_nothing():
    part = Thickening("beam", 0.1, 0.3, 1.0, "no", sides=(1, 3))
    slab = Slab(SQUARE, (), 0.15, 0.13, thickenings=(part,))
    assert not field_of(shots_on(6, 6, 2.0), slab).is_trench.any()


def test_what_lies_beyond_the_shots_is_marked():
    shots = shots_on(3, 3, 2.0) + np.array([3, 3, 0])
    field = field_of(shots, Slab(SQUARE, (), 0.15, 0.13))
    assert_allclose(field.area[field.is_surveyed].sum(), 16, rtol=1e-12)
    assert_allclose(field.area.sum(), 100, rtol=1e-12)


def test_of_equal_places_one_within_the_survey_is_named():
    """A strip beyond the shots is as thin as the nearest of them: that one was seen."""
    shots = np.add(shots_on(5, 5, 2.0, lambda plan: -0.02 * plan[:, 0]), [1.0, 1.0, 0.0])
    moments = measure_thickness(field_of(shots, Slab(SQUARE, (), 0.15, 0.13)))
    assert_allclose(moments.min_at, (1, 1), atol=1e-9)
