"""Concrete and its parts; grading against the design base."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.measures.concrete import measure_concrete, measure_coverage
from gradevol.measures.grading import measure_grading
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Thickening, Void
from gradevol.site.surface import build_surface
from gradevol.site.top import Level, build_top

SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])


def measured(level, *, slab=None, spacing=2.0, count=6, top=0.15):
    plan = spacing * np.array([(i, j) for i in range(count) for j in range(count)], float)
    slab = slab or Slab(SQUARE, (), 0.15, 0.13)
    shots = np.column_stack([plan, level(plan) + np.zeros(len(plan))])
    base = extend_level(build_surface(shots), slab.outline)
    field = build_field(base, build_top(Level(top), slab).surface, slab)
    return measure_concrete(field, slab), field, slab


def test_a_level_pad_holds_its_nominal_volume():
    concrete, field, slab = measured(lambda _: 0.0)
    assert_allclose(concrete.volume, 15, rtol=1e-12)
    assert_allclose(concrete.nominal, 15, rtol=1e-12)
    assert_allclose([concrete.over_nominal, concrete.overlap], 0, atol=1e-12)
    assert measure_coverage(field) == 1
    grading = measure_grading(field, slab)
    assert_allclose([grading.cut, grading.fill, grading.net], 0, atol=1e-12)


def test_a_base_entirely_above_the_top_holds_no_concrete():
    concrete, field, slab = measured(lambda _: 0.25)
    assert concrete.slab == 0
    assert_allclose(concrete.overlap, 10, rtol=1e-12)
    assert_allclose(measure_grading(field, slab).cut, 25, rtol=1e-12)


def test_a_base_that_rises_through_the_top_is_counted_on_each_side():
    # thickness from 0.1 at the west to -0.1 at the east: a wedge on each side
    concrete, field, slab = measured(lambda plan: 0.02 * plan[:, 0], top=0.1)
    assert_allclose(concrete.slab, 5 * 10 * 0.1 / 2, rtol=1e-12)
    assert_allclose(concrete.overlap, 5 * 10 * 0.1 / 2, rtol=1e-9)
    # the design base is 0.05 below nought: all of it is cut
    grading = measure_grading(field, slab)
    assert_allclose(grading.cut, 100 * 0.15, rtol=1e-12)
    assert_allclose(grading.fill, 0, atol=1e-12)
    assert_allclose(grading.net, -15)


def test_the_share_beyond_the_survey_is_told():
    concrete, field, _ = measured(lambda _: 0.0, count=4)  # shots reach 6 m of 10 m
    assert_allclose(concrete.beyond_survey, 64 * 0.15, rtol=1e-12)
    assert_allclose(measure_coverage(field), 0.36, rtol=1e-12)


def test_parts_add_up_by_their_names():
    slab = Slab(
        SQUARE,
        (),
        0.15,
        0.13,
        thickenings=(
            Thickening("south beam", 0.2, 0.5, sides=(1,)),
            Thickening("north beam", 0.2, 0.5, surveyed="yes", sides=(3,)),
        ),
        voids=(Void("conduit", 0.03), Void("key", -0.01)),
    )
    concrete, field, _ = measured(lambda _: 0.0, slab=slab)
    assert dict(concrete.parts) == pytest.approx(
        {"south beam": 1.0, "north beam": 0.0, "conduit": -0.03, "key": 0.01}
    )
    assert_allclose(concrete.thickenings, 1.0)
    assert_allclose(concrete.voids, 0.02)
    assert_allclose(concrete.volume, 15 + 1.0 - 0.02)
    assert dict(concrete.shown) == pytest.approx({1: 1.0})
    assert_allclose(concrete.drawn, 15 + 2.0 - 0.02)  # whether it was shot or not
    assert_allclose(field.area[field.is_trench].sum(), 5, rtol=1e-9)


def test_a_trench_that_shots_show_adds_what_they_show_and_is_not_graded():
    # the base drops by 0.2 m from 2 m to 0 at the south side, as a shot trench
    part = Thickening("south beam", 0.2, 2.0, surveyed="yes", sides=(1,))
    slab = Slab(SQUARE, (), 0.15, 0.13, thickenings=(part,))
    concrete, field, _ = measured(lambda plan: np.where(plan[:, 1] < 1, -0.2, 0.0), slab=slab)
    assert_allclose(concrete.slab, 15 + 10 * 2 * 0.2 / 2, rtol=1e-12)
    assert concrete.thickenings == 0
    grading = measure_grading(field, slab)
    assert_allclose([grading.cut, grading.fill], 0, atol=1e-12)
