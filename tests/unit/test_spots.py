"""Spots: closed forms of their area, volume, worst place and extent."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.measures.overlaid import build_field
from gradevol.measures.spots import LISTED, find_high, find_low, find_thin
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Thickening
from gradevol.site.surface import build_surface
from gradevol.site.top import Level, build_top

EDGE = np.array([[0, 0], [10, 0], [10, 5], [0, 5.0]])


def find(shots, finder, edge=EDGE, **slab):
    """Spots under a top at 0.15 over shots whose elevations are about 0."""
    given = {"thickness": 0.15, "least_thickness": 0.13, **slab}
    pad = Slab(edge, (), **given)
    top = build_top(Level(0.15), pad).surface
    base = extend_level(build_surface(np.array(shots, float)), pad.outline)
    return finder(build_field(base, top, pad), pad)


def corners_at(west, east):
    """Shots at the four corners: `west` and `east` are elevations."""
    return [[0, 0, west], [10, 0, east], [10, 5, east], [0, 5, west]]


def ring_area(ring):
    east, north = ring.T
    return (east @ np.roll(north, -1) - north @ np.roll(east, -1)) / 2


def test_a_tilted_base_is_thin_in_a_strip_of_known_area_and_volume():
    spots = find(corners_at(0.05, -0.05), find_thin)  # thickness 0.10 to 0.20 from west to east
    (spot,) = spots.listed
    assert_allclose(spots.area, 3 * 5)
    assert_allclose(spot.area, 3 * 5)
    assert_allclose(spot.volume, (0.05 + 0.02) / 2 * 15)  # to the design base, not to the limit
    assert_allclose(spot.worst, 0.10)
    assert_allclose(spot.at, (0, 0, 0.05), atol=1e-12)  # the south-west one among equals
    assert_allclose((spot.length, spot.width), (5, 3))
    assert_allclose(spot.bearing % 180, 0, atol=1e-9)
    assert_allclose(spot.mean, 0.035)


def test_high_and_low_strips_of_a_tilted_base():
    high = find(corners_at(0.05, -0.05), find_high, base_high=0.02)
    low = find(corners_at(0.05, -0.05), find_low, base_low=0.03)
    assert_allclose(high.area, 3 * 5)
    assert_allclose(high.listed[0].worst, 0.05)
    assert_allclose(high.listed[0].volume, (0.05 + 0.02) / 2 * 15)
    assert_allclose(low.area, 2 * 5)
    assert_allclose(low.listed[0].worst, 0.05)
    assert_allclose(low.listed[0].volume, (0.05 + 0.03) / 2 * 10)
    assert_allclose(low.listed[0].at[:2], (10, 0))


def test_no_tolerance_stated_is_not_none_found():
    assert find(corners_at(0.05, -0.05), find_high) is None
    assert find(corners_at(0.05, -0.05), find_low) is None
    assert find(corners_at(0, 0), find_high, base_high=0.02).listed == ()


def test_a_base_on_the_limit_itself_is_not_thin():
    spots = find(corners_at(0.02, 0.02), find_thin, least_thickness=0.13)
    assert spots.area == pytest.approx(0, abs=1e-9)
    assert spots.listed == ()


def test_a_base_that_is_thin_all_over_is_one_spot_of_the_whole_slab():
    (spot,) = find(corners_at(0.05, 0.05), find_thin).listed
    assert_allclose((spot.area, spot.worst, spot.volume), (50, 0.10, 2.5))
    assert_allclose((spot.length, spot.width, spot.bearing), (10, 5, 90))


def bumps(heights, spacing=2.0):
    """Shots on a lattice, level but for bumps two apart from one another: (places, shots)."""
    count = 2 * len(heights) + 1
    shots, places = [], []
    for i in range(count):
        for j in range(3):
            is_bump = i % 2 == 1 and j == 1
            level = heights[i // 2] if is_bump else 0.0
            shots.append([spacing * i, spacing * j, level])
            if is_bump:
                places.append((spacing * i, spacing * j))
    edge = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]]) * [spacing * (count - 1), spacing * 2]
    return places, shots, edge


def test_spots_are_told_apart_and_the_thinnest_comes_first():
    places, shots, edge = bumps([0.04, 0.10, 0.06])
    spots = find(shots, find_thin, edge=edge)
    assert_allclose([spot.worst for spot in spots.listed], [0.05, 0.09, 0.11])
    assert_allclose([spot.at[:2] for spot in spots.listed], [places[1], places[2], places[0]])
    assert_allclose(sum(spot.area for spot in spots.listed), spots.area)


def test_the_deepest_low_spot_comes_first():
    _, shots, edge = bumps([-0.04, -0.10, -0.06])
    spots = find(shots, find_low, edge=edge, base_low=0.01)
    assert_allclose([spot.worst for spot in spots.listed], [0.10, 0.06, 0.04])


def test_an_outline_encloses_the_area_and_runs_counter_clockwise():
    _, shots, edge = bumps([0.04, 0.10])
    for spot in find(shots, find_thin, edge=edge).listed:
        (ring,) = spot.rings
        assert ring_area(ring) > 0
        assert_allclose(ring_area(ring), spot.area)


@pytest.mark.parametrize("off", [0.0, 4e-17, -4e-17, 1e-12, 3e-7])
def test_spots_that_touch_in_a_point_are_two(off):
    # shots above the limit on both sides of one that is on it, but for rounding
    shots = [
        [i, j, {(1, 1): 0.05, (3, 1): 0.07, (2, 1): 0.02 + off}.get((i, j), 0.0)]
        for i in range(5)
        for j in range(3)
    ]
    edge = np.array([[0, 0], [4, 0], [4, 2], [0, 2.0]])
    spots = find(shots, find_thin, edge=edge)
    assert_allclose([spot.worst for spot in spots.listed], [0.08, 0.10])
    assert_allclose([spot.at[:2] for spot in spots.listed], [(3, 1), (1, 1)])


@pytest.mark.parametrize("angle", np.linspace(0.1, 6.2, 7))
@pytest.mark.parametrize("mirror", [1, -1])
def test_a_triangle_has_one_length_however_it_lies(angle, mirror):
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([(cos, -sin), (sin, cos)]) * [1, mirror]
    edge = np.array([(0, 0), (4, 0), (0, 3)]) @ turn.T
    slab = Slab(edge, (), 0.15, 0.13)
    base = build_surface(np.column_stack([8 * edge - 2, np.full(3, 0.05)]))
    top = build_top(Level(0.15), slab)
    (spot,) = find_thin(
        build_field(extend_level(base, slab.outline), top.surface, slab), slab
    ).listed
    assert_allclose((spot.length, spot.width), (5, 2.4))
    long = edge[2] - edge[1]
    bearing = np.degrees(np.arctan2(*long))
    assert (spot.bearing - bearing + 90) % 180 == pytest.approx(90, abs=1e-6)


def test_spots_joined_by_the_least_that_is_no_rounding_are_one():
    shots = [
        [i, j, {(1, 1): 0.05, (3, 1): 0.07, (2, 1): 0.02 + 1e-5}.get((i, j), 0.0)]
        for i in range(5)
        for j in range(3)
    ]
    (spot,) = find(shots, find_thin, edge=np.array([[0, 0], [4, 0], [4, 2], [0, 2.0]])).listed
    assert_allclose(spot.worst, 0.08)


def test_what_is_smaller_than_a_finger_s_tip_is_no_spot():
    # a pyramid 0.1 mm above the limit: 0.5 cm²
    shots = [[i, j, 0.0201 if (i, j) == (2, 1) else 0.0] for i in range(5) for j in range(3)]
    spots = find(shots, find_thin, edge=np.array([[0, 0], [4, 0], [4, 2], [0, 2.0]]))
    assert spots.count == 0
    assert 0 < spots.area < 1e-4


def test_spots_equally_bad_come_by_place_whatever_the_order_of_the_shots():
    places, shots, edge = bumps([0.06, 0.06, 0.06])
    for seed in range(4):
        mixed = np.random.default_rng(seed).permutation(np.array(shots))
        spots = find(mixed, find_thin, edge=edge)
        assert_allclose([spot.at[:2] for spot in spots.listed], places)


@pytest.mark.parametrize("mirror", [1, -1])
def test_of_spots_equally_bad_the_larger_comes_first_however_they_lie(mirror):
    high = {(1, 1), (5, 1), (6, 1)}
    shots = np.array([[i, j, 0.06 * ((i, j) in high)] for i in range(9) for j in range(3)])
    edge = np.array([[0, 0], [8, 0], [8, 2], [0, 2.0]])
    spots = find(shots * [mirror, 1, 1], find_thin, edge=(edge * [mirror, 1])[::mirror])
    assert [round(abs(spot.at[0])) > 4 for spot in spots.listed] == [True, False]


def test_a_hole_in_a_spot_is_a_ring_of_its_own_the_other_way_round():
    shots = [[i, j, 0.0 if (i, j) == (2, 2) else 0.05] for i in range(5) for j in range(5)]
    edge = np.array([[0, 0], [4, 0], [4, 4], [0, 4.0]])
    (spot,) = find(shots, find_thin, edge=edge).listed
    assert len(spot.rings) == 2
    assert [ring_area(ring) > 0 for ring in spot.rings].count(False) == 1
    assert_allclose(sum(ring_area(ring) for ring in spot.rings), spot.area)


def test_more_spots_than_are_listed_are_counted_and_their_area_is_not_lost():
    rng = np.random.default_rng(2)
    heights = 0.04 + 0.05 * rng.random(LISTED + 7)
    _, shots, edge = bumps(list(heights))
    spots = find(shots, find_thin, edge=edge)
    assert (len(spots.listed), spots.unlisted) == (LISTED, 7)
    assert spots.area > sum(spot.area for spot in spots.listed)
    # those left out have the least to cut: the lowest bumps
    assert_allclose(
        sorted(0.15 - spot.worst for spot in spots.listed), sorted(heights)[7:], atol=1e-12
    )


def test_the_floor_of_a_trench_is_neither_high_nor_low_but_it_can_be_thin():
    beam = Thickening("beam", 0.3, width=1.0, surveyed="yes", sides=(1,))
    # the trench, 1 m wide, lies 0.30 m low
    shots = [[e, n, -0.3 if n < 1.01 else 0.0] for e in (0, 5, 10) for n in (0, 1, 1.02, 5)]
    low = find(shots, find_low, thickenings=(beam,), base_low=0.01)
    assert low.area < 10 * 0.05
    everywhere = find(shots, find_low, base_low=0.01)
    assert everywhere.area > 10 * 0.99
