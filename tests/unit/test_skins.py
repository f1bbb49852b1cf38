"""Closed skins over pieces of a plan; trimesh says whether they are closed."""

import numpy as np
import pytest
import trimesh
from numpy.testing import assert_array_equal

from gradevol.geometry.loops import Loops
from gradevol.geometry.skins import close_skin

GRID = np.array([[0, 0], [4, 0], [4, 4], [0, 4], [8, 0], [8, 4], [8, 8], [4, 8]], float)


def skin_of(*pieces, levels):
    """Solid over pieces by their places; levels: (top, base) of each piece, or of each corner."""
    piece = np.repeat(np.arange(len(pieces)), [len(ring) for ring in pieces])
    values = [
        np.broadcast_to(np.array(level, float), (len(ring), 2))
        for ring, level in zip(pieces, levels, strict=True)
    ]
    loops = Loops(piece, np.concatenate([np.array(ring) for ring in pieces]), np.vstack(values))
    vertices, faces = close_skin(loops, GRID)
    assert_array_equal(np.unique(faces), np.arange(len(vertices)))
    solid = trimesh.Trimesh(vertices, faces, process=False)
    assert solid.is_watertight
    assert solid.is_winding_consistent
    return solid


def test_a_cube_has_eight_corners_and_two_middles():
    solid = skin_of([0, 1, 2, 3], levels=[(4, 0)])
    assert len(solid.vertices) == 10
    assert solid.volume == 64
    assert solid.area == 96


def test_neighbours_of_one_height_have_no_wall_between():
    solid = skin_of([0, 1, 2, 3], [1, 4, 5, 2], levels=[(3, 1), (3, 1)])
    assert solid.volume == 64
    assert solid.area == 2 * 32 + 24 * 2


def test_steps_of_top_and_base_are_walls_of_their_height():
    solid = skin_of([0, 1, 2, 3], [1, 4, 5, 2], levels=[(5, 1), (4, 2)])
    assert solid.volume == 64 + 32
    assert solid.area == 2 * 32 + 12 * 4 + 12 * 2 + 4 * (1 + 1)
    assert solid.body_count == 1


def test_a_neighbour_that_stands_clear_is_another_solid():
    solid = skin_of([0, 1, 2, 3], [1, 4, 5, 2], levels=[(2, 0), (6, 3)])
    assert solid.volume == 32 + 48
    assert solid.body_count == 2


def test_a_neighbour_that_stands_on_the_others_edge_is_another_solid():
    solid = skin_of([0, 1, 2, 3], [1, 4, 5, 2], levels=[(3, 0), (6, 3)])
    assert solid.volume == 48 + 48
    assert solid.body_count == 2


def test_pieces_that_touch_at_a_place_are_two_solids():
    solid = skin_of([0, 1, 2, 3], [2, 5, 6, 7], levels=[(2, 0), (2, 0)])
    assert solid.body_count == 2
    assert len(solid.vertices) == 20


def test_a_step_that_turns_over_is_closed():
    one, other = [(3, 0)] * 4, [(2, 0), (3, 0), (3, 0), (4, 0)]
    solid = skin_of([0, 1, 2, 3], [1, 4, 5, 2], levels=[one, other])
    assert solid.volume == 48 + 48


@pytest.mark.parametrize("is_swapped", [False, True])
@pytest.mark.parametrize("way", [1, -1])
def test_a_step_that_turns_over_where_the_solid_has_no_thickness_is_closed(way, is_swapped):
    # along the side between them each has an end without thickness, and they step the other way
    rings = [[0, 1, 2, 3], [1, 4, 5, 2]]
    rise = [np.array([3, 3, 0, 3]), np.array([0, 3, 3, 3])]
    levels = [
        np.column_stack([height, 0 * height] if way > 0 else [0 * height, -height])
        for height in rise
    ]
    order = slice(None, None, -1 if is_swapped else 1)
    skin_of(*rings[order], levels=levels[order])


def test_a_wedge_has_no_wall_at_its_tip():
    solid = skin_of([0, 1, 2], levels=[[(0, 0), (3, 0), (3, 0)]])
    assert len(solid.faces) == 2 + 2 + 1 + 1
    assert len(solid.vertices) == 5


def test_levels_too_far_apart_for_whole_numbers_are_sorted_too():
    solid = skin_of([0, 1, 2, 3], [1, 4, 5, 2], levels=[(2.0**61, 0), (2.0**60, 0)])
    assert solid.volume == 16 * 2.0**61 + 16 * 2.0**60
