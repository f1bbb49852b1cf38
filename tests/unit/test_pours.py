from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.ground.errors import GeometryError
from gradevol.job.terms import SmallPour, Terms
from gradevol.measures.concrete import measure_concrete
from gradevol.plan.order.delivery import plan_delivery, spread_of_share
from gradevol.plan.order.parts import REST, find_zones, measure_parts
from gradevol.site.slab import Slab, Thickening, Void
from gradevol.uncertainty.interval import Interval
from gradevol.uncertainty.mixture import Mixture
from tests.pads import box, field_of

EDGE = np.array([[0, 0], [12, 0], [12, 8], [0, 8]], float)
WEST = np.array([[0, 0], [5, 0], [5, 8], [0, 8]], float)
EAST = np.array([[5, 0], [12, 0], [12, 8], [5, 8]], float)


def slab_of(**parts):
    return Slab(EDGE, parts.pop("openings", ()), 0.15, 0.13, **parts)


def field_over(slab, base=None):
    return field_of(np.column_stack([EDGE, np.zeros(4)]) if base is None else base, slab)


def rough_base(seed):
    random = np.random.default_rng(seed)
    return np.column_stack([random.uniform(-1, 13, (60, 2)), random.normal(0, 0.08, 60)])


@pytest.mark.parametrize("seed", range(4))
def test_parts_add_up_to_the_whole(seed):
    slab = slab_of(
        openings=(box(4, 3, 6, 5),),
        thickenings=(
            Thickening("all round", 0.1, 0.3, 1.5, sides=(1, 2, 3, 4)),
            Thickening("beam", 0.1, 0.4, along=np.array([[1.0, 2.0], [11.0, 6.0]])),
        ),
        voids=(
            Void("conduit", 0.02, line=np.array([[0.0, 1.0], [12.0, 7.0]])),
            Void("boxes", 0.03),
        ),
    )
    field = field_over(slab, rough_base(seed))
    whole = measure_concrete(field, slab)
    parts = measure_parts([("west", WEST), ("east", EAST)], field, slab)
    assert [part.name for part in parts] == ["west", "east"]
    for name in (
        *("volume", "slab", "thickenings", "voids", "overlap", "beyond_survey", "nominal"),
    ):
        total = sum(getattr(part.concrete, name) for part in parts)
        assert total == pytest.approx(getattr(whole, name), rel=1e-9), name
    assert sum(part.area for part in parts) == pytest.approx(slab.area)


def test_a_part_over_a_sloping_base_is_its_area_times_the_middle_thickness():
    slab = slab_of()
    base = np.column_stack([EDGE, -0.01 * EDGE[:, 0]])  # 1 cm deeper each metre eastwards
    west, east = measure_parts([("west", WEST), ("east", EAST)], field_over(slab, base), slab)
    assert_allclose(west.concrete.volume, 40 * (0.15 + 0.01 * 2.5), rtol=1e-12)
    assert_allclose(east.concrete.volume, 56 * (0.15 + 0.01 * 8.5), rtol=1e-12)


@pytest.mark.parametrize("north", [0.0, 4.0])  # along the slab's own edge, and amid it
def test_a_conduit_goes_by_its_length_in_each_part(north):
    slab = slab_of(voids=(Void("conduit", 0.12, line=np.array([[0.0, north], [12.0, north]])),))
    west, east = measure_parts([("west", WEST), ("east", EAST)], field_over(slab), slab)
    assert (west.concrete.voids, east.concrete.voids) == pytest.approx((0.05, 0.07))


@pytest.mark.parametrize("angle", [0.0, 0.4, 2.1])
def test_a_key_where_two_parts_meet_goes_half_to_each(angle):
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.array([(cos, sin), (-sin, cos)])
    key = Void("key", -0.1, line=np.array([[5.0, 0.0], [5.0, 8.0]]) @ turn)
    slab = replace(slab_of(voids=(key,)), edge=EDGE @ turn)
    field = field_over(slab, np.column_stack([EDGE @ turn, np.zeros(4)]))
    parts = measure_parts([("west", WEST @ turn), ("east", EAST @ turn)], field, slab)
    assert [part.concrete.voids for part in parts] == pytest.approx([-0.05, -0.05])


def test_what_the_edges_leave_is_a_part_of_its_own():
    slab = slab_of()
    parts = measure_parts([("west", WEST)], field_over(slab), slab)
    assert [part.name for part in parts] == ["west", REST]
    assert parts[1].area == pytest.approx(56)


@pytest.mark.parametrize("slip", [-0.002, 1e-5, 0.002])
def test_a_strip_as_wide_as_a_slip_of_the_pen_is_no_part_and_no_fault(slip):
    # it was the last part: an order of its own, a truck's least load, and all that is left over
    slab = slab_of(voids=(Void("boxes", 0.03),))
    edges = [("west", box(slip, slip, 5, 8)), ("east", box(5 + slip, 0, 12, 8 - slip))]
    field = field_over(slab)
    parts = measure_parts(edges, field, slab)
    assert [part.name for part in parts] == ["west", "east"]
    assert sum(part.area for part in parts) == pytest.approx(96, rel=1e-12)
    whole = measure_concrete(field, slab).volume
    assert sum(part.concrete.volume for part in parts) == pytest.approx(whole, rel=1e-9)


@pytest.mark.parametrize("angle", 6.28 * np.array([1, 3, 7, 20]) / 60)
def test_zones_of_parts_are_areas_alone_in_turned_coordinates(angle):
    # lines beside them, where hairlines were joined, were nothing to cut a field with
    cos, sin = np.cos(angle), np.sin(angle)
    edge, west, east = (
        np.round(ring @ np.array([(cos, sin), (-sin, cos)]), 3) for ring in (EDGE, WEST, EAST)
    )
    zones = find_zones([("west", west), ("east", east)], replace(slab_of(), edge=edge))
    assert [name for name, _ in zones] == ["west", "east"]
    assert {zone.geom_type for _, zone in zones} <= {"Polygon", "MultiPolygon"}


def test_an_edge_may_reach_beyond_the_slab():
    slab = slab_of()
    (west, _) = measure_parts([("west", box(-3, -3, 5, 20))], field_over(slab), slab)
    assert west.area == pytest.approx(40)


@pytest.mark.parametrize(
    ("edges", "told"),
    [
        (
            [("west", WEST), ("middle", box(4, 0, 8, 8))],
            r"west and middle share 8\.0 m² of the slab",
        ),
        ([("away", box(20, 0, 30, 8))], "away does not lie within the slab"),
        ([("bow", WEST[[0, 2, 1, 3]])], "The edge of bow is not a plain outline"),
    ],
)
def test_parts_that_cannot_be_are_refused(edges, told):
    slab = slab_of()
    with pytest.raises(GeometryError, match=told):
        measure_parts(edges, field_over(slab), slab)


def interval_of(*, shots=0.1, between=0.2, datum=0.3, top=0.4, off=0.0):
    one = np.array([1.0])
    volume = Mixture(one, one * (14.4 + off), one * 0.5)
    return Interval(0.9, 13.0, 15.0, shots, between, datum, top, 14.4, volume)


def test_a_part_shares_the_datum_by_area_and_the_shots_by_its_root():
    whole, _ = spread_of_share(interval_of(), 1.0)
    assert whole == pytest.approx(np.sqrt(0.1**2 + 0.2**2 + 0.3**2 + 0.4**2))
    shared, _ = spread_of_share(interval_of(shots=0, between=0), 0.25)
    assert shared == pytest.approx(0.25 * 0.5)
    own, _ = spread_of_share(interval_of(datum=0, top=0, between=0), 0.25)
    assert own == pytest.approx(0.05)


def test_a_part_s_distribution_has_the_spread_and_the_middle_of_the_part():
    slab = slab_of()
    field = field_over(slab)
    parts = measure_parts([("west", WEST), ("east", EAST)], field, slab)
    delivery = plan_delivery(
        Terms(risk=0.05),
        measure_concrete(field, slab),
        interval_of(off=1.2),
        parts=parts,
        is_metric=True,
        level=0.9,
    )
    for order in (delivery.order, *delivery.part_orders):
        assert order is not None
        need = order.need
        assert need.survey is not None
        assert need.survey.middle == pytest.approx(need.off)
        assert np.sqrt(need.survey.variance) == pytest.approx(need.survey_sd)


def test_a_part_is_off_the_stated_volume_by_its_area():
    assert spread_of_share(interval_of(off=1.2), 1.0)[1] == pytest.approx(1.2)
    assert spread_of_share(interval_of(off=-1.2), 0.25)[1] == pytest.approx(-0.3)
    assert spread_of_share(interval_of(off=1.2), 1.0)[0] == spread_of_share(interval_of(), 1.0)[0]


def test_each_part_has_its_order_and_small_pours_wait_for_the_last():
    slab = slab_of()
    field = field_over(slab)
    parts = measure_parts([("west", WEST), ("east", EAST)], field, slab)
    delivery = plan_delivery(
        Terms(waste=0.02),
        measure_concrete(field, slab),
        interval_of(),
        parts=parts,
        small_pours=[SmallPour("pad", 0.3)],
        is_metric=True,
        level=0.9,
    )
    west, east = delivery.part_orders
    assert delivery.order is not None
    assert [len(order.takers) for order in (delivery.order, west, east)] == [1, 0, 1]
    assert west.need.mean == pytest.approx(40 * 0.15 * 1.02)
    assert east.need.mean == pytest.approx(56 * 0.15 * 1.02)


def test_without_terms_parts_are_measured_and_nothing_is_ordered():
    slab = slab_of()
    field = field_over(slab)
    parts = measure_parts([("west", WEST)], field, slab)
    delivery = plan_delivery(
        None, measure_concrete(field, slab), interval_of(), parts=parts, is_metric=True, level=0.9
    )
    assert (delivery.order, delivery.part_orders, delivery.parts) == (None, (), parts)
