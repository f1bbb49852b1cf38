"""Places: the first of several, whatever their order."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from gradevol.geometry.places import first_by_place

NEAR = st.tuples(st.integers(-3, 3), st.integers(-3, 3))


@given(st.lists(NEAR, min_size=1, max_size=12).flatmap(st.permutations))
def test_the_first_is_the_southernmost_and_of_those_the_westernmost(places):
    found = places[first_by_place(np.array(places, float))]
    assert found == min(places, key=lambda place: (place[1], place[0]))


def test_rounding_makes_no_place_more_southern():
    places = np.array([[5.0, 1 - 1e-12], [2.0, 1.0], [9.0, 1 + 1e-12]])
    assert first_by_place(places) == 1
