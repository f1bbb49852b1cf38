"""A top ruled between two edges that run askew, held against its own formula place by place."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.geometry.rulings import RULING_TOLERANCE
from gradevol.measures.overlaid import build_field
from gradevol.measures.thickness import measure_thickness
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface
from gradevol.site.top import Between, build_top

INCH = 0.0254
DESIGN, OFF = 5 * INCH, 0.25 * INCH


def rule_at(places, first, second):
    """Elevation of the rulings between two straight edges, by Newton's method in their shares."""
    (a, b), (c, d) = first, second
    share = np.full((len(places), 2), 0.5)
    for _ in range(30):
        u, v = share[:, :1], share[:, 1:]
        at = (1 - v) * ((1 - u) * a + u * b) + v * ((1 - u) * c + u * d)
        by_u, by_v = (1 - v) * (b - a) + v * (d - c), (1 - u) * (c - a) + u * (d - b)
        slope = np.stack([by_u[:, :2], by_v[:, :2]], axis=2)
        share = share - np.linalg.solve(slope, (at[:, :2] - places)[..., None])[..., 0]
    u, v = share[:, :1], share[:, 1:]
    return ((1 - v) * ((1 - u) * a + u * b) + v * ((1 - u) * c + u * d))[:, 2]


def drive(seed):
    """A driveway laid askew on the grid: its two edges, and a base within 1/4 in of its design."""
    random = np.random.default_rng(seed)
    long, wide, angle = random.uniform(8, 25), random.uniform(3, 6), random.uniform(0, np.pi)
    turn = np.array([(np.cos(angle), np.sin(angle)), (-np.sin(angle), np.cos(angle))])
    ends = np.array([(0, 0), (long, 0), (0, wide), (long, wide)]) + random.normal(0, 0.3, (4, 2))
    corners = np.column_stack([ends @ turn, 3 + random.normal(0, 0.15, 4)])
    first, second = corners[:2], corners[2:]
    across, along = (
        axis.ravel() for axis in np.meshgrid(np.linspace(0, 1, 7), np.linspace(0, 1, 13))
    )
    plan = (1 - across)[:, None] * (first[0] + along[:, None] * (first[1] - first[0])) + across[
        :, None
    ] * (second[0] + along[:, None] * (second[1] - second[0]))
    plan[:, 2] += random.uniform(-OFF, OFF, len(plan)) - DESIGN
    return first, second, plan


@pytest.mark.parametrize("seed", range(16))
def test_no_piece_of_a_twisted_top_leaves_its_rulings(seed):
    first, second, shots = drive(seed)
    edge = np.vstack([first, second[::-1]])[:, :2]
    slab = Slab(edge=edge, openings=(), thickness=DESIGN, least_thickness=DESIGN - 0.75 * INCH)
    top = build_top(Between(first, second), slab)

    field = build_field(extend_level(build_surface(shots), slab.outline), top.surface, slab)

    above = field.base + field.thickness
    wanted = rule_at(field.corners.reshape(-1, 2), first, second).reshape(above.shape)
    assert_allclose(above, wanted, atol=1.5 * RULING_TOLERANCE)
    assert field.area.sum() == pytest.approx(slab.area, rel=1e-9)
    least = measure_thickness(field)
    wide = field.area > 1e-8
    assert least.min == pytest.approx(field.thickness[wide].min(), abs=1e-6)
    assert least.max == pytest.approx(field.thickness[wide].max(), abs=1e-6)
