"""Pools of a surface: closed forms, and the same by another road."""

import heapq

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.geometry.flooding import find_lone_sides, find_pools
from gradevol.geometry.prisms import plan_area, volume_above
from gradevol.geometry.triangulation import triangulate

SQUARE = np.array([[0, 0], [4, 0], [4, 4], [0, 4.0]])


def fan(ring, heart, *, rim=1.0, depth=0.3):
    """Triangles from a ring at one level down to a heart."""
    around = np.column_stack([ring, np.full(len(ring), rim)])
    middle = np.broadcast_to([*heart, rim - depth], around.shape)
    return np.stack([around, np.roll(around, -1, axis=0), middle], axis=1)


def rim_of(corners):
    """Corners on the outermost sides, for surfaces that meet corner to corner."""
    lets_out = np.zeros(corners.shape[:2], bool)
    lone = find_lone_sides(corners)
    places = corners[lone[:, 0], lone[:, 1], :2]
    for row, triangle in enumerate(corners[..., :2]):
        lets_out[row] = (np.abs(triangle[:, None] - places).max(axis=2) < 1e-6).any(axis=1)
    return lets_out


def volumes(corners, pools):
    """Water in each pool, m³."""
    wet = pools.holder >= 0
    depth = pools.level[pools.holder[wet]][:, None] - corners[wet][..., 2]
    held = volume_above(plan_area(corners[wet]), depth)
    return np.bincount(pools.holder[wet], held, minlength=len(pools.level))


def flood_by_hand(corners, lets_out):
    """Level that each corner fills to, by the way over sides one after another."""
    places = [tuple(p) for p in np.round(corners.reshape(-1, 3), 9).tolist()]
    beside: dict[tuple[float, ...], set[tuple[float, ...]]] = {}
    for row in range(len(corners)):
        for k in range(3):
            one, other = places[3 * row + k], places[3 * row + (k + 1) % 3]
            beside.setdefault(one, set()).add(other)
            beside.setdefault(other, set()).add(one)
    out = {places[k] for k in np.flatnonzero(lets_out.ravel())}
    full: dict[tuple[float, ...], float] = {}
    queue = [(place[2], place) for place in out]
    heapq.heapify(queue)
    while queue:
        level, place = heapq.heappop(queue)
        if place in full:
            continue
        full[place] = level
        for other in beside[place]:
            heapq.heappush(queue, (max(level, other[2]), other))
    return np.array([full[place] for place in places]).reshape(-1, 3)


def test_a_pyramid_upside_down_holds_a_third_of_base_times_height():
    corners = fan(SQUARE, (1.0, 2.5))
    pools = find_pools(corners, rim_of(corners))

    assert_allclose(volumes(corners, pools), [16 * 0.3 / 3], rtol=1e-12)
    assert_allclose(pools.level, [1.0])


def test_a_notch_in_the_rim_lets_water_down_to_its_level():
    corners = fan(SQUARE, (2.0, 2.0))
    notch = (corners[..., :2] == SQUARE[2]).all(axis=2)
    corners[notch, 2] = 0.8
    pools = find_pools(corners, rim_of(corners))

    assert_allclose(pools.level, [0.8])
    assert_allclose(pools.sill, [[4, 4, 0.8]])


def test_a_plane_and_a_valley_that_falls_hold_nothing():
    plan = np.random.default_rng(3).uniform(0, 9, (60, 2))
    plane = np.column_stack([plan, plan @ [0.01, -0.02]])[triangulate(plan).triangles]
    assert len(find_pools(plane, rim_of(plane)).level) == 0
    ridge = np.array([[0, 0], [0, 4], [0, 8], [9, 0], [9, 4], [9, 8.0]])
    valley = np.column_stack([ridge, 0.02 * np.abs(ridge[:, 1] - 4) + 0.01 * ridge[:, 0]])
    corners = valley[[[0, 3, 4], [0, 4, 1], [1, 4, 5], [1, 5, 2]]]
    assert len(find_pools(corners, rim_of(corners)).level) == 0


@pytest.mark.parametrize("seed", range(12))
def test_levels_agree_with_a_flood_over_the_sides_one_by_one(seed):
    random = np.random.default_rng(seed)
    plan = random.uniform(0, 10, (120, 2))
    level = np.round(random.normal(size=len(plan)), 1 + seed % 2)  # many at one elevation
    corners = np.column_stack([plan, level])[triangulate(plan).triangles]
    lets_out = rim_of(corners)
    pools = find_pools(corners, lets_out)

    full = flood_by_hand(corners, lets_out)
    wet = pools.holder >= 0
    mine = np.where(wet, np.append(pools.level, 0)[pools.holder], -np.inf)[:, None]
    assert len(pools.level) >= 3
    assert_allclose(np.maximum(mine, corners[..., 2]), full, atol=1e-12)
    assert_allclose(pools.sill[:, 2], pools.level)


def test_two_hollows_joined_under_water_are_one_pool():
    plan = np.array([[0, 0], [8, 0], [8, 4], [0, 4], [2, 2], [6, 2], [4, 2.0]])
    level = np.array([1, 1, 1, 1, 0.5, 0.6, 0.8])
    corners = np.column_stack([plan, level])[triangulate(plan).triangles]
    assert len(find_pools(corners, rim_of(corners)).level) == 1

    level[6] = 1.0  # a ridge as high as the rim parts them
    corners = np.column_stack([plan, level])[triangulate(plan).triangles]
    assert len(find_pools(corners, rim_of(corners)).level) == 2


def test_water_runs_over_a_joint_whose_corners_do_not_meet():
    upper = np.array([[0, 4, 1.0], [8, 4, 1.0], [4, 8, 1.2]])[None]
    west = np.array([[0, 0, 0.9], [4, 0, 0.9], [4, 4, 1.0]])
    middle = np.array([[0, 0, 0.9], [4, 4, 1.0], [0, 4, 1.0]])
    east = np.array([[4, 0, 0.9], [8, 0, 0.9], [8, 4, 1.0]])
    fourth = np.array([[4, 0, 0.9], [8, 4, 1.0], [4, 4, 1.0]])
    corners = np.concatenate([upper, [west, middle, east, fourth]])
    lets_out = corners[..., 1] == 0

    assert len(find_pools(corners, lets_out).level) == 0


def test_water_leaves_over_a_step_where_its_upper_side_is_lowest():
    low = np.array(
        [[[0, 0, 0.5], [4, 0, 0.5], [4, 4, 0.9]], [[0, 0, 0.5], [4, 4, 0.9], [0, 4, 0.3]]]
    )
    high = np.array(
        [[[0, 4, 0.9], [4, 4, 0.3], [4, 8, 0.1]], [[0, 4, 0.9], [4, 8, 0.1], [0, 8, 0.1]]]
    )
    corners = np.concatenate([low, high])
    lets_out = corners[..., 1] == 8
    pools = find_pools(corners, lets_out)

    # along the joint one side rises from 0.3 to 0.9, the other falls from 0.9 to 0.3
    assert_allclose(pools.level, [0.6])
    assert_allclose(pools.sill, [[2, 4, 0.6]], atol=1e-12)


def test_where_no_way_leads_out_the_level_has_no_bound():
    corners = fan(SQUARE, (2.0, 2.0))
    pools = find_pools(corners, np.zeros((4, 3), bool))

    assert np.isinf(pools.level).all()
    assert (pools.holder >= 0).all()


def test_pools_do_not_depend_on_the_order_of_triangles():
    random = np.random.default_rng(5)
    plan = random.uniform(0, 10, (80, 2))
    corners = np.column_stack([plan, random.normal(size=80)])[triangulate(plan).triangles]
    mixed = random.permutation(len(corners))
    one, other = (find_pools(c, rim_of(c)) for c in (corners, corners[mixed]))

    assert_allclose(np.sort(volumes(corners, one)), np.sort(volumes(corners[mixed], other)))
    assert_allclose(np.sort(one.level), np.sort(other.level), rtol=0)
