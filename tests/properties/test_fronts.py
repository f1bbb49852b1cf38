"""What lies behind a front, for any front: all of it at the far side, and shares that add up."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from gradevol.after.fronts import Edge, find_front
from gradevol.after.model import Sureness, build_model
from gradevol.ground.errors import GeometryError
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import cut_field
from gradevol.site.slab import Slab, Thickening

SURE = Sureness(0.1, 0.05)
tapes = st.floats(0, 12)


@pytest.fixture(scope="module")
def bowl(measure, dish):
    """The dish as modelled, poured from side 1, the south."""
    concrete, field = measure(dish.shots, dish.edge, dish.top)
    slab = Slab(dish.edge, (), 0.15, 0.131)
    return build_model(field, slab, SURE), Edge(slab, 1), concrete.volume


@given(west=tapes, east=tapes)
def test_what_lies_behind_and_ahead_adds_up(bowl, west, east):
    model, edge, whole = bowl
    behind = find_front(edge, [(4, west), (2, east)]).zone
    ahead = shapely.difference(model.zone, behind)
    (one, share), (other, rest) = model.measure(behind), model.measure(ahead)
    assert one + other == pytest.approx(whole, abs=1e-6)
    assert share + rest == pytest.approx(1, abs=1e-6)


def test_a_front_at_the_far_side_is_the_whole(bowl):
    model, edge, whole = bowl
    front = find_front(edge, [(4, 12.0), (2, 12.0)])
    assert model.measure(front.zone) == (whole, 1.0)
    assert front.length == 0


def test_a_front_at_the_start_is_nothing(bowl):
    model, edge, _ = bowl
    assert model.measure(find_front(edge, [(4, 0.0), (2, 0.0)]).zone) == (0.0, 0.0)


@given(st.tuples(tapes, tapes), st.tuples(tapes, tapes))
def test_a_front_farther_on_never_holds_less(bowl, one, other):
    model, edge, _ = bowl
    near = [min(pair) for pair in zip(one, other, strict=True)]
    far = [max(pair) for pair in zip(one, other, strict=True)]
    volumes = [
        model.measure(find_front(edge, [(4, west), (2, east)]).zone)[0]
        for west, east in (near, far)
    ]
    assert volumes[0] <= volumes[1] + 1e-9


@given(tapes)
def test_tapes_points_and_one_tape_make_the_same_straight_front(bowl, tape):
    model, edge, _ = bowl
    by_two = find_front(edge, [(4, tape), (2, tape)])
    by_points = find_front(edge, points=np.array([[0, tape], [5, tape], [12, tape]]))
    volume = model.measure(by_two.zone)[0]
    assert model.measure(by_points.zone)[0] == pytest.approx(
        volume, abs=2e-3
    )  # at a corner within 1 mm
    if 0.1 < tape < 11.9:
        by_one = find_front(edge, [(4, tape)])
        assert by_one.is_by_one
        assert model.measure(by_one.zone)[0] == pytest.approx(volume, abs=1e-6)


def test_panels_add_up(bowl):
    model, _, whole = bowl
    panels = [shapely.box(x, y, x + 4, y + 6) for x in (0, 4, 8) for y in (0, 6)]
    assert sum(model.measure(panel)[0] for panel in panels) == pytest.approx(whole, abs=1e-9)


@given(st.floats(0.01, 4), st.floats(0.01, 8))
def test_an_l_shape_is_cut_past_its_inner_corner(measure, l_shape, foot, leg):
    """Placing from the south: the east form ends at the inner corner, then the leg goes on."""
    _, field = measure(l_shape.shots, l_shape.edge, l_shape.top)
    slab = Slab(l_shape.edge, (), 0.15, 0.131)
    model, edge = build_model(field, slab, SURE), Edge(slab, 1)
    low = find_front(edge, [(6, foot), (2, foot)])
    assert low.zone.area == pytest.approx(12 * foot, rel=1e-9)
    # side 4 is the leg's east form: its near end is the inner corner, 4 m up
    high = find_front(edge, [(6, 4 + leg), (2, 4.0), (4, leg)])
    assert high.zone.area == pytest.approx(48 + 4 * leg, rel=1e-6)
    assert model.measure(high.zone)[0] > model.measure(low.zone)[0] - 1e-9


def test_openings_behind_a_front_hold_no_concrete(measure, level_pad):
    hole = np.array([[2, 2], [4, 2], [4, 4], [2, 4.0]])
    concrete, field = measure(level_pad.shots, level_pad.edge, level_pad.top, openings=(hole,))
    slab = Slab(level_pad.edge, (hole,), 0.15, 0.131)
    model = build_model(field, slab, SURE)
    behind, _ = model.measure(find_front(Edge(slab, 1), [(4, 3.0), (2, 3.0)]).zone)
    assert behind == pytest.approx(0.15 * (36 - 2), rel=1e-9)
    assert model.volume == pytest.approx(concrete.volume)
    assert model.volume == pytest.approx(measure_concrete(field, slab).volume)


@pytest.mark.parametrize("number", [1, 0, 9])
def test_no_front_is_taped_along_the_side_where_placing_began_or_where_none_is(bowl, number):
    _, edge, _ = bowl
    with pytest.raises(GeometryError, match=f"along side {number}"):
        find_front(edge, [(number, 3.0), (2, 3.0)])


def test_a_line_that_ends_within_the_slab_is_refused(bowl):
    _, edge, _ = bowl
    with pytest.raises(GeometryError, match="off the slab's edge"):
        find_front(edge, points=np.array([[3.0, 5], [12, 5]]))


@pytest.mark.parametrize("tape", [0.2, 0.7, 3.3, 11.2, 11.7])
def test_thickenings_that_no_front_crosses_count_as_those_that_one_does(measure, dish, tape):
    beams = tuple(
        Thickening(f"side {side}", depth=0.1, width=0.3, side_slope=2, sides=(side,))
        for side in (1, 3, 4)
    )
    _, field = measure(dish.shots, dish.edge, dish.top, thickenings=beams)
    slab = Slab(dish.edge, (), 0.15, 0.131, thickenings=beams)
    zone = find_front(Edge(slab, 1), [(4, tape), (2, tape)]).zone
    plain = measure_concrete(cut_field(field, zone), slab, within=zone).volume
    assert build_model(field, slab, SURE).measure(zone)[0] == pytest.approx(plain, abs=1e-9)
