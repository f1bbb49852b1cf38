"""Nodes of a thickness field: what is shared, and what is not."""

import numpy as np
from numpy.testing import assert_allclose, assert_array_equal
from shapely import Polygon, box

from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import cut_field, each_piece, find_near, surveyed_part
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, build_surface
from gradevol.site.top import Level, build_top

RNG = np.random.default_rng(9)
PLAN = RNG.uniform(-2, 22, (600, 2))
BASE = build_surface(np.column_stack([PLAN, 0.02 * np.sin(PLAN[:, 0])]))
EDGE = np.array([[0, 0], [20, 0], [20, 20], [0, 20.0]])
SLAB = Slab(EDGE, (), thickness=0.15, least_thickness=0.13)


def field_under(top: Surface):
    return build_field(BASE, top, SLAB)


def stepped() -> Surface:
    """Two panels, one 50 mm above the other, that meet amid the slab."""
    corners = np.array([[0, 0, 0.15], [10, 0, 0.15], [10, 20, 0.15], [0, 20, 0.15]])
    other = corners + np.array([10, 0, 0.05])
    faces = np.array([[0, 1, 2], [0, 2, 3], [4, 5, 6], [4, 6, 7]])
    return Surface(np.vstack([corners, other]), faces, np.ones(4, bool))


def test_pieces_that_lie_whole_under_one_triangle_of_the_top_share_their_corners():
    field = field_under(build_top(Level(0.15), SLAB).surface)
    assert len(field.places) < 0.7 * 3 * len(field.area)
    assert len(np.unique(field.rows)) == len(field.places)


def test_at_a_step_of_the_top_each_side_keeps_its_own_thickness():
    field = field_under(stepped())
    middle = field.corners.mean(axis=1)
    top = field.base + field.thickness
    assert_allclose(top[middle[:, 0] < 10], 0.15, atol=1e-9)
    assert_allclose(top[middle[:, 0] > 10], 0.20, atol=1e-9)


def test_some_pieces_are_those_of_the_whole():
    field = field_under(stepped())
    held = np.flatnonzero(RNG.random(len(field.area)) < 0.3)
    part = field.take(held)
    for name in ("corners", "thickness", "base", "area", "parent"):
        assert_array_equal(getattr(part, name), getattr(field, name)[held])
    assert len(surveyed_part(field).area) == field.is_surveyed.sum()


def test_another_thickness_leaves_the_rest_as_it_is():
    field = field_under(stepped())
    moved = field.with_thickness(field.thickness + 0.01)
    assert_array_equal(moved.corners, field.corners)
    assert_array_equal(moved.base, field.base)
    assert_allclose(moved.thickness, field.thickness + 0.01, atol=1e-15)


def test_parts_of_a_cut_add_up_and_hold_no_node_that_no_piece_has():
    field = field_under(stepped())
    zone = Polygon([(3, -1), (14, 2), (12, 22), (5, 18)])
    inside, outside = cut_field(field, zone), cut_field(field, SLAB.outline - zone)
    for part in (inside, outside):
        assert len(np.unique(part.rows)) == len(part.places)
    whole = measure_concrete(field, SLAB).slab
    assert_allclose(
        measure_concrete(inside, SLAB).slab + measure_concrete(outside, SLAB).slab, whole
    )
    assert len(cut_field(field, Polygon()).area) == 0


def test_pieces_near_a_box_are_those_whose_own_boxes_meet_it():
    field = field_under(stepped())
    low, high = np.array([4.0, 4.0]), np.array([7.0, 5.0])
    near = find_near(field, low, high)
    boxes = box(*field.corners.min(axis=1).T, *field.corners.max(axis=1).T)
    assert_array_equal(near, [one.intersects(box(*low, *high)) for one in boxes])


def test_what_is_measured_on_no_piece_is_nothing():
    field = field_under(stepped()).take(np.empty(0, int))
    assert each_piece(field, lambda part: part.area).shape == (0,)
