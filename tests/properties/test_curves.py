"""Curves: their area is the arc's, however they are turned, shifted, mirrored or begun."""

import numpy as np
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.testing import assert_allclose

from gradevol.geometry.curves import (
    SAGITTA,
    Ring,
    bow,
    bulge_through,
    divide_ring,
    measure_rounding,
    sweep,
)
from gradevol.geometry.rings import ring_area

bulges = st.one_of(st.floats(0.01, 5), st.floats(-5, -0.01))
places = st.tuples(st.floats(-50, 50), st.floats(-50, 50)).map(np.array)


def arc_of(start, end, bulge):
    """Centre and radius of an arc, from the tangents at its ends."""
    chord = end - start
    half = 2 * np.arctan(bulge)
    radius = np.hypot(*chord) / 2 / np.sin(half)  # negative where it turns clockwise
    to_centre = np.array([-chord[1], chord[0]]) / np.hypot(*chord) * radius * np.cos(half)
    return (start + end) / 2 + to_centre, abs(radius)


@given(places, places, bulges)
def test_chords_stay_within_a_millimetre_of_the_arc_and_enclose_its_area(start, end, bulge):
    length = float(np.hypot(*(end - start)))
    assume(length > 0.05)
    path = bow(start, end, bulge)
    centre, radius = arc_of(start, end, bulge)
    off = np.hypot(*(path - centre).T) - radius
    middle = np.hypot(*((path[1:] + path[:-1]) / 2 - centre).T) - radius
    assert np.abs([*off, *middle]).max() <= SAGITTA
    assert (path[[0, -1]] == [start, end]).all()
    turn = 4 * np.arctan(bulge)
    # between arc and chord; counter-clockwise arcs lie to the right of their chord
    segment = radius**2 / 2 * (turn - np.sin(turn))
    assert_allclose(ring_area(path), segment, rtol=1e-9, atol=1e-9 * length**2)


@given(places, places, bulges, st.floats(0.05, 0.95))
def test_the_arc_through_a_place_of_an_arc_is_that_arc(start, end, bulge, share):
    assume(np.hypot(*(end - start)) > 0.05)
    centre, _ = arc_of(start, end, bulge)
    turn = 4 * np.arctan(bulge) * share
    cos, sin = np.cos(turn), np.sin(turn)
    place = centre + np.array([[cos, -sin], [sin, cos]]) @ (start - centre)
    assert_allclose(bulge_through(start, place, end), bulge, rtol=1e-6)


@given(st.floats(0.2, 60), st.floats(0.3, 3.0), st.booleans(), st.floats(0, 6.28))
def test_a_rounding_touches_both_sides_and_leaves_out_the_corner(radius, turn, is_left, bearing):
    turn = turn if is_left else -turn
    ways = [np.array([np.cos(a), np.sin(a)]) for a in (bearing, bearing + turn)]
    before, after = -500 * ways[0], 500 * ways[1]
    along, bulge = measure_rounding(before, np.zeros(2), after, radius)
    assume(along < 499)
    start, end = -along * ways[0], along * ways[1]
    centre, found = arc_of(start, end, bulge)
    assert_allclose(found, radius, rtol=1e-9)
    # square to both sides where it touches them
    assert_allclose([(start - centre) @ ways[0], (end - centre) @ ways[1]], 0, atol=1e-7 * radius)
    corner = radius**2 * (np.tan(abs(turn) / 2) - abs(turn) / 2)  # what is cut off
    cut = np.vstack([bow(start, end, bulge), [[0.0, 0.0]]])
    assert_allclose(abs(ring_area(cut)), corner, rtol=1e-7, atol=1e-7)


def bent_ring(turn=0.0, shift=(0.0, 0.0), is_mirrored=False):
    """Return an invented edge with one arc inwards and one outwards, moved in plan."""
    corners = np.array([(0, 0), (12, 0), (14, 9), (1, 7)], float)
    bulge = np.array([0, 0.4, 0, -0.2])
    cos, sin = np.cos(turn), np.sin(turn)
    if is_mirrored:
        corners, bulge = corners * [-1, 1], -bulge
    corners = corners @ np.array([[cos, sin], [-sin, cos]]) + shift
    sides = [
        bow(start, end, by) if by else np.stack([start, end])
        for start, end, by in zip(corners, np.roll(corners, -1, axis=0), bulge, strict=True)
    ]
    return Ring.of_sides(sides)


@given(st.floats(0, 6.28), st.tuples(st.floats(-3e6, 3e6), st.floats(-3e6, 3e6)), st.booleans())
def test_a_ring_is_the_same_however_it_lies(turn, shift, is_mirrored):
    plain, moved = bent_ring(), bent_ring(turn, shift, is_mirrored)
    assert plain.starts == moved.starts
    assert_allclose(abs(ring_area(moved.places)), ring_area(plain.places), rtol=1e-8)
    one, other = (
        [shapely.LineString(path).length for path in divide_ring(ring.places, ring.starts)]
        for ring in (plain, moved)
    )
    assert_allclose(one, other, rtol=1e-7)


@given(st.floats(0.05, 500), st.floats(0.01, 2 * np.pi))
def test_a_sweep_begins_and_ends_on_its_arc(radius, turn):
    path = sweep(np.array([radius, 0.0]), turn)
    assert_allclose(path[0], [radius, 0])
    assert_allclose(path[-1], radius * np.array([np.cos(turn), np.sin(turn)]), atol=1e-9 * radius)
