import itertools

import pytest
from numpy.testing import assert_allclose

from gradevol.plan.fixes.hauling import LEAST_VOLUME, Haul, Heap, pair_heaps


def test_cuttings_go_to_the_nearest_room_first_and_the_rest_farther():
    hauls = pair_heaps(
        [Heap(1, 1.0, (0.0, 0.0))], [Heap(2, 5.0, (30.0, 40.0)), Heap(3, 0.4, (3.0, 4.0))]
    )

    assert [(haul.source, haul.target) for haul in hauls] == [(1, 3), (1, 2)]
    assert_allclose([haul.volume for haul in hauls], [0.4, 0.6])
    assert_allclose([haul.distance for haul in hauls], [5, 50])


def test_the_nearest_pair_of_all_goes_first():
    hauls = pair_heaps(
        [Heap(1, 1.0, (0.0, 0.0)), Heap(2, 1.0, (9.0, 0.0))], [Heap(3, 1.5, (10.0, 0.0))]
    )

    assert hauls == (Haul(1, 3, 0.5, 10.0), Haul(2, 3, 1.0, 1.0))


def test_a_shovelful_is_not_moved():
    cut = [Heap(1, 0.9 * LEAST_VOLUME, (0.0, 0.0))]

    assert pair_heaps(cut, [Heap(2, 1.0, (1.0, 0.0))]) == ()


@pytest.mark.parametrize(("cuts", "rooms"), [([], [Heap(1, 1.0, (0.0, 0.0))]), ([], [])])
def test_with_nothing_to_give_or_no_room_nothing_is_moved(cuts, rooms):
    assert pair_heaps(cuts, rooms) == pair_heaps(rooms, cuts) == ()


def test_the_order_in_which_heaps_are_given_does_not_matter():
    cuts = [Heap(rank, 0.3 * rank, (float(rank % 2), 0.0)) for rank in (1, 2, 3)]
    rooms = [Heap(rank, 0.5, (0.5, float(rank % 2))) for rank in (4, 5, 6)]  # equal distances
    wanted = pair_heaps(cuts, rooms)

    assert len(wanted) > 3
    for some in itertools.permutations(cuts):
        assert pair_heaps(some, rooms[::-1]) == wanted
