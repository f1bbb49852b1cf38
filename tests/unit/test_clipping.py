"""Overlay: nothing is lost or counted twice, also where lines run exactly through corners."""

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose, assert_array_equal

from gradevol.geometry.clipping import clip_by_line, fan, intersect_triangles, overlay, overlay_rows
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import triangulate_polygon
from tests.pads import turned


def lattice_triangles(columns, rows, spacing):
    """Two triangles a cell, the diagonal alternating."""
    made = []
    for i in range(columns):
        for j in range(rows):
            a, b, c, d = (
                np.array(p, float) for p in ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))
            )
            made += [[a, b, c], [a, c, d]] if (i + j) % 2 else [[a, b, d], [b, c, d]]
    return spacing * np.array(made)


def random_triangles(random, count):
    corners = random.uniform(0, 10, (count, 3, 2))
    is_clockwise = plan_area(corners) < 0
    corners[is_clockwise] = corners[is_clockwise][:, ::-1]
    return corners


def test_common_part_of_two_triangles_agrees_with_another_library():
    random = np.random.default_rng(5)
    first, second = random_triangles(random, 500), random_triangles(random, 500)
    pieces, owner = fan(*intersect_triangles(first, second))
    area = np.bincount(owner, weights=plan_area(pieces), minlength=500)
    expected = shapely.area(shapely.intersection(shapely.polygons(first), shapely.polygons(second)))
    assert (expected > 0).sum() > 100
    assert_allclose(area, expected, atol=1e-9)


def test_half_of_a_square_is_kept_and_nothing_of_one_beyond():
    square = np.array([[0, 0], [2, 0], [2, 2], [0, 2.0]])
    polygons = np.stack([square, square])
    side = np.stack([square[:, 0] - 1, square[:, 0] - 3])
    left, counts = clip_by_line(polygons, np.array([4, 4]), side)
    assert_array_equal(counts, [4, 0])
    assert shapely.Polygon(left[0, :4]).area == 2


def test_corners_that_rounding_puts_on_both_sides_of_the_line_lose_no_area():
    # two corners at one place straddle the line: it crosses the outline four times
    polygon = np.array([[[0, 1], [0, 0], [1e-17, 0], [3, -1], [3, 1.0]]])
    side = np.array([[1.0, -1e-17, 1e-17, -1.0, 1.0]])
    left, counts = clip_by_line(polygon, np.array([5]), side)
    assert counts[0] == 7
    pieces, _ = fan(left, counts)
    assert_allclose(plan_area(pieces).sum(), 3, atol=1e-12)
    again, counts = clip_by_line(left, counts, np.ones(left.shape[:2]))
    assert counts[0] == 7
    assert_array_equal(again[0, :7], left[0, :7])


@pytest.mark.parametrize("spacing", [1.524, 3.048, 0.7])
def test_an_outline_along_lattice_lines_cuts_a_turned_lattice_without_loss(spacing):
    corner = spacing * np.array([[0, 0], [5, 0], [5, 2], [2, 2], [2, 4], [0, 4.0]])
    under = lattice_triangles(6, 5, spacing)
    for angle in np.linspace(0, np.pi, 61):
        outline = shapely.Polygon(turned(corner, angle))
        pieces, in_first, in_second, *_ = overlay(
            turned(under, angle), triangulate_polygon(outline)
        )
        area = plan_area(pieces)
        assert (area >= 0).all()
        assert_allclose(area.sum(), outline.area, rtol=1e-12)
        assert len(in_first) == len(in_second) == len(pieces)


def test_overlay_agrees_with_every_pair_looked_at():
    random = np.random.default_rng(8)
    under = turned(lattice_triangles(14, 11, 1.0), 0.3)
    over = triangulate_polygon(
        shapely.Polygon(turned(np.array([[1, 1], [9, 2], [7, 9], [5, 4], [2, 8.0]]), 0.3))
    )
    pieces, in_first, in_second, *_ = overlay(under, over)
    measured = np.zeros((len(under), len(over)))
    np.add.at(measured, (in_first, in_second), plan_area(pieces))
    expected = shapely.area(
        shapely.intersection(shapely.polygons(under)[:, None], shapely.polygons(over)[None])
    )
    assert (expected > 0).sum() > 100
    assert_allclose(measured, expected, atol=1e-12)
    order = random.permutation(len(under))
    assert_allclose(plan_area(overlay(under[order], over)[0]).sum(), plan_area(pieces).sum())


def test_triangles_that_no_side_touches_are_kept_whole():
    under = lattice_triangles(40, 40, 0.25)
    over = triangulate_polygon(shapely.Polygon([(0, 0), (10, 0), (10, 10), (0, 10)]))
    pieces, in_first, *_ = overlay(under, over)
    assert len(pieces) < 1.2 * len(under)  # only those on the one diagonal and the rim are cut
    assert_array_equal(np.unique(in_first), np.arange(len(under)))
    assert_allclose(plan_area(pieces).sum(), 100, rtol=1e-12)


def test_what_lies_outside_leaves_no_pieces():
    under = lattice_triangles(3, 3, 1.0) + 50
    over = triangulate_polygon(shapely.Polygon([(0, 0), (10, 0), (10, 10), (0, 10)]))
    pieces, in_first, in_second, *_ = overlay(under, over)
    assert pieces.shape == (0, 3, 2)
    assert len(in_first) == len(in_second) == 0


def test_progress_is_told_as_a_share():
    told: list[float] = []
    under = lattice_triangles(3, 3, 1.0)
    overlay_rows(
        under.reshape(-1, 2),
        np.arange(3 * len(under)).reshape(-1, 3),
        triangulate_polygon(shapely.Polygon([(0, 0), (2.5, 0), (2.5, 3), (0, 3)])),
        progress=told.append,
    )
    assert told
    assert all(0 <= share <= 1 for share in told)


@pytest.mark.slow
def test_a_large_lattice_goes_through_the_fine_sieve_without_loss():
    under = turned(lattice_triangles(120, 120, 0.1), 0.2)
    assert len(under) > 20_000
    outline = shapely.Polygon(
        turned(np.array([[0, 0], [12, 0], [12, 5], [6, 5], [6, 12], [0, 12.0]]), 0.2)
    )
    pieces, *_ = overlay(under, triangulate_polygon(outline))
    assert_allclose(plan_area(pieces).sum(), outline.area, rtol=1e-12)
