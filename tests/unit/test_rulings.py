"""Straight rulings between two edges."""

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rulings import RULING_TOLERANCE, rule
from gradevol.ground.errors import GeometryError

QUADS = {
    "square": [[0, 0], [10, 0], [0, 10], [10, 10]],
    "trapezoid": [[0, 0], [10, 0], [0, 10], [5, 10]],
    "slanted": [[0, 0], [10, 1], [2, 8], [9, 14]],
    "kite": [[0, 0], [12, -2], [1, 6], [4, 7]],
}


def leaves_by(faces, places):
    """Distance of places (n, 3) above or below the faces, m, and how many lie on a face."""
    tree = shapely.STRtree(shapely.polygons(faces[..., :2]))
    place, face = tree.query(shapely.points(places[:, :2]), predicate="intersects")
    level = level_in(faces, face, places[place, None, :2])[:, 0]
    return np.abs(level - places[place, 2]), len(np.unique(place))


@pytest.mark.parametrize("name", QUADS)
@pytest.mark.parametrize("rise", [(0, 0.5, 0, 0.5), (0, 0.3, 0.1, 0), (0, 0, 0, 0.2)])
def test_triangles_leave_the_rulings_by_no_more_than_is_said(name, rise):
    corners = np.column_stack([np.array(QUADS[name], float), rise])
    first, second = corners[:2], corners[2:]
    faces = rule(first, second)
    u, v = np.random.default_rng(1).uniform(0, 1, (2, 3000, 1))
    places = (1 - v) * (first[0] + u * (first[1] - first[0])) + v * (
        second[0] + u * (second[1] - second[0])
    )
    off, found = leaves_by(faces, places)
    assert found > 2990
    assert off.max() <= RULING_TOLERANCE
    assert_allclose(
        plan_area(faces).sum(), shapely.Polygon(corners[[0, 1, 3, 2], :2]).area, rtol=1e-12
    )


def test_a_patch_that_is_twisted_by_a_slip_does_not_have_all_others_cut_as_fine():
    east = np.linspace(0, 13.5, 6)
    first = np.column_stack([east, np.zeros(6), 0.01 * east])
    second = np.column_stack([east, np.full(6, 24.0), 0.011 * east])
    second[-1, 1:] = 1.2, 0.15  # 4 ft north for 80
    faces = rule(first, second)
    assert len(faces) < 10_000  # alike they would be 50,000, and as many bends of the base
    u, v = np.random.default_rng(1).uniform(0, 1, (2, 3000, 1))
    share = np.hypot(*np.diff(second[:, :2], axis=0).T).cumsum()
    along = np.concatenate([[0], share / share[-1]])
    ends = [
        np.column_stack([np.interp(u[:, 0], at, axis) for axis in line.T])
        for line, at in ((first, east / east[-1]), (second, along))
    ]
    off, found = leaves_by(faces, (1 - v) * ends[0] + v * ends[1])
    assert found > 2990
    assert off.max() <= RULING_TOLERANCE


@pytest.mark.parametrize("name", QUADS)
def test_a_plane_is_cut_once_however_its_edges_run(name):
    plan = np.array(QUADS[name], float)
    corners = np.column_stack([plan, 3 + plan @ [0.02, -0.01]])
    faces = rule(corners[:2], corners[2:])
    assert len(faces) == 4
    assert_allclose(faces[..., 2], 3 + faces[..., :2] @ [0.02, -0.01], atol=1e-12)


def test_rulings_from_one_place_make_a_plane_without_empty_faces():
    random = np.random.default_rng(9)
    for corners in random.uniform(0, 10, (200, 3, 3)):
        area = abs(plan_area(corners[None])[0])
        if area < 1:
            continue
        faces = rule(corners[[0, 1]], corners[[0, 2]])
        assert len(faces) == 3
        assert_allclose(np.abs(plan_area(faces)).sum(), area, rtol=1e-9)


def test_an_edge_may_be_listed_from_either_end():
    first = np.array([[0, 0, 0], [4, 0, 0.1], [10, 0, 0.0]])
    second = np.array([[0, 10, 0.3], [7, 10, 0.1], [10, 10, 0.2]])
    one, other = rule(first, second), rule(first, second[::-1])
    assert_allclose(one, other, atol=1e-12)


def test_the_edges_pass_through_every_measured_point():
    first = np.array([[0, 0, 0], [3.3, 0.1, 0.1], [10, 0, 0.0]])
    second = np.array([[0, 10, 0.3], [7.7, 10.2, 0.1], [10, 10, 0.2]])
    off, found = leaves_by(rule(first, second), np.vstack([first, second]))
    assert found >= 4  # corners of the outline may lie a hair outside
    assert off.max() < 1e-9


def test_points_that_face_one_another_but_for_rounding_are_joined():
    # between them lay splinters of a micrometre, and each held water
    first = np.array([[0, 0, 0], [6, 0, -0.06], [12, 0, -0.1]])
    second = np.array([[0, 8, -0.1], [6.00001, 8, -0.11], [12, 8, -0.24]])
    exact = np.where(second == 6.00001, 6, second)
    assert_allclose(rule(first, second), rule(first, exact), atol=1e-5)


def test_rulings_that_cross_are_refused():
    bent = np.array([[0, 0, 0], [10, 0, 0], [10, 10, 0], [0, 10, 0], [0, 6, 0.0]])
    with pytest.raises(GeometryError, match="cross one another"):
        rule(bent, np.array([[0, 5, 0], [20, 5, 0.0]]))


@pytest.mark.parametrize("edge", [[[0, 0, 0]], [[0, 0, 0], [0, 0, 1], [5, 0, 0]]])
def test_an_edge_without_length_is_refused(edge):
    with pytest.raises(GeometryError, match="two points or more"):
        rule(np.array(edge, float), np.array([[0, 5, 0], [9, 5, 0.0]]))
