"""Thickenings as drawn: closed forms of their volume and depth."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.ground.errors import GeometryError
from gradevol.site.slab import Slab, Thickening
from gradevol.site.thickening import (
    counted_before,
    drawn_depth,
    extra_depth,
    lines_of,
    outline_at,
    slices_of,
    volume_as_drawn,
)
from tests.pads import grid

SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])
SLAB = Slab(SQUARE, (), 0.15, 0.13)


def edge_beam(*sides, depth=0.2, width=0.5, side_slope=0.0, slab=SLAB):
    part = Thickening("Edge beam", depth, width, side_slope, sides=sides)
    return volume_as_drawn(part, slab)


def pad(ring, *, depth=0.2, side_slope=0.0):
    return Thickening("Pad", depth, side_slope=side_slope, outline=np.array(ring, float))


def test_a_beam_along_one_side_is_its_section_times_its_length():
    assert_allclose(edge_beam(1), 10 * 0.5 * 0.2)
    assert_allclose(edge_beam(1, side_slope=2.0), 10 * (0.5 * 0.2 + 0.4 * 0.2 / 2))


@pytest.mark.parametrize(
    ("sides", "area"),
    [
        ((1, 2), 2 * 5 - 0.25),
        ((4, 1), 2 * 5 - 0.25),
        ((1, 3), 2 * 5),
        ((4, 1, 2), 3 * 5 - 2 * 0.25),
        ((1, 2, 3, 4), 100 - 81),
        ((3, 3), 5),
    ],
)
def test_corners_of_a_beam_count_once(sides, area):
    assert_allclose(edge_beam(*sides), area * 0.2)


def test_a_beam_around_the_whole_edge_with_sloping_sides_is_a_frustum_less():
    # what is left within is a frustum, 9 m square at the beam's bottom and 8.2 m at its top
    hollow = 0.2 / 3 * (9**2 + 8.2**2 + 9 * 8.2)
    assert_allclose(edge_beam(1, 2, 3, 4, side_slope=2.0), 100 * 0.2 - hollow, rtol=1e-12)


def test_a_pad_with_sloping_sides_is_a_frustum():
    part = pad([[4, 4], [6, 4], [6, 6], [4, 6]], side_slope=1.5)
    assert_allclose(volume_as_drawn(part, SLAB), 0.2 / 3 * (4 + 2.6**2 + 2 * 2.6), rtol=1e-12)


def test_a_grade_beam_inside_the_slab_runs_to_both_sides_of_its_line():
    along = np.array([[2, 5], [8, 5.0]])
    part = Thickening("Grade beam", 0.3, 0.4, 1.0, along=along)
    assert_allclose(volume_as_drawn(part, SLAB), 6 * (0.4 * 0.3 + 0.3 * 0.3), rtol=1e-12)


def test_a_beam_along_a_line_within_two_centimetres_of_the_edge_runs_inwards():
    part = Thickening("Edge beam", 0.2, 0.5, along=np.array([[0, 0.01], [10, 0.01]]))
    assert_allclose(volume_as_drawn(part, SLAB), 10 * 0.51 * 0.2)


@pytest.mark.parametrize("count", [4, 5])
def test_a_beam_along_an_opening_s_edge_has_its_whole_width_in_the_slab(count):
    hole = np.array([[4, 4], [6, 4], [6, 6], [4, 6.0]])
    slab = Slab(SQUARE, (hole, hole[:3] - 3), 0.15, 0.13)
    around = np.vstack([hole, hole[:1]])[:count]  # three sides of it, or all four
    part = Thickening("Round the pit", 0.2, 0.5, along=around)
    wanted = 3**2 - 2**2 if count == 5 else 3 * (2 * 0.5) + 2 * 0.5**2
    assert_allclose(volume_as_drawn(part, slab), wanted * 0.2)


def test_what_a_thickening_has_beyond_the_slab_or_in_an_opening_is_not_counted():
    hole = np.array([[5, 0], [6, 0], [6, 3], [5, 3.0]])
    slab = Slab(SQUARE, (hole,), 0.15, 0.13)
    assert_allclose(edge_beam(1, slab=slab), 9 * 0.5 * 0.2)
    assert_allclose(volume_as_drawn(pad([[8, 4], [12, 4], [12, 6], [8, 6]]), SLAB), 4 * 0.2)


def test_sides_are_counted_from_one_whichever_way_the_edge_runs():
    wide = np.array([[0, 0], [20, 0], [20, 10], [0, 10.0]])
    assert_allclose(edge_beam(2, slab=Slab(wide, (), 0.15, 0.13)), 10 * 0.5 * 0.2)
    assert_allclose(edge_beam(2, slab=Slab(wide[::-1], (), 0.15, 0.13)), 10 * 0.5 * 0.2)
    assert_allclose(edge_beam(1, slab=Slab(wide[::-1], (), 0.15, 0.13)), 20 * 0.5 * 0.2)


def test_neighbouring_sides_are_one_line():
    assert len(lines_of(Thickening("b", 0.2, 0.5, sides=(1, 2)), SLAB)) == 1
    assert len(lines_of(Thickening("b", 0.2, 0.5, sides=(1, 3)), SLAB)) == 2
    assert lines_of(pad(SQUARE), SLAB) == []


def test_depth_falls_off_along_the_side():
    part = Thickening("Edge beam", 0.2, 0.5, 2.0, sides=(1,))
    places = np.array([[5, 0], [5, 0.5], [5, 0.6], [5, 0.9], [5, 5]])
    assert_allclose(extra_depth(part, SLAB, places), [0.2, 0.2, 0.15, 0, 0], atol=1e-12)
    upright = Thickening("Edge beam", 0.2, 0.5, sides=(1,))
    assert_allclose(extra_depth(upright, SLAB, places), [0.2, 0.2, 0, 0, 0])


def test_a_taper_from_the_side_itself_needs_no_width():
    part = Thickening("Taper", 0.1, 0.0, 10.0, sides=(1, 2))
    # two wedges and, where they meet, the greater depth of the two
    assert_allclose(volume_as_drawn(part, SLAB), 2 * 10 * 0.1 * 1 / 2 - 0.1 / 3, rtol=1e-12)
    places = np.array([[3, 0], [3, 0.25], [3, 1], [9.5, 5], [5, 5]])
    assert_allclose(extra_depth(part, SLAB, places), [0.1, 0.075, 0, 0.05, 0], atol=1e-12)


def test_depth_summed_over_a_straight_run_is_its_volume():
    part = Thickening("Edge beam", 0.2, 0.5, 2.0, sides=(1,))
    north = (np.arange(2000) + 0.5) / 2000
    places = np.column_stack([np.full(2000, 5.0), north])
    total = extra_depth(part, SLAB, places).mean() * 10
    assert_allclose(total, volume_as_drawn(part, SLAB), rtol=1e-6)


def holding(*parts):
    return replace(SLAB, thickenings=parts)


def test_beams_that_meet_at_a_corner_count_it_once():
    south, east = (Thickening(f"Beam {side}", 0.2, 0.5, sides=(side,)) for side in (1, 2))
    slab = holding(south, east)
    assert_allclose(volume_as_drawn(south, slab), 10 * 0.5 * 0.2)
    assert_allclose(volume_as_drawn(east, slab), (10 - 0.5) * 0.5 * 0.2)
    assert counted_before(east, slab) == [south]
    corner = shapely.box(9, 0, 10, 1)
    assert_allclose(volume_as_drawn(east, slab, within=corner), 0.5 * 0.5 * 0.2)


def test_what_goes_deeper_than_another_counts_below_it():
    beam = Thickening("Beam", 0.2, 1.0, sides=(1,))
    deep = pad([[4, 0], [6, 0], [6, 2], [4, 2]], depth=0.5)
    for slab in (holding(beam, deep), holding(deep, beam)):
        volume = sum(volume_as_drawn(part, slab) for part in slab.thickenings)
        assert_allclose(volume, 10 * 0.2 + 4 * 0.5 - 2 * 0.2)
        places = np.array([[5, 0.5], [5, 1.5], [1, 0.5], [1, 1.5]])
        assert_allclose(drawn_depth(slab, places), [0.5, 0.5, 0.2, 0])


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 1, 0), (1, 2, 0)])
def test_sloping_thickenings_that_cross_hold_what_the_deepest_does(order):
    parts = (
        Thickening("Beam", 0.2, 0.5, 2.0, sides=(1, 2)),
        Thickening("Grade beam", 0.3, 0.4, 1.0, along=np.array([[-2, 1], [12, 5.0]])),
        pad([[1, 0.3], [2.4, 0.3], [2.4, 1.9], [1, 1.9]], depth=0.25),
    )
    slab = holding(*(parts[at] for at in order))
    step = (np.arange(300) + 0.5) / 30
    places = grid(step, step)
    held = drawn_depth(slab, places).mean() * 100
    volume = sum(volume_as_drawn(part, slab) for part in slab.thickenings)
    assert_allclose(volume, held, rtol=1e-3)
    assert volume < sum(volume_as_drawn(part, SLAB) for part in slab.thickenings) - 0.1
    sliced = [one for part in slab.thickenings for one in slices_of(part, slab)]
    assert_allclose(sum(outline.area * depth for outline, depth in sliced), volume)


def test_what_the_shots_show_is_held_by_that_wherever_it_is_listed():
    drawn = Thickening("Beam", 0.2, 1.0, sides=(1,))
    shown = replace(pad([[4, 0], [6, 0], [6, 2], [4, 2]], depth=0.15), surveyed="yes")
    for slab in (holding(drawn, shown), holding(shown, drawn)):
        assert_allclose(volume_as_drawn(drawn, slab), 10 * 0.2 - 2 * 0.15)
        assert_allclose(drawn_depth(slab, np.array([[5, 0.5]]), of=["yes"]), [0.15])


def test_outline_grows_by_the_run_of_the_side():
    part = pad([[4, 4], [6, 4], [6, 6], [4, 6]], side_slope=1.5)
    assert shapely.equals(outline_at(part, SLAB, out=0.0), shapely.box(4, 4, 6, 6))
    assert_allclose(outline_at(part, SLAB, out=0.3).bounds, (3.7, 3.7, 6.3, 6.3))


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (Thickening("North beam", 0.2, 0.5, sides=(5,)), "North beam follows side 5.*1 to 4"),
        (Thickening("Key", 0.2, sides=(1,)), "Key does not lie within the slab, or has no width"),
        (pad([[20, 20], [21, 20], [21, 21]]), "Pad does not lie within the slab"),
        (pad([[2, 2], [5, 5], [5, 2], [2, 5]]), "outline of Pad is not a plain outline"),
    ],
)
def test_what_cannot_be_drawn_is_refused_by_name(part, words):
    with pytest.raises(GeometryError, match=words):
        volume_as_drawn(part, SLAB)
