"""The body of any slab is closed, and weighs what the slab measures."""

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.doubts.weighing import refuse_unlike_weights
from gradevol.measures.body import STEP
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface, surface_of_faces
from gradevol.site.top import Level, build_top
from tests.conftest import examples
from tests.properties.test_volume import STATE_PLANE, cases, turn
from tests.unit.test_body import solid_of

#: Each weighs and closes a body thrice, or six times; the volume itself is tried more often.
FEW = examples(8)
#: The digits of a file, in single precision and in six decimals, m.
STEPS = (STEP, 1e-6, 2.0**-18)


def opening_in(edge, share):
    slab = shapely.Polygon(edge)
    middle = np.array(slab.representative_point().coords[0])
    reach = share * slab.boundary.distance(shapely.Point(middle))
    return middle + reach * np.array([[1, 0], [0, 1], [-1, 0], [0, -1.0]])


def check(field, concrete, *, is_plain=True):
    refuse_unlike_weights(field, concrete)
    for step in STEPS:
        solid = solid_of(field, step)
        if len(solid.faces) == 0:
            assert concrete.slab < 1e-3
            continue
        assert solid.is_watertight
        assert solid.is_winding_consistent
        assert_allclose(solid.volume, concrete.slab, rtol=0, atol=2 * step * solid.area)
        if is_plain and step > STEP:  # what lies less apart is one place to trimesh
            assert trimesh.Trimesh(solid.vertices, solid.faces, process=True).is_watertight


@FEW
@given(case=cases(), share=st.floats(0.2, 0.8))
def test_a_body_is_closed_and_weighs_what_was_measured(measure, case, share):
    concrete, field = measure(case.shots, case.edge, case.top)
    check(field, concrete)
    concrete, field = measure(
        case.shots, case.edge, case.top, openings=(opening_in(case.edge, share),)
    )
    check(field, concrete)


@FEW
@given(case=cases(), drop=st.floats(0.0, 0.2))
def test_so_is_one_that_is_cut_off_where_the_base_stands_above_the_top(measure, case, drop):
    raised = case.shots + np.array([0.0, 0.0, drop])
    concrete, field = measure(raised, case.edge, case.top)
    check(field, concrete)


@FEW
@given(case=cases(), angle=st.floats(0, 2 * np.pi))
def test_it_weighs_the_same_turned_and_shifted(measure, case, angle):
    there = case.moved(turn(angle)).moved(lambda points: points + STATE_PLANE)
    concrete, field = measure(case.shots, case.edge, case.top)
    moved_concrete, moved_field = measure(there.shots, there.edge, there.top)
    check(moved_field, moved_concrete)
    here, away = solid_of(field, STEP), solid_of(moved_field, STEP)
    # coordinates of two millions carry 5e-10 m
    assert away.volume == pytest.approx(here.volume, abs=3e-9 * here.area)
    assert concrete.slab == pytest.approx(away.volume, abs=8e-9 * here.area)


def loose_faces(random):
    """A TIN with faces left out, split on one side only, and put up or down."""
    plan = random.uniform(0, 20, (random.integers(5, 40), 2))
    tin = build_surface(np.column_stack([plan, 0.05 * random.normal(size=len(plan))]))
    made = []
    for face in tin.corners[random.random(len(tin.triangles)) < 0.9]:
        middle = (face[0] + face[1]) / 2 + [0, 0, 0.02 * random.integers(2)]
        halves = [[face[0], middle, face[2]], [middle, face[1], face[2]]]
        lift = [0, 0, 0.03 * random.normal() * random.integers(2)]
        made += list(np.array(halves if random.random() < 0.3 else [face]) + lift)
    points = np.concatenate(made)
    return surface_of_faces(points, np.arange(len(points)).reshape(-1, 3))


@examples(8)
@given(seed=st.integers(0, 10_000))
def test_steps_of_a_base_of_loose_faces_are_walls(seed):
    random = np.random.default_rng(seed)
    slab = Slab(np.array([[3, 3], [17, 4], [16, 15], [8, 11], [4, 17.0]]), (), 0.2, 0.1)
    base = extend_level(loose_faces(random), slab.outline)
    top = build_top(Level(float(random.choice([0.02, 0.2]))), slab)
    field = build_field(base, top.surface, slab)
    check(field, measure_concrete(field, slab), is_plain=False)
