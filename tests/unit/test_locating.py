"""Places by tape: two distances that fix a place."""

from itertools import combinations

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.site.locating import LEAST_ANGLE, locate
from gradevol.site.slab import Slab


def slab_of(corners):
    return Slab(np.array(corners, float), (), 0.15, 0.13)


PAD = slab_of([[0, 0], [12, 0], [12, 9], [0, 9]])
L_SHAPE = slab_of([[0, 0], [12, 0], [12, 4], [4, 4], [4, 12], [0, 12]])


def round_slab(corners, radius=4.0):
    angle = 2 * np.pi * np.arange(corners) / corners
    return slab_of(radius * np.column_stack([np.cos(angle), np.sin(angle)]))


@pytest.mark.parametrize(
    ("place", "sides"),
    [
        ((2, 1), ((1, 1.0), (4, 2.0))),
        ((11, 1), ((1, 1.0), (2, 1.0))),
        ((10, 8), ((2, 2.0), (3, 1.0))),
        ((3, 7), ((3, 2.0), (4, 3.0))),
    ],
)
def test_a_place_in_a_rectangle_is_taped_from_its_two_nearest_sides(place, sides):
    assert locate(place, PAD).sides == sides
    assert locate(place, PAD).corners == ()


def test_parallel_sides_fix_no_place():
    strip = slab_of([[0, 0], [30, 0], [30, 1], [0, 1]])
    (one, _), (other, away) = locate((10, 0.5), strip).sides
    assert (one, other) == (1, 4)
    assert_allclose(away, 10)


def test_a_side_is_measured_from_only_where_the_place_lies_square_off_it():
    # sides 3 and 4 of the L end at its inner corner and do not face the outer leg's foot
    taping = locate((1, 1), L_SHAPE)
    assert taping.sides == ((1, 1.0), (6, 1.0))
    assert locate((3, 11), L_SHAPE).sides == ((4, 1.0), (5, 1.0))


def test_a_corner_itself_is_nought_from_both_of_its_sides():
    assert locate((12, 9), PAD).sides == ((2, 0.0), (3, 0.0))


@pytest.mark.parametrize("corners", [60, 100, 720])
@pytest.mark.parametrize("place", [(0, 0), (3, 1), (-1, 0.5), (0.1, -3.9)])
def test_a_round_slab_is_taped_from_two_corners_whose_tapes_cross(corners, place):
    slab = round_slab(corners)
    taping = locate(place, slab)
    assert taping.sides == ()
    (one, near), (other, far) = taping.corners
    off = slab.edge[[one - 1, other - 1]] - place
    assert_allclose(np.hypot(*off.T), [near, far])
    turn = np.degrees(np.arccos(off[0] @ off[1] / (near * far)))
    assert LEAST_ANGLE - 1e-9 <= turn <= 180 - LEAST_ANGLE + 1e-9
    assert near <= far


def test_tapes_from_corners_are_the_shortest_that_cross_squarely_enough():
    slab, place = round_slab(60), np.array([3.0, 1])
    (first, _), (second, far) = locate(place, slab).corners
    off = slab.edge - place
    away = np.hypot(*off.T)
    cosine = off @ off[first - 1] / (away * away[first - 1])
    meets = np.abs(cosine) <= np.cos(np.radians(LEAST_ANGLE))
    assert away.argmin() == first - 1
    assert_allclose(away[meets].min(), far)
    assert meets[second - 1]


def test_every_pair_of_distances_leads_back_to_the_place():
    rng = np.random.default_rng(3)
    for slab in (PAD, L_SHAPE):
        for place in rng.random((60, 2)) * [12, 9]:
            taping = locate(place, slab)
            for number, away in taping.sides:
                start, end = slab.sides[number - 1]
                along = (end - start) / np.hypot(*(end - start))
                off = place - start
                assert_allclose(abs(along[0] * off[1] - along[1] * off[0]), away, atol=1e-9)
            for number, away in taping.corners:
                assert_allclose(np.hypot(*(slab.edge[number - 1] - place)), away)
            assert len(taping.sides) + len(taping.corners) == 2


def test_the_pair_of_sides_is_the_nearest_of_all_pairs():
    place = np.array([5.0, 2])
    slab = slab_of([[0, 0], [12, 0], [9, 7], [2, 8]])
    off = []
    for start, end in slab.sides:
        along = (end - start) / np.hypot(*(end - start))
        off.append(abs(along[0] * (place - start)[1] - along[1] * (place - start)[0]))
    best = min(sum(pair) for pair in combinations(off, 2))
    assert_allclose(sum(away for _, away in locate(place, slab).sides), best)


def test_a_place_on_a_side_is_taped_off_the_next_though_the_corner_is_not_quite_square():
    """Turned and rounded to 0.1 mm, side 4 stands a hair askew, and ends before the place."""
    turn = np.radians(31)
    turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    slab = slab_of(np.round(np.array([[0, 0], [18, 0], [18, 12], [0, 12]]) @ turned, 4))
    for east in np.linspace(0.5, 17.5, 34):
        place = (slab.edge[1] - slab.edge[0]) * east / 18
        taping = locate(place, slab)
        assert {side for side, _ in taping.sides} == {1, 4 if east <= 9 else 2}


#: A rectangle with its corners cut off, and two legs with a notch between them.
CHAMFERED = [[1, 0], [9, 0], [10, 1], [10, 7], [9, 8], [1, 8], [0, 7], [0, 1]]
NOTCHED = [[0, 0], [14, 0], [14, 9], [9, 9], [8, 2], [5, 9], [0, 9]]


SHAPES = [CHAMFERED, CHAMFERED[::-1], NOTCHED, NOTCHED[::-1], round_slab(60).edge.tolist()]


@pytest.mark.parametrize("corners", SHAPES)
def test_words_of_tapes_fit_one_place_of_the_slab(corners):
    """A crew tapes from a side onto the slab, and takes the place on it where two tapes cross."""
    slab, ring = slab_of(corners), shapely.Polygon(corners)
    left = 1 if ring.exterior.is_ccw else -1
    for place in np.random.default_rng(5).uniform((-4, -4), (14, 9), (400, 2)):
        if not shapely.contains_xy(ring, *place):
            continue
        taping = locate(place, slab)
        for number, away in taping.sides:
            start, end = slab.sides[number - 1]
            along = (end - start) / np.hypot(*(end - start))
            off = place - start
            assert_allclose(left * (along[0] * off[1] - along[1] * off[0]), away, atol=1e-9)
        if taping.along:
            number, station, away = taping.along
            start, end = slab.sides[number - 1]
            along = (end - start) / np.hypot(*(end - start))
            inwards = left * np.array([-along[1], along[0]])
            assert_allclose(start + station * along + away * inwards, place, atol=1e-9)
            assert not taping.sides + taping.corners
        if taping.corners:
            one, other = (slab.corners[number - 1] for number, _ in taping.corners)
            along = (other - one) / np.hypot(*(other - one))
            again = 2 * (one + along * ((place - one) @ along)) - place
            assert not shapely.contains_xy(ring, *again)


def test_a_place_that_faces_one_side_is_taped_along_it_from_its_first_corner():
    assert locate((3, 7.9), slab_of(CHAMFERED)).along == pytest.approx((5, 6.0, 0.1))
    assert len(locate((3, 6.9), slab_of(CHAMFERED)).sides) == 2
