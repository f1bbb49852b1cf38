"""Rulings between points of curved sides: in closed form, over a quarter of a ring."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.site.curved_sides import follow_curves
from tests.quarter_ring import INNER, OUTER, measure, slab_in, write_quarter

AREA = math.pi / 4 * (OUTER**2 - INNER**2)


def points_along(radius, count, *, high, turn=1):
    """Points of an edge that climbs 0.2 m over a quarter of a circle, m."""
    angle = np.linspace(0, np.pi / 2, count)[::turn]
    level = 5 + high + 0.4 * angle / np.pi
    places = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), level])
    return np.round(places, 6).tolist()


@pytest.mark.parametrize(
    ("count", "turn", "off"), [(2, 1, 0), (3, -1, 0), (9, 1, 0), (2, -1, 0.03), (4, 1, 0.03)]
)
def test_a_top_between_points_of_two_arcs_is_ruled_along_them(tmp_path, count, turn, off):
    lines = [
        points_along(OUTER - off, count, high=0.2),
        points_along(INNER + off, 3, high=0, turn=turn),
    ]
    found = measure(write_quarter(tmp_path, top=f"between = {lines}", level=lambda *_: 4.8))

    # across it the top climbs evenly from the inner arc to the outer one, between the lines
    radius = INNER + (OUTER - INNER) * (np.arange(4000) + 0.5) / 4000
    across = np.clip((radius - INNER - off) / (OUTER - INNER - 2 * off), 0, 1)
    mean = 0.3 + 0.2 * (across * radius).sum() / radius.sum()
    assert found.concrete.slab == pytest.approx(AREA * mean, rel=2e-6 if not off else 1e-4)
    assert found.tie_ins.flush == (2, 4)


def test_a_line_follows_the_curve_as_far_off_it_as_its_points_and_stays_straight_elsewhere(
    tmp_path,
):
    slab = slab_in(tmp_path)
    off = np.array([0.04, -0.08, 0.02])
    angle = np.radians([10, 40, 80])
    arc = (OUTER + off)[:, None] * np.column_stack([np.cos(angle), np.sin(angle)])
    line = np.column_stack([[[12, -5], *arc], [4, 5, 6, 7.0]])  # it comes from away

    followed = follow_curves(line, slab)

    assert_allclose(followed[0], line[0])
    assert_allclose(followed[1], line[1], atol=1e-9)
    radius, turned = np.hypot(*followed[1:, :2].T), np.arctan2(followed[1:, 1], followed[1:, 0])
    assert len(radius) > 20
    assert_allclose(radius - OUTER, np.interp(turned, angle, off), atol=0.003)
    assert_allclose(followed[1:, 2], np.interp(turned, angle, line[1:, 2]), atol=0.01)


def test_a_line_that_only_crosses_a_curve_stays_as_it_is(tmp_path):
    line = np.array([[12.0, 0, 5], [7.05, 7.05, 5], [0, 12, 5]])
    assert_allclose(follow_curves(line, slab_in(tmp_path)), line)


def test_a_line_along_the_straight_side_of_a_half_circle_does_not_follow_its_arc(tmp_path):
    """Both ends of the side are ends of the arc."""
    angle = np.linspace(0, np.pi, 5)
    arc = np.column_stack([5 + 5 * np.cos(angle), 5 * np.sin(angle), np.full(5, 5.0)])
    lines = [[[0, 0, 5], [10, 0, 5]], np.round(arc, 6).tolist()]
    job = write_quarter(
        tmp_path,
        edge="[[0, 0], [10, 0], { curve = [5, 5] }]",
        top=f"between = {lines}",
        level=lambda *_: 4.8,
    )
    found = measure(job)
    assert found.concrete.slab == pytest.approx(0.2 * math.pi * 25 / 2, rel=1e-4)
    assert found.tie_ins.flush == (1, 2)
