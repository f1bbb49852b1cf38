"""Material moved between places: nothing is made, nothing is lost."""

import hypothesis.strategies as st
from hypothesis import given
from numpy.testing import assert_allclose

from gradevol.job.terms import Costs
from gradevol.plan.fixes.hauling import LEAST_VOLUME, Heap, pair_heaps
from gradevol.plan.fixes.pricing import price_fill

volumes = st.floats(0.0, 5.0, allow_subnormal=False)
places = st.tuples(st.floats(-50, 50), st.floats(-50, 50))


@st.composite
def heaps(draw, first):
    given_ = draw(st.lists(st.tuples(volumes, places), max_size=6))
    return [Heap(first + rank, volume, centre) for rank, (volume, centre) in enumerate(given_)]


@given(heaps(1), heaps(101))
def test_no_place_gives_or_takes_more_than_it_has(cuts, rooms):
    hauls = pair_heaps(cuts, rooms)

    for heap in cuts:
        assert sum(h.volume for h in hauls if h.source == heap.rank) <= heap.volume + 1e-12
    for heap in rooms:
        assert sum(h.volume for h in hauls if h.target == heap.rank) <= heap.volume + 1e-12
    assert all(haul.volume >= LEAST_VOLUME for haul in hauls)


@given(heaps(1), heaps(101))
def test_all_is_moved_that_can_be_but_shovelfuls(cuts, rooms):
    moved = sum(haul.volume for haul in pair_heaps(cuts, rooms))
    can = min(sum(heap.volume for heap in heaps_) for heaps_ in (cuts, rooms))

    assert can - LEAST_VOLUME * min(len(cuts), len(rooms)) <= moved + 1e-9
    assert moved <= can + 1e-9


@given(heaps(1), heaps(101), st.randoms(use_true_random=False))
def test_the_order_of_places_does_not_matter(cuts, rooms, chance):
    some, others = list(cuts), list(rooms)
    chance.shuffle(some)
    chance.shuffle(others)

    assert pair_heaps(some, others) == pair_heaps(cuts, rooms)


@given(st.floats(0.1, 100), st.floats(0.1, 10), st.floats(0, 1), st.floats(50, 500))
def test_the_way_that_is_called_is_the_cheapest(area, volume, share, concrete):
    costs = Costs(concrete=concrete, machine=100.0, labour=50.0, material=0.02)
    price = price_fill(area, volume, share * volume, costs)
    amounts = {way: getattr(price, way) for way in ("pour", "cuttings", "both", "imported")}

    assert amounts[price.way] == min(x for x in amounts.values() if x is not None)
    assert price.way == "pour" or amounts[price.way] < price.pour
    assert_allclose(price.pour, volume * concrete, atol=5)
