"""The body of the slab, weighed and looked over by trimesh."""

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.measures.body import STEP, build_body
from gradevol.measures.field import ThicknessField
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface
from gradevol.site.top import Level, Panel, Panels, build_top
from tests.pads import box

#: Step of a file in single precision of a slab so large, m.
COARSE = 2.0**-18


EDGE = box(0, 0, 4, 3)


def field_over(base, top, *, edge=EDGE, openings=()):
    """Field of a plane base, c, a, b of z = c + a·e + b·n, under a top."""
    slab = Slab(edge, openings, 0.2, 0.1)
    shots = np.column_stack([EDGE, base[0] + EDGE @ base[1:]])
    return build_field(
        extend_level(build_surface(shots), slab.outline), build_top(top, slab).surface, slab
    )


def field_of_pieces(corners, thickness, base=0.0):
    """Field of triangles as they are given."""
    corners = np.array(corners, float)
    count = len(corners)
    return ThicknessField.of_pieces(
        corners,
        np.array(thickness, float),
        np.broadcast_to(np.asarray(base, float), (count, 3)).copy(),
        is_surveyed=np.ones(count, bool),
        is_trench=np.zeros(count, bool),
        parent=np.arange(count),
    )


def solid_of(field, step=STEP):
    body = build_body(field, step=step)
    return trimesh.Trimesh(body.vertices, body.faces, process=False)


def is_closed_as_written(solid):
    """Whether it is also closed to who makes one point of all that stand at one place."""
    again = trimesh.Trimesh(solid.vertices, solid.faces, process=True)
    return again.is_watertight and again.is_winding_consistent


def check(solid, volume, surface, *, euler=2):
    assert solid.is_watertight
    assert solid.is_winding_consistent
    assert is_closed_as_written(solid)
    assert_allclose(solid.volume, volume, rtol=1e-8)
    assert_allclose(solid.area, surface, rtol=1e-8)
    assert solid.euler_number == euler


def test_a_level_slab_is_a_prism():
    solid = solid_of(field_over((1.0, 0, 0), Level(1.5)))
    check(solid, 12 * 0.5, 2 * 12 + 14 * 0.5)
    assert_array_equal(np.unique(solid.vertices[:, 2]), [1.0, 1.5])


def test_its_corners_are_the_slabs():
    solid = solid_of(field_over((1.0, 0, 0), Level(1.5)))
    corners = solid.vertices[(solid.vertices[:, :2] % [4, 3] == 0).all(axis=1)]
    wanted = [[e, n, z] for e in (0.0, 4.0) for n in (0.0, 3.0) for z in (1.0, 1.5)]
    assert_allclose(corners[np.lexsort(corners.T[::-1])], wanted, atol=1e-12)


def test_concrete_that_runs_out_at_an_edge_is_a_wedge():
    solid = solid_of(field_over((0, -0.1, 0), Level(0.0)))
    slope = np.hypot(4, 0.4)
    check(solid, 3 * 4 * 0.4 / 2, 3 * (4 + slope + 0.4) + 2 * 4 * 0.4 / 2)


def test_nothing_stands_where_the_base_is_above_the_top():
    solid = solid_of(field_over((0.1, -0.1, 0), Level(0.0)))
    slope = np.hypot(3, 0.3)
    check(solid, 3 * 3 * 0.3 / 2, 3 * (3 + slope + 0.3) + 2 * 3 * 0.3 / 2)
    assert_allclose(solid.bounds, np.array([[1, 0, -0.3], [4, 3, 0]]), atol=2e-8)


def test_there_is_no_body_where_all_of_the_base_is_above_the_top():
    body = build_body(field_over((1.0, 0, 0), Level(0.5)))
    assert body.faces.shape == (0, 3)


def test_a_base_flush_with_the_top_holds_no_concrete():
    body = build_body(field_over((1.0, 0, 0), Level(1.0)))
    assert len(body.faces) == 0


def test_an_opening_is_a_hole_with_walls():
    hole = box(1, 1, 2, 2.5)
    solid = solid_of(field_over((0, 0, 0), Level(0.2), openings=(hole,)))
    check(solid, (12 - 1.5) * 0.2, 2 * (12 - 1.5) + (14 + 5) * 0.2, euler=0)


@pytest.mark.parametrize("lip", [0.05, 0.15, -0.02])
def test_a_step_of_the_top_is_one_wall(lip):
    panels = (
        Panel(box(0, 0, 1.5, 3), Level(0.2)),
        Panel(box(1.5, 0, 4, 3), Level(0.2 + lip)),
    )
    solid = solid_of(field_over((0, 0, 0), Panels(panels)))
    walls = 6 * 0.2 + (2.5 * 2 + 3) * (0.2 + lip) + 3 * abs(lip)
    check(solid, 3 * 1.5 * 0.2 + 3 * 2.5 * (0.2 + lip), 2 * 12 + walls)


def test_steps_that_cross_share_their_upright_edge():
    levels = [[0.2, 0.25], [0.3, 0.4]]
    panels = tuple(
        Panel(box(2 * i, 1.5 * j, 2 * i + 2, 1.5 * j + 1.5), Level(levels[i][j]))
        for i in range(2)
        for j in range(2)
    )
    solid = solid_of(field_over((0, 0, 0), Panels(panels)))
    outer = 3.5 * np.sum(levels)
    inner = 1.5 * (0.1 + 0.15) + 2 * (0.05 + 0.1)
    check(solid, 3 * np.sum(levels), 2 * 12 + outer + inner)


def test_a_step_that_ends_within_is_closed():
    # one side of a piece up, the other piece level with it at the far end
    corners = [[[0, 0], [2, 0], [0, 2]], [[2, 0], [2, 2], [0, 2]]]
    solid = solid_of(field_of_pieces(corners, [[0.2, 0.2, 0.2], [0.4, 0.3, 0.2]]))
    walls = 4 * 0.2 + 2 * (0.35 + 0.25) + np.sqrt(8) * 0.2 / 2
    tilted = np.linalg.norm(np.cross([0, 2, -0.1], [-2, 2, -0.2])) / 2
    check(solid, 2 * 0.2 + 2 * 0.3, 4 + 2 + tilted + walls)


def test_a_corner_on_a_neighbours_side_leaves_no_crack():
    west = [[[0, 0], [2, 0], [2, 3]], [[0, 0], [2, 3], [0, 3]]]
    east = [[[2, 0], [4, 0], [2, 1.2]], [[2, 1.2], [4, 0], [4, 3]], [[2, 1.2], [4, 3], [2, 3]]]
    solid = solid_of(field_of_pieces(west + east, np.full((5, 3), 0.2)))
    check(solid, 12 * 0.2, 2 * 12 + 14 * 0.2)


def test_corners_apart_by_rounding_are_one():
    random = np.random.default_rng(5)
    field = field_over((0, 0.01, 0), Level(0.3), openings=(box(1, 1, 2, 2),))
    shaken = field.corners + 2e-10 * random.uniform(-1, 1, field.corners.shape)
    solid = solid_of(field_of_pieces(shaken, field.thickness, field.base))
    assert solid.is_watertight
    assert is_closed_as_written(solid)
    assert solid.euler_number == 0
    assert_allclose(solid.volume, 12 * 0.28 - (0.3 - 0.015), rtol=1e-8)


def test_pieces_that_are_lines_leave_no_crack():
    whole = [[[0, 0], [4, 0], [4, 3]], [[0, 0], [4, 3], [0, 3]]]
    sliver = [[[0, 0], [2, 1.5 + 1e-12], [4, 3]]]
    solid = solid_of(field_of_pieces(whole + sliver, np.full((3, 3), 0.2)))
    check(solid, 12 * 0.2, 2 * 12 + 14 * 0.2)


@pytest.mark.parametrize("step", [1e-6, COARSE])
def test_concrete_on_both_sides_of_a_line_of_nought_does_not_touch_itself(step):
    shots = np.array(
        [[0, 0, -0.2], [2, 0, 0.0], [4, 0, -0.2], [0, 3, -0.2], [2, 3, 0.0], [4, 3, -0.2]]
    )
    slab = Slab(EDGE, (), 0.2, 0.1)
    field = build_field(build_surface(shots), build_top(Level(0.0), slab).surface, slab)
    solid = solid_of(field, step)
    assert solid.is_watertight
    assert is_closed_as_written(solid)
    assert solid.body_count == 2
    assert_allclose(solid.volume, 2 * 3 * 2 * 0.2 / 2, rtol=1e-4)


def test_parts_that_touch_at_a_corner_are_two():
    corners = [[[0, 0], [1, 0], [1, 1]], [[1, 1], [2, 1], [2, 2]]]
    solid = solid_of(field_of_pieces(corners, np.full((2, 3), 0.2)))
    assert solid.is_watertight
    assert solid.body_count == 2
    assert_allclose(solid.volume, 0.2)


def test_towers_that_touch_along_an_upright_line_are_closed():
    levels = {(0, 0): 0.2, (1, 0): 0.4, (0, 1): 0.4, (1, 1): 0.2}
    panels = tuple(
        Panel(box(2 * i, 1.5 * j, 2 * i + 2, 1.5 * j + 1.5), Level(level))
        for (i, j), level in levels.items()
    )
    solid = solid_of(field_over((0, 0, 0), Panels(panels)))
    assert solid.is_watertight
    assert solid.is_winding_consistent
    assert_allclose(solid.volume, 3 * 1.2, rtol=1e-8)


def test_a_step_that_runs_under_the_base_is_closed():
    panels = (Panel(box(0, 0, 2, 3), Level(0.0)), Panel(box(2, 0, 4, 3), Level(0.1)))
    solid = solid_of(field_over((-0.1, 0, 0.1), Panels(panels)))
    assert solid.is_watertight
    assert is_closed_as_written(solid)
    assert_allclose(solid.volume, 2 * 1 * 0.1 / 2 + 2 * 2 * 0.2 / 2, rtol=1e-7)
    assert solid.euler_number == 2


@pytest.mark.parametrize("step", [STEP, 1e-6, COARSE])
def test_vertices_stand_on_whole_steps(step):
    body = build_body(field_over((0, 0.02, -0.013), Level(0.03)), step=step)
    assert len(body.faces) > 0
    assert_allclose(body.vertices / step, np.rint(body.vertices / step), atol=1e-4)


def test_a_thin_film_keeps_its_two_sides():
    solid = solid_of(field_over((0, 0, -2e-6), Level(0.0)), 1e-6)
    assert solid.is_watertight
    assert is_closed_as_written(solid)
