"""A result drawn up: plain, read-only, and of the result's own places."""

from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest
import shapely
from numpy.testing import assert_allclose

from gradevol.answer.drawing import draw_up
from gradevol.answer.drawing.spots import bound_outlines
from gradevol.answer.setting_out import find_stakes
from gradevol.ground.units import Units
from gradevol.site.slab import Thickening
from gradevol.uncertainty.next_shots import NextShot, NextShots
from tests.pads import grid

PLAIN = (str, int, float, bool, type(None), Units)


def parts_of(part, path="drawing"):
    """Every value of a drawing that holds no others, with where it stands."""
    if is_dataclass(part) and not isinstance(part, Units):
        for field in fields(part):
            yield from parts_of(getattr(part, field.name), f"{path}.{field.name}")
    elif isinstance(part, tuple):
        for number, item in enumerate(part):
            yield from parts_of(item, f"{path}[{number}]")
    else:
        yield path, part


@pytest.fixture(scope="module")
def drawing(apron):
    return draw_up(apron)


def test_a_drawing_holds_plain_values_and_arrays_that_none_can_write(drawing):
    arrays = 0
    for path, value in parts_of(drawing):
        if isinstance(value, np.ndarray):
            assert not value.flags.writeable, path
            arrays += 1
        else:
            assert isinstance(value, PLAIN), path
    assert arrays > 50


def test_the_slabs_rings_are_its_outline_less_its_openings(make_result):
    edge = np.array([[0, 0], [0, 8], [12, 8], [12, 0.0]])  # clockwise
    opening = np.array([[2.0, 2], [4, 2], [4, 4], [2, 4]])
    shots = np.column_stack([edge, np.zeros(4)])
    drawn = draw_up(make_result(shots, edge, 0.15, openings=(opening,))).slab
    assert drawn.turn == -1
    outer, hole = (shapely.LinearRing(ring) for ring in drawn.rings)
    assert outer.is_ccw
    assert not hole.is_ccw
    assert shapely.Polygon(outer, [hole]).area == pytest.approx(drawn.area)
    assert drawn.size.tolist() == [12, 8]


def test_shots_carry_what_their_base_lacks_and_none_does_off_the_slab(apron, drawing):
    shots, stakes = drawing.shots, find_stakes(apron)
    assert tuple(np.array(shots.names)[shots.is_on_slab]) == stakes.names
    assert_allclose(shots.departure[shots.is_on_slab], stakes.base - stakes.design)
    assert np.isnan(shots.departure[~shots.is_on_slab]).all()
    assert set(shots.suspects) == {suspect.index for suspect in apron.suspects}


def test_tapes_begin_on_the_sides_that_they_are_square_to(apron, drawing):
    works = [work for work in drawing.spots.works if work.tapes]
    assert works
    for work in works:
        fix = apron.work.fixes[work.rank - 1]
        for tape, (number, away) in zip(work.tapes, fix.where.sides, strict=True):
            side = shapely.LineString(apron.slab.sides[number - 1])
            assert side.distance(shapely.Point(tape.foot)) < 1e-6
            assert np.hypot(*(tape.foot - work.at)) == pytest.approx(away)
            assert tape.text == apron.units.say_tape(away)


def test_the_shots_surround_what_is_not_beyond_them(apron, drawing):
    beyond = shapely.Polygon()
    for ring in drawing.field.beyond:
        beyond = shapely.symmetric_difference(beyond, shapely.Polygon(ring))
    assert beyond.area == pytest.approx((1 - apron.coverage) * apron.slab.area, rel=1e-6)


def test_lines_of_a_dense_scan_run_through_means(make_result):
    rng = np.random.default_rng(2)
    plan = np.vstack([rng.uniform(0, [12, 8], (9000, 2)), [[0, 0], [12, 0], [12, 8], [0, 8]]])
    shots = np.column_stack([plan, 0.002 * rng.standard_normal(len(plan)) - 0.002 * plan[:, 0]])
    edge = np.array([[0, 0], [12, 0], [12, 8], [0, 8.0]])
    result = make_result(shots, edge, 0.15, ids=False, base_low=0.02)
    relief = draw_up(result).relief
    assert relief.square == pytest.approx(0.2)  # a tenth of an inch where 12 m are 6 in
    assert len(relief.corners) < len(result.field.corners)
    (rings,) = relief.low
    longest = max(rings, key=len)
    longest = longest[longest[:, 0] < 11.9]  # the rest of the ring is the slab's edge
    assert_allclose(longest[:, 0], 10, atol=1.0)  # 0.02 below the design
    assert np.ptp(longest[:, 1]) > 7  # right across
    key = {entry.mark: entry.words for entry in draw_up(result).captions.key}
    assert key["means"] == "drawn from means over 0.2 m squares"


def test_the_design_line_of_a_graded_scan_leaves_its_noise_out(make_result):
    rng = np.random.default_rng(2)
    edge = np.array([[0, 0], [12, 0], [12, 8], [0, 8.0]])
    plan = np.vstack([rng.uniform(0, [12, 8], (9000, 2)), edge])
    noise = 0.002 * rng.standard_normal(len(plan))
    hump = 0.03 * np.clip(1 - np.hypot(*(plan - [4, 4]).T) / 2, -0.1, None)
    for level, expected in ((noise, 0), (noise + hump, 1)):
        relief = draw_up(
            make_result(np.column_stack([plan, level]), edge, 0.15, ids=False, base_low=0.02)
        ).relief
        assert relief.square is not None
        assert len(relief.design) == expected
        for line in relief.design:  # around the hump
            assert_allclose(np.hypot(*(line - [4, 4]).T), 2, atol=0.4)


def test_a_trench_that_a_dense_scan_shows_is_drawn_as_no_low_place(make_result):
    plan = np.random.default_rng(2).uniform(-0.5, [12.5, 8.5], (9000, 2))
    level = np.where(plan[:, 0] < 1.6, -0.3, np.where(plan[:, 0] > 9, -0.04, 0.0))
    shots = np.column_stack([plan, level])
    edge = np.array([[0, 0], [12, 0], [12, 8], [0, 8.0]])
    beam = Thickening("beam", 0.3, width=2.0, surveyed="yes", sides=(4,))
    relief = draw_up(
        make_result(shots, edge, 0.15, ids=False, base_low=0.02, thickenings=(beam,))
    ).relief
    assert relief.square is not None
    (rings,) = relief.low
    assert min(ring[:, 0].min() for ring in rings) > 8  # none of the trench


def test_no_means_hide_a_thin_place_of_a_long_walk(make_result):
    edge = np.array([[0, 0], [400, 0], [400, 1.2], [0, 1.2]])
    plan = grid(np.arange(0, 401, 20.0), [0, 0.6, 1.2])
    high = 0.05 * (np.hypot(*(plan - [200, 0.6]).T) < 0.1)
    few = draw_up(make_result(np.column_stack([plan, high]), edge, 0.1)).relief
    assert few.square is None
    assert len(few.thin) == 1
    plan = np.vstack([np.random.default_rng(2).uniform(0, edge[2], (9000, 2)), edge])
    scan = make_result(np.column_stack([plan, np.zeros(len(plan))]), edge, 0.1, ids=False)
    assert draw_up(scan).relief.square == pytest.approx(np.sqrt(480) / 40)


def test_lines_of_shots_run_through_the_field_itself(apron, drawing):
    assert drawing.relief.square is None
    assert np.array_equal(drawing.relief.corners, apron.field.corners)
    assert "means" not in [entry.mark for entry in drawing.captions.key]


def test_the_key_tells_of_what_there_is_and_of_nothing_else(make_result, apron):
    marks = [entry.mark for entry in draw_up(apron).captions.key]
    assert {"design", "thin", "high", "low", "work", "shot", "suspect", "line"} <= set(marks)
    assert len(set(marks)) == len(marks)
    plan = grid(np.arange(0, 13, 2), np.arange(0, 9, 2))
    shots = np.column_stack([plan, np.zeros(len(plan))])
    edge = np.array([[0, 0], [12, 0], [12, 8], [0, 8.0]])
    flat = draw_up(make_result(shots, edge, 0.15))
    assert [entry.mark for entry in flat.captions.key] == ["design", "shot"]


def test_the_key_says_where_tapes_begin(make_result):
    angle = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    round_slab = 2 * np.column_stack([np.cos(angle), np.sin(angle)])  # sides of 0.2 m
    square = np.array([[-2, -2], [2, -2], [2, 2], [-2, 2.0]])
    plan = grid(np.arange(-3, 3.5, 0.5), np.arange(-3, 3.5, 0.5))
    hump = 0.05 * (np.hypot(*(plan - [0.5, 0.5]).T) < 0.6)
    shots = np.column_stack([plan, hump])
    for edge, said in (
        (square, "tape square from that side"),
        (round_slab, "tape from that side or corner"),
    ):
        result = make_result(shots, edge, 0.1, base_high=0.01)
        key = {entry.mark: entry.words for entry in draw_up(result).captions.key}
        assert key["tape"] == said


def test_outlines_of_many_corners_lose_some_but_none_moves_far(monkeypatch):
    turn = np.linspace(0, 2 * np.pi, 400, endpoint=False)
    ring = 3 * np.column_stack([np.cos(turn), np.sin(turn)])
    small = 1e-3 * ring
    assert bound_outlines([(ring, small)], 10.0) == [(ring, small)]
    monkeypatch.setattr("gradevol.answer.drawing.spots.MOST_CORNERS", 100)
    ((bound,),) = bound_outlines([(ring, small)], 10.0)  # what can't be seen is left out
    assert 20 < len(bound) <= 100
    away = shapely.hausdorff_distance(shapely.LinearRing(bound), shapely.LinearRing(ring))
    assert away < 0.05


def test_next_shots_for_thin_concrete_are_named_before_those_for_the_volume(apron):
    assert draw_up(replace(apron, next_shots=None)).shots.next_places.shape == (0, 2)
    planned = NextShots(
        1.0, None, volume=(NextShot((6.0, 1.0), 0.1),), thin=(NextShot((2.0, 3.0), 1),)
    )
    drawn = draw_up(replace(apron, next_shots=planned)).shots
    assert [shot.name for shot in drawn.next] == ["NEXT1", "NEXT2"]
    assert drawn.next_places.tolist() == [[2, 3], [6, 1]]
