"""Falls, flat places and ponds of a top: worked by hand and in closed form."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import GeometryError
from gradevol.ground.units import Units
from gradevol.measures.drainage import Runoff, measure_drainage
from gradevol.measures.drainage.notes import remark_on_drainage
from gradevol.site.slab import Slab
from gradevol.site.tie_ins import find_tie_ins
from gradevol.site.top import Between, Fall, Level, Measured, Panel, Panels, Plane, build_top
from tests.pads import box

FOOT = 0.3048
SQUARE = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])
APRON = FOOT * np.array([[0, 0], [45, 0], [45, 80], [0, 80.0]])
EAST = np.arange(0, 46, 9.0)
SOUTH = np.column_stack([EAST, 0 * EAST, [99.55, 99.65, 99.73, 99.81, 99.91, 100.00]])
NORTH = np.column_stack([EAST, 0 * EAST + 80, [99.95, 100.09, 100.12, 100.22, 100.32, 100.40]])
RULED = Between(SOUTH * FOOT, NORTH * FOOT)


def water_on(design, edge=SQUARE, *, openings=(), names=(), least_fall=None, closed=()):
    slab = Slab(edge, openings, 0.15, 0.13, side_names=names)
    tie_ins = find_tie_ins(design, slab)
    runoff = Runoff(least_fall, closed)
    drainage = measure_drainage(build_top(design, slab).surface, slab, tie_ins, runoff)
    return drainage, remark_on_drainage(drainage, slab, tie_ins)


def test_no_fall_is_told_of_a_top_that_is_held_level_beyond_its_points():
    # one edge is measured 0.1 m short of the slab's; beyond it nothing is known of the top
    low, high = (np.array([[0, n, z], [10, n, z]]) for n, z in ((0, 0.0), (9.9, 0.198)))
    drainage, notes = water_on(Between(low, high), least_fall=0.01)
    assert_allclose([drainage.falls.mean, drainage.falls.least], 0.02)
    assert drainage.falls.bearing == pytest.approx(180)
    assert drainage.flat_area == 0
    assert not any(edge.is_flat for edge in drainage.edges)
    assert notes == ()


@pytest.mark.parametrize("inside", [1e-5, 0.02])
def test_no_fall_is_told_of_the_strip_between_a_row_of_forms_and_its_line(inside):
    # 2 % across, next to nothing along; one shot of the row stands a rounding off it, or 20 mm
    places = [(0, 0), (5, inside), (10, 0), (10, 10), (5, 10), (0, 10)]
    forms = np.array([(e, n, 0.02 * n + 0.001 * e) for e, n in places])
    drainage, notes = water_on(Measured(forms), least_fall=0.01)
    assert_allclose(drainage.falls.least, np.hypot(0.02, 0.001))
    assert not any(edge.is_flat for edge in drainage.edges)
    assert notes == ()


def test_an_apron_between_two_shot_edges_falls_as_worked_by_hand():
    # invented levels; each fall is the difference of two of them over 9 ft
    drainage, notes = water_on(
        RULED, APRON, names=("old slab", "bulkhead", "north slab", "form"), least_fall=0.01
    )

    north = [edge for edge in drainage.edges if edge.side == 3][::-1]  # side 3 runs to the west
    percent = [round(100 * edge.fall, 2) for edge in north]
    assert percent == [1.56, 0.33, 1.11, 0.89]  # 1.11 twice over is one stretch
    assert_allclose(north[2].end - north[2].start, 18 * FOOT)
    assert_allclose([edge.bearing for edge in north], 270)
    assert 0.0110 < drainage.falls.resultant < 0.0114
    assert drainage.falls.bearing == pytest.approx(243, abs=1)

    flat = [edge for edge in drainage.edges if edge.is_flat]
    assert [edge.side for edge in flat] == [3]
    assert_allclose([flat[0].start, flat[0].end], [27 * FOOT, 36 * FOOT])
    cause = flat[0].cause
    assert cause is not None
    assert cause.name == "point 2 of the second edge"
    assert_allclose(cause.off, (100.09 - (99.95 + 100.12) / 2) * FOOT)

    assert [place.causes for place in drainage.flat] == [(cause,)]
    assert [note.code for note in notes] == ["top-flat", "top-flat-at-tie-in"]
    said = notes[1].say(Units.of_job("ft"))
    assert "side 3 (north slab), from 27 ft 0 in to 36 ft 0 in" in said
    assert "0.33 %" in said
    assert "point 2 of the second edge is 0.05 ft above" in said
    assert drainage.ponds == ()


def test_nothing_is_judged_where_no_least_fall_is_stated():
    drainage, notes = water_on(RULED, APRON)

    assert drainage.flat_area is None
    assert drainage.flat == ()
    assert not any(edge.is_flat for edge in drainage.edges)
    assert notes == ()
    assert len(drainage.arrows) == 5 * 8


@pytest.mark.parametrize("bearing", [0.0, 37.0, 90.0, 211.5])
def test_a_plane_falls_as_it_was_drawn_everywhere_and_holds_nothing(bearing):
    design = Fall(np.array([2, 3, 5.0]), 0.015, bearing)
    drainage, _ = water_on(design, least_fall=0.015)

    falls = drainage.falls
    assert_allclose([falls.mean, falls.resultant, falls.least], 0.015, rtol=1e-12)
    assert falls.bearing == pytest.approx(bearing, abs=1e-9)
    assert drainage.flat_area == 0
    assert drainage.ponds == ()
    assert_allclose([arrow.fall for arrow in drainage.arrows], 0.015, rtol=1e-12)
    assert_allclose([arrow.bearing for arrow in drainage.arrows], bearing, atol=1e-9)


def test_a_side_square_to_the_fall_is_level_along_itself_and_not_flat():
    drainage, _ = water_on(Fall(np.array([0, 0, 5.0]), 0.02, 90), least_fall=0.01)

    west = next(edge for edge in drainage.edges if edge.side == 4)
    assert west.fall == pytest.approx(0, abs=1e-12)
    assert west.bearing is None
    assert west.beside == pytest.approx(0.02)
    assert not any(edge.is_flat for edge in drainage.edges)


def test_a_level_top_is_flat_all_over_without_holding_water():
    drainage, _ = water_on(Level(5.0), least_fall=0.01, closed=(1, 2))

    assert drainage.flat_area == pytest.approx(100)
    assert drainage.falls.bearing is None
    assert drainage.arrows == ()
    assert drainage.ponds == ()


def test_falls_of_two_halves_square_to_one_another_add_as_a_right_triangle():
    design = Plane(np.array([[0, 0, 5.0], [10, 0, 4.95], [0, 10, 4.95]]))  # 1/2 % each way
    drainage, _ = water_on(design)

    assert drainage.falls.resultant == pytest.approx(np.sqrt(2) * 0.005)
    assert drainage.falls.bearing == pytest.approx(45)


def test_a_crown_has_a_mean_fall_and_no_resultant():
    halves = Panels(
        (
            Panel(box(0, 0, 5, 10), Plane(np.array([[0, 0, 5.0], [5, 0, 5.1], [5, 10, 5.1]]))),
            Panel(box(5, 0, 10, 10), Plane(np.array([[5, 0, 5.1], [10, 0, 5.0], [5, 10, 5.1]]))),
        )
    )
    drainage, _ = water_on(halves)

    assert drainage.falls.mean == pytest.approx(0.02)
    assert drainage.falls.resultant == pytest.approx(0, abs=1e-12)
    assert drainage.falls.bearing is None


def test_the_flat_half_of_a_top_is_its_exact_area_and_outline():
    halves = Panels(
        (
            Panel(box(0, 0, 4, 10), Fall(np.array([4, 0, 5.0]), 0.002, 270)),
            Panel(box(4, 0, 10, 10), Fall(np.array([4, 0, 5.0]), 0.02, 90)),
        )
    )
    drainage, _ = water_on(halves, least_fall=0.01)

    (place,) = drainage.flat
    assert drainage.flat_area == pytest.approx(40)
    assert place.area == pytest.approx(40)
    assert place.least == pytest.approx(0.002)
    assert_allclose(place.at, (2, 5))
    (ring,) = place.rings
    assert {tuple(corner) for corner in np.round(ring, 9)} == {(0, 0), (4, 0), (4, 10), (0, 10)}


def test_a_dish_of_shots_holds_a_pyramid_of_water_and_names_its_lowest_shot():
    corners = np.column_stack([SQUARE, np.full(4, 5.0)])
    dish = Measured(np.vstack([corners, [5, 5, 4.97]]), names=("11", "12", "13", "14", "25"))
    drainage, notes = water_on(dish)

    (pond,) = drainage.ponds
    assert pond.volume == pytest.approx(100 * 0.03 / 3)
    assert pond.area == pytest.approx(100)
    assert pond.depth == pytest.approx(0.03)
    assert pond.at == pytest.approx((5, 5, 4.97))
    assert pond.lowest_point == "shot 25"
    assert pond.sill_point in {"shot 11", "shot 12", "shot 13", "shot 14"}
    assert notes[0].code == "top-holds-water"
    assert "30 mm deep over 100.0 m²; it is lowest at shot 25" in notes[0].say(Units.of_job("m"))


def test_an_opening_drains_a_dish():
    corners = np.column_stack([SQUARE, np.full(4, 5.0)])
    dish = Measured(np.vstack([corners, [5, 5, 4.97]]))
    drainage, _ = water_on(dish, openings=(box(4.5, 4.5, 5.5, 5.5),))

    assert drainage.ponds == ()


def test_water_stands_against_a_closed_side():
    # a valley whose line falls 1 % to side 1, its flanks 2 %: what side 1 holds back is a pyramid
    line = np.array([[5, 0, 4.9], [5, 10, 5.0]])
    valley = Measured(
        np.array([[0, 0, 5.0], [10, 0, 5.0], [0, 10, 5.1], [10, 10, 5.1], *line.tolist()])
    )
    assert water_on(valley)[0].ponds == ()
    drainage, _ = water_on(valley, closed=(1,))

    (pond,) = drainage.ponds
    assert pond.depth == pytest.approx(0.1)
    assert pond.area == pytest.approx(10 * 10 / 2)
    assert pond.volume == pytest.approx(50 * 0.1 / 3)
    assert pond.sill[2] == pytest.approx(5.0)
    assert pond.lowest_point == "point 5 of the top"

    # shot beyond side 1, the valley is lowest where no point stands
    def said(off):
        moved = replace(valley, points=valley.points - [[0, off, 0]])
        return water_on(moved, closed=(1,))[1][0].text

    assert "it is lowest near point 5 of the top and spills near point " in said(0.5)
    assert "raise its lowest place or lower its sill by as much" in said(1.5)


def test_water_runs_out_at_the_corner_beside_a_closed_side():
    fall = Fall(np.array([0, 0, 5.0]), 0.02, 225)  # to corner 1, where sides 4 and 1 meet

    assert water_on(fall, closed=(1,))[0].ponds == ()
    assert len(water_on(fall, closed=(1, 4))[0].ponds) == 1


def test_puddles_thinner_than_half_a_millimetre_are_not_told():
    corners = np.column_stack([SQUARE, np.full(4, 5.0)])
    for depth, count in ((0.0004, 0), (0.0006, 1)):
        dish = Measured(np.vstack([corners, [5, 5, 5 - depth]]))
        assert len(water_on(dish)[0].ponds) == count


@pytest.mark.parametrize("inside", [0.0, 1e-10, 1e-7, 1e-4])
def test_a_form_that_sags_at_a_shot_holds_no_water_though_that_stands_off_the_edge(inside):
    levels = [5.0, 5.001, 4.998, 5.001, 5.0, 5.0, 5.001, 5.0]
    plan = np.array([(0, 0), (5, 0), (6, 0), (8, 0), (10, 0), (10, 10), (3, 10), (0, 10)])
    plan = plan + inside * np.sign(5 - plan)  # rounding, or a pole that leans
    drainage, notes = water_on(Measured(np.column_stack([plan, levels])))

    assert drainage.ponds == ()
    assert notes == ()


def test_a_pond_that_a_tape_does_not_show_is_told_in_fine_digits():
    corners = np.column_stack([SQUARE, np.full(4, 5.0)])
    _, notes = water_on(Measured(np.vstack([corners, [5, 5, 4.9988]])))
    assert "1.2 mm deep" in notes[0].say(Units.of_job("m"))
    assert "0.05 in deep" in notes[0].say(Units.of_job("ft"))


def test_three_panels_that_meet_corner_to_side_let_water_through():
    panels = Panels(
        (
            Panel(box(0, 0, 10, 4), Fall(np.array([0, 0, 5.0]), 0.02, 180)),
            Panel(box(0, 4, 3, 10), Fall(np.array([0, 0, 5.0]), 0.02, 180)),
            Panel(box(3, 4, 10, 10), Fall(np.array([0, 0, 5.0]), 0.02, 180)),
        )
    )
    drainage, _ = water_on(panels, closed=(2, 3, 4))

    assert drainage.ponds == ()


def test_a_top_that_is_closed_all_around_is_refused_unless_it_has_an_opening():
    fall = Fall(np.array([0, 0, 5.0]), 0.02, 90)
    with pytest.raises(GeometryError, match="No water can leave the top"):
        water_on(fall, closed=(1, 2, 3, 4))
    pond = water_on(fall, closed=(1, 2, 3, 4), openings=(box(2, 2, 3, 3),))[0].ponds

    assert_allclose(pond[0].depth, 0.02 * 7)  # up to the east side of the opening


def test_a_closed_side_that_is_none_of_the_slabs_is_refused():
    with pytest.raises(GeometryError, match="names side 7, but the slab has 4 sides"):
        water_on(Level(5.0), closed=(7,))
