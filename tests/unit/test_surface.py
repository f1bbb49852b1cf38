"""The surface: places made one, cells split at their middle, faces taken as they are."""

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.geometry.prisms import plan_area
from gradevol.ground.errors import GeometryError
from gradevol.ground.units import Units
from gradevol.site.surface import Surface, build_surface, merge_shots, surface_of_faces
from gradevol.site.survey import Survey
from tests.conftest import lattice
from tests.pads import volume_under


def lattice_shots(columns, rows, spacing=1.0, seed=0):
    plan = lattice(columns, rows, spacing)
    return np.column_stack([plan, np.random.default_rng(seed).normal(size=len(plan))])


def test_volume_over_a_lattice_is_that_of_the_grid_method():
    # corners count once, sides twice, inner shots four times a quarter cell
    shots = lattice_shots(6, 4, 1.524)
    weight = np.outer([1, 2, 2, 2, 2, 1], [1, 2, 2, 1]).ravel()
    assert_allclose(
        volume_under(build_surface(shots)), 1.524**2 / 4 * weight @ shots[:, 2], rtol=1e-12
    )


def test_the_middle_of_a_cell_stands_at_the_mean_of_its_corners():
    surface = build_surface(np.array([[0, 0, 1], [2, 0, 2], [2, 3, 4], [0, 3, 9.0]]))
    assert len(surface.triangles) == 4
    assert_array_equal(surface.points[-1], [1, 1.5, 4])
    assert surface.rim is not None
    assert_array_equal(np.sort(surface.rim), [0, 1, 2, 3])


def test_a_cell_of_six_is_a_fan_about_its_middle():
    angle = np.radians(np.arange(0, 360, 60))
    shots = np.column_stack([np.cos(angle), np.sin(angle), np.array([0, 0, 0, 0, 0, 6.0])])
    surface = build_surface(shots)
    assert len(surface.triangles) == 6
    # one corner of 6, two of its triangles, and the middle at 1 in all six
    each = np.sqrt(3) / 4
    assert_allclose(volume_under(surface), each * (2 * 6 / 3 + 6 * 1 / 3), rtol=1e-12)


def test_rows_nearer_to_one_another_than_a_row_strays_are_surveyed_once():
    """Shots down the middle of a walk, 2 in apart: a needle lies before two sides."""
    east, north = np.array([[32.91, 32.91, 7.12, 3.44], [2.14, 1.97, 1.99, 1.99]]) * 0.3048
    # the third stands within the triangle of the others
    wanted = (north[0] - north[1]) * (east[0] - east[3]) / 2
    surface = build_surface(np.column_stack([east, north, np.zeros(4)]))
    assert_allclose(plan_area(surface.corners).sum(), wanted, rtol=1e-9)


def test_a_surface_runs_through_its_shots():
    shots = np.column_stack([np.random.default_rng(3).uniform(0, 9, (40, 2)), np.arange(40.0)])
    surface = build_surface(shots)
    assert_array_equal(surface.points[:40], shots)
    assert_array_equal(np.unique(surface.triangles[surface.triangles < 40]), np.arange(40))
    assert surface.is_surveyed.all()


def test_arrays_of_a_surface_cannot_be_written_to():
    surface = build_surface(lattice_shots(3, 3))
    with pytest.raises(ValueError, match="read-only"):
        surface.points[0, 2] = 1.0


def test_a_surface_whose_parts_do_not_match_cannot_be_made():
    with pytest.raises(ValueError, match="triangles must be"):
        Surface(np.zeros((4, 3)), np.zeros((1, 4), int), np.ones(1, bool))
    with pytest.raises(ValueError, match="2 flags for 1"):
        Surface(np.zeros((4, 3)), np.zeros((1, 3), int), np.ones(2, bool))


def survey(points, **rest):
    return Survey(np.array(points, float), np.zeros(3), **rest)


def test_shots_at_one_place_become_their_mean():
    points, place, notes = merge_shots(
        survey([[0, 0, 1.000], [5, 0, 2], [0, 0.0008, 1.004], [0, 5, 3]], sigma=0.006)
    )
    assert_allclose(points, np.array([[0, 0.0004, 1.002], [5, 0, 2], [0, 5, 3]]))
    assert_array_equal(place, [0, 1, 0, 2])
    assert notes == ()


def test_shots_at_one_place_that_differ_are_told_of_by_name():
    _, _, notes = merge_shots(
        survey(
            [[0, 0, 1.0], [5, 0, 2], [0, 0, 1.1], [0, 5, 3]],
            sigma=0.006,
            ids=("11", "12", "13", "14"),
        )
    )
    assert [note.code for note in notes] == ["shots-at-one-place"]
    assert notes[0].points == ("11", "13")
    assert notes[0].places == ((0.0, 0.0),)
    said = notes[0].say(Units.of_job("m"))
    assert "11 and 13" in said
    assert "0.100 m" in said


def test_shots_apart_are_handed_on_as_they_are():
    held = survey(lattice_shots(3, 3))
    points, place, notes = merge_shots(held)
    assert points is held.points
    assert_array_equal(place, np.arange(9))
    assert notes == ()


def test_faces_are_turned_counter_clockwise_and_upright_ones_left_out():
    points = np.array([[0, 0, 0], [2, 0, 0], [0, 2, 0], [0, 2, 5.0]])
    surface = surface_of_faces(points, np.array([[0, 2, 1], [0, 2, 3]]))
    assert_array_equal(surface.triangles, [[1, 2, 0]])
    assert surface.rim is None


def test_faces_that_all_stand_upright_are_refused():
    points = np.array([[0, 0, 0], [2, 0, 0], [2, 0, 1.0]])
    with pytest.raises(GeometryError, match="No face"):
        surface_of_faces(points, np.array([[0, 1, 2]]))
