"""Triangulation: it tiles the hull, keeps its edges, and leaves no diagonal to chance."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.testing import assert_allclose, assert_array_equal
from scipy.spatial import ConvexHull

from gradevol.geometry.cells import find_cells
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.triangulation import (
    find_beside,
    find_rim,
    merge_places,
    triangulate,
)
from gradevol.ground.errors import GeometryError
from tests.conftest import lattice
from tests.pads import turned

STATE_PLANE = np.array([620_000.123, 2_100_000.456])


def sides_of(triangles):
    pairs = np.sort(np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2))
    return {tuple(pair) for pair in pairs.tolist()}


@given(st.integers(0, 10_000), st.floats(0, 2 * np.pi), st.booleans())
def test_triangles_tile_the_hull_of_any_points(seed, angle, is_far):
    random = np.random.default_rng(seed)
    plan = turned(np.round(random.uniform(0, 20, (random.integers(4, 40), 2)), 2), angle)
    plan = plan + STATE_PLANE if is_far else plan
    mesh = triangulate(plan)
    area = plan_area(plan[mesh.triangles])
    assert (area > 0).all()
    assert_allclose(area.sum(), ConvexHull(plan - plan.mean(axis=0)).volume, rtol=1e-8)
    assert_array_equal(np.unique(mesh.triangles), np.arange(len(plan)))
    assert_array_equal(mesh.beside, find_beside(mesh.triangles))


@pytest.mark.parametrize("angle", np.linspace(0.1, 3, 15))
def test_shots_on_a_straight_rim_are_kept_and_leave_no_slivers(angle):
    plan = turned(lattice(9, 4, 3.048), angle)
    mesh = triangulate(plan)
    assert len(mesh.triangles) == 2 * 8 * 3  # one more would be a sliver at the rim
    assert len(find_rim(mesh)) == 2 * (8 + 3)


def test_every_circle_is_empty():
    plan = np.random.default_rng(2).uniform(0, 10, (60, 2))
    corners = plan[triangulate(plan).triangles]
    u, v = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    matrix = 2 * np.stack([u, v], axis=1)
    off = np.linalg.solve(matrix, np.stack([(u**2).sum(1), (v**2).sum(1)], axis=1)[..., None])
    centre = corners[:, 0] + off[..., 0]
    radius = np.hypot(*off[..., 0].T)
    gap = np.hypot(*(plan[None] - centre[:, None]).transpose(2, 0, 1)) - radius[:, None]
    assert gap.min() > -1e-9


@pytest.mark.parametrize(
    ("plan", "words"),
    [
        ([[0, 0]], "All shots stand at one place in plan"),
        ([[0, 0], [1, 0]], "All shots stand at 2 places in plan"),
        ([[0, 0], [1, 1], [2, 2], [5, 5]], "on one line"),
        (turned(lattice(5, 1), 0.7), "on one line"),
    ],
)
def test_points_that_make_no_surface_are_refused(plan, words):
    with pytest.raises(GeometryError, match=words):
        triangulate(np.array(plan, float))


def test_kept_edges_are_sides_of_triangles():
    plan = np.random.default_rng(4).uniform(0, 10, (50, 2))
    order = np.argsort(plan[:, 0])
    edges = np.column_stack([order[:-1:7], order[1::7]])
    mesh = triangulate(plan, edges)
    assert {tuple(sorted(pair)) for pair in edges.tolist()} <= sides_of(mesh.triangles)
    assert_allclose(plan_area(plan[mesh.triangles]).sum(), ConvexHull(plan).volume)


def test_kept_edges_that_cross_are_refused():
    with pytest.raises(GeometryError, match="breaklines cross"):
        triangulate(lattice(2, 2), np.array([[0, 3], [1, 2]]))


def test_points_at_one_place_are_grouped_across_the_borders_of_squares():
    random = np.random.default_rng(1)
    plan = random.uniform(0, 0.03, (300, 2))
    near = np.hypot(*(plan[:, None] - plan[None]).transpose(2, 0, 1)) <= 0.001
    reach = near
    for _ in range(12):
        reach = reach @ near
    expected = np.unique(reach.argmax(axis=1), return_inverse=True)[1]
    place = merge_places(plan)
    assert len(np.unique(place)) < 295  # some are grouped
    assert_array_equal(place[:, None] == place[None], expected[:, None] == expected[None])


def test_points_apart_stay_apart_and_places_are_numbered_as_they_come():
    assert_array_equal(
        merge_places(np.array([[5, 5], [0, 0], [5, 5.0009], [0, 0.0011]])), [0, 1, 0, 2]
    )
    assert_array_equal(merge_places(lattice(3, 3)), np.arange(9))


@pytest.mark.parametrize("stray", [[-3.1e6, 3.1e6], [4e6, 4e6], [-1e12, 1e12]])
def test_places_are_told_apart_however_far_off_a_stray_point_is(stray):
    plan = np.array([[5, 5], [0, 0], [5, 5.0009], stray, [0, 0.0011], [0.0005, 0]])

    assert_array_equal(merge_places(plan), [0, 1, 0, 2, 3, 1])


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.1, 2.9])
@pytest.mark.parametrize("shift", [0.0, 620_000.123])
def test_every_square_of_a_lattice_is_a_cell(angle, shift):
    plan = turned(lattice(5, 4, 1.524), angle) + shift
    cells = find_cells(plan, triangulate(plan))
    assert len(cells.rest) == 0
    assert cells.quads.shape == (12, 4)
    assert_allclose(cells.chance, 1, atol=1e-5)
    assert (plan_area(plan[cells.quads[:, :3]]) > 0).all()  # counter-clockwise


def test_six_points_on_one_circle_are_one_cell():
    angle = np.radians([0, 60, 120, 180, 240, 300])
    plan = turned(2 * np.column_stack([np.cos(angle), np.sin(angle)]), 0.2)
    cells = find_cells(plan, triangulate(plan))
    assert len(cells.rest) == 0
    assert [cell.shape for cell in cells.rounds] == [(1, 6)]
    assert plan_area(plan[cells.rounds[0][:, [0, 2, 4]]]) > 0  # counter-clockwise


def test_a_triangular_lattice_has_no_cells():
    plan = lattice(5, 5) @ np.array([[1, 0], [0.5, np.sqrt(0.75)]])
    cells = find_cells(plan, triangulate(plan))
    assert not cells.rounds
    assert len(cells.quads) == 0
    assert_allclose(plan_area(plan[cells.rest]).sum(), 16 * np.sqrt(0.75))


def test_a_kept_diagonal_is_not_taken_out():
    plan = lattice(3, 3)
    edges = np.array([[0, 4], [4, 8]])
    mesh = triangulate(plan, edges)
    cells = find_cells(plan, mesh, edges)
    assert len(cells.rest) == 4
    assert cells.quads.shape == (2, 4)
    assert {(0, 4), (4, 8)} <= sides_of(cells.rest)


@pytest.mark.parametrize("shift", [304_800.0, 620_000.123])
def test_pairs_equally_near_a_circle_are_told_whatever_rounding_makes_of_them(shift):
    """Shots along string lines, at whole tenths of a foot: one string mirrors another's gaps."""
    along = [np.random.default_rng(line).choice(30, 12, replace=False) for line in range(3)]
    plan = np.column_stack([np.repeat([0, 1.4, 2.8], 12), 0.03048 * np.concatenate(along)])
    here, there = (find_cells(places, triangulate(places)) for places in (plan, plan + shift))
    assert len(there.quads) == len(here.quads)


@pytest.mark.parametrize(("off", "chance"), [(0.0, 1.0), (0.0025, 0.65), (0.005, 0.29)])
def test_the_farther_a_fourth_point_is_off_the_circle_the_more_its_diagonal_counts(off, chance):
    plan = np.array([[0, 0], [1, 0], [1 + off, 1 + off], [0, 1]])
    cells = find_cells(plan, triangulate(plan))
    assert len(cells.rest) == 0
    assert_allclose(cells.chance, chance, atol=0.01)


def test_a_fourth_point_well_off_the_circle_makes_no_cell():
    plan = np.array([[0, 0], [1, 0], [1.01, 1.01], [0, 1]])
    cells = find_cells(plan, triangulate(plan))
    assert len(cells.rest) == 2
    assert len(cells.quads) == 0


def test_a_surface_in_two_parts_or_with_a_hole_has_no_one_rim():
    mesh = triangulate(lattice(4, 4))
    inner = np.flatnonzero((mesh.beside >= 0).all(axis=1))
    middle = plan_middle(mesh)
    hole = [i for i in inner if np.abs(middle[i] - 1.5).max() < 0.5]
    with pytest.raises(GeometryError, match="hole"):
        find_rim(mesh.without(np.array(hole)))


def plan_middle(mesh):
    return lattice(4, 4)[mesh.triangles].mean(axis=1)


def test_what_is_left_of_a_mesh_knows_what_lies_beside_it():
    mesh = triangulate(np.random.default_rng(6).uniform(0, 5, (30, 2)))
    left = mesh.without(np.array([0, 3, 4, 11]))
    assert len(left.triangles) == len(mesh.triangles) - 4
    assert_array_equal(left.beside, find_beside(left.triangles))
