"""Numbers of the fix list: outside what they mark, apart from one another, and on the slab."""

from unittest import mock

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from gradevol.answer.drawing import badges
from gradevol.answer.drawing.badges import place_badges
from gradevol.answer.drawing.room import Room

SLAB = np.array([[0, 0], [4, 0], [4, 3], [0, 3.0]])
RADIUS = 0.1


def square(x, y, half):
    return np.array(
        [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    )


def place(places, own, others=None, room=None):
    room = room or Room.over(4, 3)
    held = own if others is None else others
    return list(place_badges(np.array(places), own, held, [SLAB], room))


places = st.tuples(st.floats(0.4, 3.6), st.floats(0.4, 2.6), st.floats(0.05, 0.35))


@given(st.lists(places, min_size=1, max_size=5))
@settings(max_examples=30, deadline=None)
def test_numbers_stand_outside_every_outline_apart_from_one_another_and_on_the_slab(held):
    rings = [[square(*one)] for one in held]
    found = place([one[:2] for one in held], rings)
    assert all(at is not None for at in found)
    circles = [shapely.Point(at).buffer(RADIUS) for at in found]
    for number, circle in enumerate(circles):
        assert not any(shapely.Polygon(ring).intersects(circle) for (ring,) in rings)
        assert shapely.Polygon(SLAB).contains(circle)
        for other in circles[:number]:
            assert shapely.intersection(circle, other).area < 0.15 * circle.area


def test_a_place_that_takes_all_of_the_slab_has_its_number_off_it_where_there_is_room():
    ring = [square(2, 1.5, 1.9)]
    room = Room.over(6, 5)
    (at,) = place_badges(np.array([[2.0, 3.2]]), [ring], [ring], [ring[0]], room)
    assert not shapely.Polygon(ring[0]).buffer(RADIUS).contains(shapely.Point(at))


def test_a_number_stands_in_a_hole_of_its_place():
    ring = [SLAB, square(2, 1.5, 0.6)]
    (at,) = place([(0.9, 1.5)], [ring])
    assert np.abs(at - (2, 1.5)).max() < 0.5


def test_a_place_without_an_outline_has_its_number_beside_it():
    (at,) = place([(2, 1.5)], [[]], [])
    assert 0.15 < np.hypot(*(at - (2, 1.5))) < 0.25


@given(st.lists(places, min_size=1, max_size=8))
@settings(max_examples=20, deadline=None)
def test_near_places_are_looked_at_first_and_those_found_are_as_if_all_were(held):
    rings, at = [[square(*one)] for one in held], [one[:2] for one in held]
    with mock.patch.multiple(badges, _OFFS=(*badges._OFFS, 99.0), _NEAR=len(badges._OFFS)):
        expected = place(at, rings)
    assert np.array_equal(place(at, rings), expected)


def test_what_finds_no_room_is_told():
    room = Room.over(4, 3)
    room.take(2, 1.5, 4, 3)
    assert place([(2, 1.5)], [[square(2, 1.5, 0.2)]], room=room) == [None]
