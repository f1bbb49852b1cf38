"""Cover along a line: closed forms."""

import numpy as np
from numpy.testing import assert_allclose

from gradevol.measures.cover import measure_cover
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab, Void
from gradevol.site.surface import build_surface
from gradevol.site.top import Level, build_top

EDGE = np.array([[0, 0], [10, 0], [10, 5], [0, 5.0]])


def cover_of(*voids, west=0.05, east=-0.05, openings=()):
    """Cover under a top at 0.15; the base runs from `west` to `east` over 10 m."""
    slab = Slab(EDGE, openings, 0.15, 0.13, voids=voids)
    shots = np.array([[0, 0, west], [10, 0, east], [10, 5, east], [0, 5, west]])
    base = extend_level(build_surface(shots), slab.outline)
    return measure_cover(build_field(base, build_top(Level(0.15), slab).surface, slab), slab)


def conduit(line, *, diameter=0.05, least_cover=None):
    return Void("conduit", 0.01, diameter, np.array(line, float), least_cover)


def test_on_the_base_it_is_the_thickness_less_the_diameter():
    (cover,) = cover_of(conduit([[0, 2], [10, 2]]))
    assert_allclose(cover.least, 0.05)
    assert_allclose(cover.at, (0, 2), atol=1e-9)
    assert_allclose(cover.length, 10)
    assert cover.required is None
    assert cover.short == 0


def test_it_is_short_on_just_the_length_that_is():
    # cover runs from 0.05 to 0.15 along the line
    (cover,) = cover_of(conduit([[0, 2], [10, 2]], least_cover=0.08))
    assert_allclose(cover.short, 3)
    (back,) = cover_of(conduit([[10, 2], [0, 2]], least_cover=0.08))
    assert_allclose((back.short, back.least), (3, 0.05))
    (slanted,) = cover_of(conduit([[0, 0], [10, 5]], least_cover=0.08))
    assert_allclose(slanted.short, 0.3 * np.hypot(10, 5))


def test_all_or_nothing_of_a_line_can_be_short():
    assert_allclose(cover_of(conduit([[0, 2], [10, 2]], least_cover=0.2))[0].short, 10)
    assert_allclose(cover_of(conduit([[0, 2], [10, 2]], least_cover=0.04))[0].short, 0)


def test_what_rounding_takes_of_it_is_not_short():
    # 0.00005 ft, and just more than rounding
    (kept,) = cover_of(conduit([[0, 2], [10, 2]], least_cover=0.05 + 0.000015))
    assert (kept.short, kept.least) == (0, kept.required)
    (short,) = cover_of(conduit([[0, 2], [10, 2]], least_cover=0.05 + 0.00025))
    assert_allclose((short.short, short.least), (0.025, 0.05))


def test_an_axis_with_elevation_is_not_on_the_base():
    (cover,) = cover_of(conduit([[0, 2, 0.10], [10, 2, 0.06]], least_cover=0.045))
    assert_allclose(cover.least, 0.15 - 0.10 - 0.025)
    # cover runs from 0.025 to 0.065
    assert_allclose(cover.short, 5)


def test_what_lies_beyond_the_slab_does_not_count():
    (cover,) = cover_of(conduit([[-4, 2], [14, 2]], least_cover=0.08))
    assert_allclose((cover.length, cover.short), (10, 3))
    hole = np.array([[0, 1], [2, 1], [2, 3], [0, 3.0]])
    (through,) = cover_of(conduit([[0, 2], [10, 2]], least_cover=0.08), openings=(hole,))
    assert_allclose((through.length, through.short), (8, 1))
    assert cover_of(conduit([[20, 2], [30, 2]])) == ()


def test_a_bent_line_is_followed():
    (cover,) = cover_of(conduit([[2, 1], [8, 1], [8, 4]], least_cover=0.08))
    assert_allclose(cover.length, 9)
    assert_allclose(cover.short, 1)
    assert_allclose(cover.least, 0.07)


def test_only_items_with_a_line_are_checked():
    covers = cover_of(Void("block", 0.1), conduit([[0, 2], [10, 2]]))
    assert [cover.name for cover in covers] == ["conduit"]


def test_among_equals_the_first_place_along_the_line_is_named():
    (cover,) = cover_of(conduit([[1, 2], [9, 2]]), west=0, east=0)
    assert_allclose(cover.at, (1, 2), atol=1e-9)
    assert_allclose(cover.least, 0.10)


def test_a_stretch_follows_the_bend_of_its_item():
    # short all along, with a corner at (5, 4)
    (cover,) = cover_of(conduit([[1, 1], [5, 4], [9, 1]], least_cover=0.5))
    (stretch,) = cover.stretches

    assert_allclose([stretch.path[0], stretch.path[-1]], [(1, 1), (9, 1)], atol=1e-9)
    assert np.hypot(*(np.array(stretch.path) - (5, 4)).T).min() < 1e-9
    assert_allclose(np.hypot(*np.diff(stretch.path, axis=0).T).sum(), 10)
    assert_allclose(stretch.length, 10)
