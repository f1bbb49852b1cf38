"""The concrete once the work is done."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from gradevol.answer.said.fixes import tell_fix
from gradevol.answer.said.order import tell_order
from gradevol.answer.said.outcome import RECHECK, say_outcome, tell_after_work
from gradevol.answer.said.work import tell_work
from gradevol.answer.tree.result import present
from gradevol.ground.units import CUBIC_YARD
from gradevol.job.terms import Costs, Terms
from gradevol.measures.contours import join_rings
from gradevol.plan.fixes.outcome import Outcome, measure_outcome
from gradevol.plan.order.delivery import plan_delivery
from tests.pads import grid

EDGE = np.array([[0, 0], [12, 0], [12, 9], [0, 9.0]])
COSTS = Costs(concrete=200.0, machine=100.0, labour=50.0, material=0.02)
NEAT = 12 * 9 * 0.15


def lay_pad(make_result, ridge=0.0, trough=0.0, **rest):
    """A plane base, a ridge along E = 3 and a trough along E = 9, each 6 m wide at its foot."""
    east, north = grid(np.arange(0, 13, 3.0), np.arange(0, 10, 3.0)).T
    level = 100 + np.where(east == 3, ridge, 0.0) - np.where(east == 9, trough, 0.0)
    shots = np.column_stack([east, north, level])
    # without ids no shot is suspect, whatever the ridge looks like
    given = {"base_high": 0.01, "base_low": 0.01, "ids": False, **rest}
    return make_result(shots, EDGE, 100.15, **given)


@pytest.fixture(scope="module")
def loading(check_sample):
    return check_sample("apron/job.toml")


@pytest.fixture(scope="module")
def priced(check_sample):
    return check_sample("apron/job_costs.toml")


def test_a_shaved_box_takes_its_concrete_back(make_result):
    # 4 m by 3 m of the base stand 0.04 m high; its walls are 1 mm wide
    low, high = np.array([4.0, 3.0]), np.array([8.0, 6.0])
    corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1.0]])
    top = low + corners * (high - low)
    foot = low - 0.001 + corners * (high - low + 0.002)
    shots = np.concatenate([
        np.column_stack([EDGE, np.full(4, 100.0)]),
        np.column_stack([foot, np.full(4, 100.0)]),
        np.column_stack([top, np.full(4, 100.04)]),
    ])  # fmt: skip
    result = make_result(shots, EDGE, 100.15, base_high=0.01, ids=False)
    foot_area, top_area = 4.002 * 3.002, 4.0 * 3.0
    box = 0.04 / 3 * (foot_area + top_area + np.sqrt(foot_area * top_area))

    assert_allclose(result.concrete.volume, NEAT - box, rtol=1e-5)
    # what is left of the walls is lower than the tolerance: some millilitres
    assert_allclose(result.outcome.must.volume, NEAT, atol=1e-4)
    assert result.outcome.must.lines == (1,)


def test_a_shaved_ridge_ends_at_the_design_base_within_its_outline(make_result):
    result = lay_pad(make_result, ridge=0.04)

    # the feet of the ridge, lower than 10 mm, are left: 0.75 m by 10 mm on each side
    left = 2 * 9 * 0.75 * 0.01 / 2
    assert_allclose(result.outcome.must.volume, NEAT - left)
    assert_allclose(result.outcome.all.volume, NEAT - left)


def test_shots_are_to_be_taken_around_the_edge_of_what_was_reworked_too(make_result):
    """One brought to grade takes the ground out to the next with it, and the feet of the ridge."""
    told = lay_pad(make_result, ridge=0.04, ids=True)
    again = lay_pad(make_result, ids=True)

    assert again.concrete.volume - told.outcome.all.volume > 0.05
    assert say_outcome(told).endswith(RECHECK)
    assert "around its edge" in RECHECK
    assert "edge" not in say_outcome(lay_pad(make_result, ridge=0.04))


def test_what_stood_above_the_top_is_cut_for_no_concrete(make_result):
    result = lay_pad(make_result, ridge=0.30)

    assert result.concrete.overlap > 0.1
    left = 2 * 9 * 0.1 * 0.01 / 2
    assert_allclose(result.outcome.must.volume, NEAT - left)
    cut = result.outcome.must.volume - result.concrete.volume
    assert_allclose(cut, result.work.fixes[0].volume - result.concrete.overlap)


def test_the_work_of_the_list_adds_up(make_result):
    result = lay_pad(make_result, ridge=0.04, trough=0.03)
    shaved, filled = result.work.fixes

    assert_allclose(result.outcome.must.volume, result.concrete.volume + shaved.volume)
    assert_allclose(result.outcome.all.volume, result.outcome.must.volume - filled.volume)
    assert (result.outcome.must.lines, result.outcome.all.lines) == ((1,), (1, 2))


@pytest.mark.parametrize("seed", range(4))
def test_the_work_on_any_base_adds_up(make_result, seed):
    rng = np.random.default_rng(seed)
    shots = np.column_stack([rng.uniform(-1, (13, 10), (150, 2)), rng.normal(100, 0.02, 150)])
    result = make_result(shots, EDGE, 100.15, base_high=0.01, base_low=0.01, ids=False, costs=COSTS)
    outcome, work, before = result.outcome, result.work, result.concrete.volume
    cuts = [fix for fix in work.fixes if fix.call == "fix" and not fix.is_fill]
    filled = sum(fix.volume for fix in work.fixes if fix.rank in outcome.all.lines and fix.is_fill)
    filled -= sum(work.fixes[rank - 1].volume for rank in outcome.part_filled)
    filled += sum(haul.volume for haul in work.hauls if haul.target in outcome.part_filled)

    assert result.concrete.overlap == 0
    assert len(cuts) > 2
    assert_allclose(outcome.must.volume - before, sum(fix.volume for fix in cuts if fix.is_must))
    assert_allclose(
        outcome.all.volume - before, sum(fix.volume for fix in cuts) - filled, atol=1e-9
    )


def test_a_place_takes_no_more_than_the_cuttings_brought_to_it(make_result):
    result = lay_pad(make_result, ridge=0.04, trough=0.06)
    whole = result.outcome.all

    assert_allclose(whole.volume, result.concrete.volume)  # what is cut here is filled there
    assert whole.lines == (1, 2)
    assert result.outcome.part_filled == whole.if_filled.lines == (2,)
    shaved, filled = result.work.fixes
    assert_allclose(whole.if_filled.volume, result.concrete.volume + shaved.volume - filled.volume)


def test_bought_material_fills_all_of_a_place_and_a_poured_one_is_not_filled(make_result):
    costs = [replace(COSTS, concrete=price) for price in (2000.0, 20.0)]
    dear, cheap = (lay_pad(make_result, ridge=0.04, trough=0.06, costs=c) for c in costs)

    assert_allclose(dear.outcome.all.volume, dear.outcome.must.volume - dear.work.fixes[1].volume)
    assert cheap.work.fixes[1].call == "pour"
    assert cheap.outcome.all == cheap.outcome.must
    assert (dear.outcome.all.if_filled, cheap.outcome.all.if_filled) == (None, None)


def test_lines_that_overlap_count_once(make_result):
    result = lay_pad(make_result, ridge=0.04)
    (fix,) = result.work.fixes
    twice = replace(result.work, fixes=(fix, replace(fix, rank=2)))
    outcome = measure_outcome(twice, result.field, None, result.slab, volume=result.concrete.volume)

    assert outcome.must is not None
    assert outcome.must.lines == (1, 2)
    assert_allclose(outcome.must.volume, result.outcome.must.volume)


def test_a_base_without_work_has_no_figure_after_it(make_result):
    result = lay_pad(make_result)

    assert result.outcome == Outcome()
    assert "after_work" not in present(result)
    assert (say_outcome(result), tell_after_work(result)) == ("", ())


def test_the_ridge_of_the_apron_is_shaved_and_its_cuttings_lie_in_the_corner(loading):
    must, whole = loading.outcome.must, loading.outcome.all
    ridge, corner = loading.work.fixes[1], loading.low.listed[0]

    assert (must.lines, whole.lines) == ((2,), (2, 3))
    # without the suspect shot the surface is the one that the work is laid out on
    without = loading.volume_without_suspects
    assert_allclose(must.without_suspects, without + ridge.volume)
    assert_allclose(whole.without_suspects, without)  # all that is shaved fills the corner
    # by all shots the ridge is higher beside the suspect one, and more of it goes
    assert ridge.volume < must.volume - loading.concrete.volume < ridge.volume + 0.05 * CUBIC_YARD
    assert_allclose(must.volume - whole.volume, ridge.volume)
    # if 41 is right, what it makes is shaved, and nothing is shaved twice
    thin = loading.work.fixes[0]
    assert must.if_right.lines == whole.if_right.lines == (1,)
    assert 0.9 * thin.volume < must.if_right.volume - must.volume <= thin.volume
    outlines = [join_rings(fix.rings) for fix in (thin, ridge)]
    assert outlines[0].intersection(outlines[1]).area > 0.01
    # no costs are given: whether the rest of the corner is filled is not for the tool to say
    assert whole.if_filled.lines == (3,)
    room = whole.volume + ridge.volume - corner.volume
    assert_allclose(whole.if_filled.volume, room, atol=0.01 * CUBIC_YARD)


def test_the_recheck_of_the_apron_finds_what_the_work_was_to_leave(loading, check_sample):
    # 41 was wrong; the corner took the cuttings; the interval's own parts: 0.2 yd³
    reworked = check_sample("apron/job_rechecked.toml").concrete.volume
    assert abs(loading.outcome.all.without_suspects - reworked) < 0.2 * CUBIC_YARD


def test_the_result_holds_each_figure_in_its_units(loading):
    shown = present(loading)["after_work"]

    assert_allclose(shown["must"]["volume"], loading.outcome.must.volume / CUBIC_YARD, atol=1e-6)
    assert_allclose(
        shown["must"]["change"],
        shown["must"]["volume"] - loading.concrete.volume / CUBIC_YARD,
        atol=2e-6,
    )
    assert shown["all"]["if_right"]["lines"] == [1]
    assert shown["all"]["if_filled"]["lines"] == [3]
    assert "if_filled" not in shown["must"]


def briefly(result):
    (topic,) = tell_after_work(result)
    told = topic.find("after_work.volume")
    return "" if told is None else str(told.short)


def test_the_figures_after_the_work_carry_the_digits_of_the_stated_one(loading, priced):
    assert say_outcome(loading) == (
        "Once row 2 is shaved: 73.0 yd³. Once row 2 is shaved and row 3 filled as far as cuttings "
        "reach: 72.8 yd³. If shot 41 is wrong: 73.4, then 73.1 yd³. If shot 41 is right and "
        "row 1 is shaved too: 73.1, then 72.9 yd³. If row 3 is filled to the design base: 71.1 "
        "yd³. "
        f"{RECHECK}"
    )
    assert briefly(priced) == "After row 2: 73.0 yd³. After rows 2 and 3: 72.8. Then reshoot"
    assert "If row 3 is filled" not in say_outcome(priced)


def test_each_figure_after_the_work_says_where_its_number_stands(loading):
    (topic,) = tell_after_work(loading)
    view, told = present(loading), []
    for part in (part for said in topic.statements for part in said.full.parts):
        if not isinstance(part, str):
            value = view
            for key in part.key.split("."):
                value = value[key]
            assert f"{value:.1f}" == part.text.removesuffix(" yd³")
            told.append(part.key)
    assert len(set(told)) == len(told) == 7


def test_what_rests_on_suspect_shots_alone_is_only_told_with_an_if(loading):
    work = replace(loading.work, fixes=loading.work.fixes[:1], hauls=())
    outcome = measure_outcome(
        work, loading.field, None, loading.slab, volume=loading.concrete.volume
    )
    alone = replace(loading, work=work, outcome=outcome)

    assert outcome.must is not None
    assert outcome.must.lines == ()
    assert_allclose(outcome.must.volume, loading.concrete.volume)
    assert briefly(alone) == ""
    assert say_outcome(alone) == (f"If shot 41 is right and row 1 is shaved: 72.8 yd³. {RECHECK}")


@pytest.mark.parametrize(
    ("ranks", "said"),
    [
        ([2], "row 2 is shaved"),
        ([1, 2], "rows 1 and 2 are shaved"),
        ([1, 3, 4], "rows 1, 3 and 4 are shaved"),
        ([1, 2, 3, 5], "rows 1 to 3 and 5 are shaved"),
    ],
)
def test_lines_in_a_row_are_told_from_and_to(make_result, ranks, said):
    result = lay_pad(make_result, ridge=0.04)
    (fix,) = result.work.fixes
    fixes = tuple(
        replace(fix, rank=rank, call="fix" if rank in ranks else "leave") for rank in range(1, 6)
    )
    work = replace(result.work, fixes=fixes)
    volume = result.concrete.volume
    outcome = measure_outcome(work, result.field, None, result.slab, volume=volume)
    done = replace(result, work=work, outcome=outcome)
    assert say_outcome(done).startswith(f"Once {said}: ")
    assert briefly(done).startswith("After all rows: " if len(ranks) > 1 else "After row 2: ")
    musts = tell_work(done)[0].find("work.must")
    assert musts is not None
    assert str(musts.short).startswith("do rows 1 to 5 before the pour")


def test_what_is_best_left_and_how_far_it_is_off_are_kept_apart(make_result):
    result = lay_pad(make_result, ridge=0.04)
    (fix,) = result.work.fixes
    assert str(tell_fix(replace(fix, call="leave"), result).short).startswith("Leave: up to 40 mm")


@pytest.mark.parametrize(("ridge", "said"), [(0.04, "fix row 1 first (16."), (0.015, "")])
def test_an_order_says_what_of_the_fix_list_changes_it(make_result, ridge, said):
    bare = lay_pad(make_result, ridge=ridge)
    # steps of 0.5 m³: the one ridge takes more from the concrete, the other less
    delivery = plan_delivery(Terms(waste=0.02), bare.concrete, None, is_metric=True, level=0.9)
    result = replace(bare, delivery=delivery)
    (topic,) = tell_order(result)
    told = {statement.key: str(statement.short) for statement in topic.statements}
    assert said in told["order.slip"]
    assert ("fix row" in told["order.slip"]) == bool(said)
    assert ("for the base as it is now" in told["order.volume"]) == bool(said)
