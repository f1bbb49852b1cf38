"""Lines and dots within any rings, against polygons cut by shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gradevol.out.pictures.hatching import box, crosses, hatch, holds, strew

#: An end of rays that run through no corner of the lattice.
FAR = np.array([37.137, 22.291])
#: Coordinates on a coarse lattice: corners on lines, sides along them, rings that touch.
PLACES = st.tuples(st.integers(-6, 6), st.integers(-6, 6))
RINGS = st.lists(
    st.lists(PLACES, min_size=3, max_size=7).map(lambda ring: np.array(ring) / 4.0),
    min_size=1,
    max_size=4,
)


def area_of(rings):
    """What lies in an odd number of rings, some of which may cross themselves."""
    area = shapely.Polygon()
    for ring in rings:
        lines = shapely.node(shapely.LineString(np.vstack([ring, ring[:1]])))
        faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(lines)))
        area = shapely.symmetric_difference(area, shapely.union_all(faces[_are_odd(ring, faces)]))
    return area


def sides_of(rings):
    """A hair's breadth along all sides, where rounding decides what is within."""
    return shapely.MultiLineString([np.vstack([ring, ring[:1]]) for ring in rings]).buffer(1e-6)


def _are_odd(ring, faces):
    """Whether a ray from within each face meets an odd number of a ring's sides."""
    sides = shapely.linestrings(np.stack([ring, np.roll(ring, -1, axis=0)], axis=1))
    middles = shapely.get_coordinates(shapely.point_on_surface(faces))
    rays = shapely.linestrings(np.stack([middles, middles + FAR], axis=1))
    return shapely.intersects(sides, rays[:, None]).sum(axis=1) % 2 == 1


def lines_across(area, spacing, angle):
    """The same lines, each cut by the area."""
    turn = np.radians(angle)
    along, up = np.array([np.cos(turn), np.sin(turn)]), np.array([-np.sin(turn), np.cos(turn)])
    rows = spacing * np.arange(-40, 41)[:, None, None] * up
    lines = shapely.linestrings(rows + np.array([-9, 9])[None, :, None] * along)
    return shapely.intersection(lines, area)


@given(RINGS, st.sampled_from([0.11, 0.13]), st.sampled_from([0.0, 45.0, -45.0, 30.0]))
def test_lines_are_as_long_as_those_that_an_area_cuts(rings, spacing, angle):
    area = area_of(rings)
    lines = hatch(rings, spacing, angle=angle)
    if area.area == 0 or lines == []:
        wanted = shapely.length(lines_across(area.buffer(-1e-6), spacing, angle)).sum()
        assert wanted == pytest.approx(0, abs=1e-3)
        return
    drawn = shapely.length(shapely.linestrings(np.array(lines))).sum()
    # a line along a side is of either part; it has no width in an area a hair smaller or larger
    least, most = (
        shapely.length(lines_across(area.buffer(off), spacing, angle)).sum()
        for off in (-1e-6, 1e-6)
    )
    assert least - 1e-3 <= drawn <= most + 1e-3


@given(RINGS, RINGS)
def test_what_is_left_bare_has_no_line(rings, without):
    lines = hatch(rings, 0.13, without=without)
    if lines:
        middles = np.array(lines).mean(axis=1)
        middles = middles[~shapely.intersects_xy(sides_of([*rings, *without]), *middles.T)]
        assert holds(rings, middles).all()
        assert not holds(without, middles).any()
    whole = shapely.length(shapely.linestrings(np.array(hatch(rings, 0.13)).reshape(-1, 2, 2)))
    both = shapely.length(
        shapely.linestrings(np.array(hatch([*rings, *without], 0.13)).reshape(-1, 2, 2))
    )
    other = shapely.length(shapely.linestrings(np.array(hatch(without, 0.13)).reshape(-1, 2, 2)))
    kept = shapely.length(shapely.linestrings(np.array(lines).reshape(-1, 2, 2)))
    # in one but not the other, and the other way round: what lies in just one of them
    shared = (whole.sum() + other.sum() - both.sum()) / 2
    assert kept.sum() == pytest.approx(whole.sum() - shared, abs=1e-6)


@given(RINGS)
def test_a_place_is_held_by_an_odd_number_of_rings(rings):
    area = area_of(rings)
    axis = np.linspace(-1.6, 1.6, 33) + 0.0123  # on no corner
    places = np.stack(np.meshgrid(axis, axis + 0.0031), axis=-1)
    is_sure = ~shapely.intersects_xy(sides_of(rings), *places.transpose(2, 0, 1))
    is_in = shapely.contains_xy(area, *places.transpose(2, 0, 1))
    assert (holds(rings, places) == is_in)[is_sure].all()


@given(RINGS)
def test_dots_lie_within_and_as_dense_as_they_should(rings):
    dots = strew(rings, 0.107)
    area = area_of(rings)
    sides = sides_of(rings)
    inner, outer = shapely.difference(area, sides), shapely.union(area, sides)
    assert shapely.contains_xy(outer, *dots.T).all()
    rows = np.arange(-60, 61)
    east, row = (axis.ravel() for axis in np.meshgrid(rows, rows))
    wanted = np.column_stack([(east + row % 2 / 2) * 0.107, row * 0.107 / 2])
    is_in = shapely.contains_xy(inner, *wanted.T)
    found = {tuple(place) for place in np.round(dots, 9)}
    assert {tuple(place) for place in np.round(wanted[is_in], 9)} <= found


BOXES = st.lists(st.tuples(PLACES, st.integers(1, 5), st.integers(1, 5)), max_size=4)


@given(PLACES, PLACES, BOXES)
def test_a_line_that_meets_a_box_is_told(start, end, boxes):
    line = np.array([start, end], float)
    # off the lattice, so that none just touches
    plates = [
        box(x + 0.25, y + 0.25, wide / 2 + 0.1, high / 2 + 0.1) for (x, y), wide, high in boxes
    ]
    shape = shapely.LineString(line)
    assert crosses(line, plates) == any(shape.intersects(shapely.Polygon(one)) for one in plates)
