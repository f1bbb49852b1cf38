"""A pad of 12 m by 9 m, shot on a lattice of 3 m: a ridge along E = 3, a trough along E = 9."""

import re
from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.compose import compose_answer
from gradevol.answer.said.fixes import say_do
from gradevol.doubts.suspects import Suspect
from gradevol.measures.contours import join_rings
from gradevol.measures.spots import Spots
from gradevol.out.paper.words import SheetWords
from gradevol.plan.fixes.fix import Found, find_all
from gradevol.plan.fixes.fixing import find_fixes
from gradevol.site.slab import Void

EDGE = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
EAST, NORTH = (axis.ravel() for axis in np.meshgrid(np.arange(0, 13, 3.0), np.arange(0, 10, 3.0)))
CONDUIT = np.array([[0, 4], [12, 4.0]])


def shots(ridge, trough):
    level = 100 + np.where(EAST == 3, ridge, 0.0) - np.where(EAST == 9, trough, 0.0)
    return np.column_stack([EAST, NORTH, level])


@pytest.fixture
def pad(make_result):
    def make(ridge=0.04, trough=0.03, **slab):
        given = {"base_high": 0.01, "base_low": 0.01, **slab}
        return make_result(shots(ridge, trough), EDGE, 100.15, **given)

    return make


def fixes_of(result, **rest):
    found = Found(result.thin, result.high, result.low, result.cover)
    return find_fixes(found, found, slab=result.slab, survey=result.survey, **rest)


def test_a_thin_spot_and_the_high_one_around_it_are_one_line(pad):
    result = pad()
    ridge, trough = fixes_of(result)

    assert len(result.thin.listed) == len(result.high.listed) == len(result.low.listed) == 1
    assert (ridge.rank, ridge.kind, ridge.reasons) == (1, "thin", ("thin",))
    assert (ridge.is_must, ridge.call) == (True, "fix")
    # a triangle 6 m wide and 0.04 m high, 9 m long; above 0.01 m it is 4.5 m wide
    assert_allclose(ridge.area, 4.5 * 9)
    assert_allclose(ridge.volume, (0.04 * 3 - 0.01 * 0.75) * 9)
    assert_allclose([ridge.worst, ridge.thickness], [0.04, 0.11])
    assert_allclose([ridge.length, ridge.width], [9, 4.5])
    assert_allclose(ridge.centre, [3, 4.5], atol=1e-9)
    assert ridge.rings is result.high.listed[0].rings
    assert (trough.rank, trough.kind, trough.is_must, trough.call) == (2, "low", False, "either")
    assert_allclose(trough.area, 4 * 9)
    assert_allclose(trough.volume, (0.03 * 3 - 0.01) * 9)
    assert_allclose(trough.thickness, 0.18)
    assert_allclose(trough.centre, [9, 4.5], atol=1e-9)


def test_without_a_tolerance_a_thin_spot_is_a_line_of_its_own(pad):
    (ridge,) = fixes_of(pad(base_high=None, base_low=None))

    assert_allclose(ridge.area, 6 * (1 - 0.019 / 0.04) * 9)  # above 19 mm


def test_the_shots_within_a_place_say_so(pad):
    ridge, trough = fixes_of(pad())

    assert [EAST[index] for index in ridge.shots] == [3] * 4
    assert [EAST[index] for index in trough.shots] == [9] * 4
    assert ridge.is_shot
    assert trough.is_shot


def test_a_place_that_no_shot_lies_in_names_the_nearest_three(pad):
    result = pad()
    spot = replace(
        result.low.listed[0],
        rings=(np.array([[1.2, 1.2], [1.8, 1.2], [1.8, 1.8], [1.2, 1.8]]),),
        at=(1.2, 1.4, 0.0),
    )
    between = replace(result, thin=Spots(0, ()), high=None, low=Spots(0.36, (spot,)))
    (fix,) = fixes_of(between)

    assert not fix.is_shot
    assert {(EAST[i], NORTH[i]) for i in fix.shots} == {(0, 0), (0, 3), (3, 0)}


@pytest.mark.parametrize(("ridge", "is_must"), [(0.0155, True), (0.0145, False)])
def test_what_the_shots_can_not_tell_from_too_thin_must_be_put_right(pad, ridge, is_must):
    # thin beyond 19 mm; two standard deviations of a shot are 4 mm
    fix = next(fix for fix in fixes_of(pad(ridge=ridge)) if fix.kind == "high")

    assert fix.is_must == is_must
    assert fix.reasons == (("near-thin",) if is_must else ("high",))
    assert_allclose(fix.thickness, 0.15 - ridge)


def test_what_must_be_put_right_comes_first_the_thinnest_before_all(pad):
    result = pad(ridge=0.0155, trough=0.1)
    lane = replace(
        result.high.listed[0], kind="thin", worst=0.12, rings=(np.add(EDGE, (20, 0)),), volume=0.01
    )
    thinner = replace(lane, worst=0.09, rings=(np.add(EDGE, (40, 0)),))
    more = replace(result, thin=Spots(2.0, (lane, thinner)))

    assert [fix.reasons for fix in fixes_of(more)] == [
        ("thin",), ("thin",), ("near-thin",), ("low",),
    ]  # fmt: skip
    assert [round(fix.thickness, 4) for fix in fixes_of(more)][:3] == [0.09, 0.12, 0.1345]


def test_a_thin_sliver_comes_after_thin_places_and_both_before_cover(pad):
    # along the trough: it lacks 0.1 m and more of its cover, and crosses no ridge
    line = np.array([[9, 1], [9, 8.0]])
    item = Void("pipe", 0.0, diameter=0.05, line=line, least_cover=0.25)
    result = pad(base_high=None, voids=(item,))
    (ridge,) = result.thin.listed
    sliver = replace(ridge, worst=0.02, rings=(np.add(EDGE, (40, 0)),), area=0.01, volume=0.001)
    fixes = fixes_of(replace(result, thin=Spots(41.0, (sliver, ridge))))

    assert [fix.kind for fix in fixes] == ["thin", "thin", "cover", "low"]
    assert_allclose([fix.thickness for fix in fixes[:2]], [0.11, 0.02])
    assert fixes[2].worst > fixes[0].worst  # what it lacks is more than the ridge is high


@pytest.mark.parametrize(
    "small",
    [{"area": 0.4}, {"worst": 0.0125}, {"volume": 0.009}],
    ids=["area", "excess", "volume"],
)
def test_what_a_grader_can_not_tell_is_left_and_comes_last(pad, small):
    result = pad()
    spot = result.low.listed[0]
    second = replace(spot, rings=(spot.rings[0] + [30, 0],), **{"volume": 9.0, **small})
    fixes = fixes_of(replace(result, low=Spots(36.0, (spot, second))))

    assert [fix.call for fix in fixes] == ["fix", "either", "leave"]
    assert fixes[-1].volume == second.volume


def test_cover_lost_on_a_ridge_is_lowered_with_it(pad):
    item = Void("conduit", 0.0, diameter=0.05, line=CONDUIT, least_cover=0.09)
    # 0.10 m over it, 0.06 m on the ridge: short where the base is 10 mm high
    result = pad(least_thickness=0.1, voids=(item,))
    ridge, _ = fixes_of(result)

    assert (ridge.reasons, ridge.covers, ridge.is_must) == (("high", "cover"), ("conduit",), True)
    assert_allclose(result.cover[0].short, 4.5)


def test_what_is_lowered_with_a_ridge_is_told_with_all_of_its_length(pad):
    # 0.10 m over it but on ridge and trough, and 0.11 m wanted: short from E = 0 to E = 7,
    # and from E = 11 on, where no ridge is
    item = Void("conduit", 0.0, diameter=0.05, line=CONDUIT, least_cover=0.11)
    result = pad(least_thickness=0.1, voids=(item,))
    ridge, other, _ = fixes_of(result)
    (lowering,) = ridge.lowerings

    assert_allclose([lowering.by, lowering.length], [0.05, 7], atol=1e-9)
    assert other.kind == "cover"
    assert_allclose([other.worst, other.length], [0.01, 1], atol=1e-9)
    assert say_do(ridge, replace(result, work=replace(result.work, fixes=(ridge,)))) == (
        "shave; lower conduit with it, by 50 mm over 7.00 m"
    )


def test_cover_lost_where_the_base_is_right_is_a_line_of_its_own(pad):
    item = Void("conduit", 0.0, diameter=0.05, line=CONDUIT, least_cover=0.105)
    result = pad(ridge=0.0, trough=0.02, voids=(item,))
    trough_first = [fix.kind for fix in fixes_of(result)]

    # short by 5 mm over level ground: until the trough is 5 mm deep, and after it
    assert trough_first == ["cover", "cover", "low"]
    west, east = sorted(fixes_of(result)[:2], key=lambda fix: fix.centre)
    assert_allclose([west.length, east.length], [6 + 0.75, 0.75])
    assert_allclose([west.worst, west.thickness], [0.005, 0.1])
    assert_allclose(west.centre, [6.75 / 2, 4])
    assert_allclose([west.volume, west.bearing], [0, 90])
    # the base is not to be taken down there: no mark of it beside the line on the sheet
    first, *_ = SheetWords(compose_answer(result).topics).list_fixes(most=3)
    assert first.lead == "Must:"
    assert re.match(r"lower conduit by 5 mm over \d\.\d\d m; .* from side 1", first.text)


def test_a_place_that_only_a_suspect_makes_is_to_be_shot_again(make_result):
    level = shots(0.0, 0.03)
    level[7, 2] += 0.05  # at (6, 3)
    slab = {"base_high": 0.01, "base_low": 0.01}
    result = make_result(level, EDGE, 100.15, **slab)
    clean = make_result(np.delete(level, 7, axis=0), EDGE, 100.15, **slab)
    sure = find_all(clean.field, clean.slab)
    found = Found(result.thin, result.high, result.low)
    doubt, trough = find_fixes(
        found,
        sure,
        slab=result.slab,
        survey=result.survey,
        suspects=[Suspect(7, 100.0, 0.05, "")],
    )

    assert (doubt.call, doubt.suspects, doubt.reasons) == ("reshoot", (7,), ("thin",))
    assert doubt.is_must  # if it is right
    assert doubt.shots == (7,)
    assert trough.kind == "low"
    assert 7 not in trough.shots


def test_a_suspect_within_work_that_others_say_too_is_named_in_its_line(pad):
    result = pad()
    found = Found(result.thin, result.high, result.low)
    high = int(np.flatnonzero((EAST == 3) & (NORTH == 3))[0])
    ridge, trough = find_fixes(
        found,
        found,
        slab=result.slab,
        survey=result.survey,
        suspects=[Suspect(high, 100.0, 0.02, "")],
    )

    assert (ridge.call, ridge.suspects) == ("fix", (high,))
    assert trough.suspects == ()  # it errs the other way


def test_the_order_of_spots_does_not_matter(apron):
    parts = (apron.thin, apron.high, apron.low)
    thin, high, low = (replace(held, listed=held.listed[::-1]) for held in parts)
    turned = Found(thin, high, low, apron.cover)
    found = Found(*parts, cover=apron.cover)
    fixes, again = (
        find_fixes(some, some, slab=apron.slab, survey=apron.survey, suspects=apron.suspects)
        for some in (found, turned)
    )

    assert len(fixes) > 2
    for fix, same in zip(fixes, again, strict=True):
        assert replace(fix, rings=()) == replace(same, rings=())


def test_an_outline_is_its_rings_less_their_holes():
    square = np.array([[0, 0], [4, 0], [4, 4], [0, 4.0]])

    assert_allclose(join_rings((square, square[::-1] / 4 + 1)).area, 15)


@pytest.mark.parametrize(
    ("rings", "area"),
    [
        ([[0, 4, 4 + 4j, 4j], [4 + 4j, 8 + 4j, 8 + 8j, 4 + 8j]], 32),  # touch in a point
        ([[0, 4, 4 + 4j, 4j], [2 + 2j, 6 + 2j, 6 + 6j, 2 + 6j]], 24),  # cross
        ([[0, 4, 4 + 4j, 4j], [0, 4, 4 + 4j, 4j]], 0),  # the same twice
        ([[0, 4 + 4j, 4, 4j]], 8),  # one that crosses itself
        ([[0, 4, 8, 4, 4 + 4j, 4j]], 16),  # a spike
        # GEOS can't build an area of these; 27.664 by counting squares of 0.005
        ([[0, -6 + 11j, -7 + 3j], [-4 + 6j, -3 + 4j, -4], [-1 + 3j, -1 + 4j, 3j]], 27.663594),
        ([[0, 1, 2]], 0),
        ([], 0),
    ],
)
def test_of_rings_that_touch_or_cross_what_lies_in_an_odd_number_is_their_area(rings, area):
    joined = join_rings([np.column_stack([np.real(ring), np.imag(ring)]) for ring in rings])

    assert joined.is_valid
    assert_allclose(joined.area, area)
