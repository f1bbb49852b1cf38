"""What is ordered for a need, and in which loads it comes."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from gradevol.answer.said.order_basis import say_loads, say_volume
from gradevol.answer.said.slip import compose_slip, say_call_time
from gradevol.ground.units import CUBIC_YARD
from gradevol.job.terms import RISK, STEP_METRES, Costs, Terms
from gradevol.plan.order import place_order
from gradevol.plan.order.loads import Plant, plan_loads, time_call
from tests.small_order import BASES, COSTS, FEET, PAD, need_of, order_of, yards
from tests.unit.ordering.conftest import remaining_by_counting

# the order


@pytest.mark.parametrize(
    ("risk", "volume"), [(0.2, 76.0), (0.1, 76.5), (0.05, 77.0), (0.025, 77.5)]
)
def test_an_order_by_risk_is_the_quantile_rounded_up(risk, volume):
    order = order_of(Terms(risk=risk, step=0.25 * CUBIC_YARD))
    assert yards(order.choice.volume) == pytest.approx(volume, abs=1e-9)
    assert order.choice.chance_short <= risk < order.runner_up.chance_short


def test_without_a_risk_one_is_taken_and_told():
    order = order_of(Terms(waste=0.0))
    assert order.risk == RISK
    assert order.choice.chance_short <= RISK


@pytest.mark.parametrize(
    ("pours", "volume", "cost"),
    [((), 76.5, 519), ((PAD,), 76.75, 334), ((PAD, BASES), 77.0, 206)],
)
def test_small_pours_raise_the_order_of_least_cost_and_lower_its_cost(pours, volume, cost):
    # an invented job; costs by a sum over a fine lattice of needs
    order = order_of(Terms(costs=COSTS), *pours)
    assert yards(order.choice.volume) == pytest.approx(volume, abs=1e-9)
    assert order.choice.loss == pytest.approx(cost, abs=1.0)
    assert order.runner_up.loss >= order.choice.loss


def test_no_other_step_costs_less():
    order = order_of(Terms(costs=COSTS), PAD, BASES)
    needs = np.linspace(66, 84, 3601)
    weight = stats.norm(74.84, 1.27).pdf(needs) * (needs[1] - needs[0])

    def cost(volume):
        left = np.array(
            [
                yards(remaining_by_counting(max(x, 0) * CUBIC_YARD, (PAD, BASES)))
                for x in volume - needs
            ]
        )
        missing = np.maximum(needs - volume, 0)
        return weight @ (228 * left + 95 * missing + 1280 * (missing > 0))

    costs = {volume: cost(volume) for volume in np.arange(73, 81, 0.25)}
    assert min(costs, key=lambda volume: costs[volume]) == pytest.approx(yards(order.choice.volume))
    assert order.choice.loss == pytest.approx(min(costs.values()), abs=1.5)


def test_prices_in_another_currency_choose_the_same_order():
    assert COSTS.returned is not None
    assert COSTS.short is not None
    assert COSTS.short_rate is not None
    other = Costs(
        concrete=7.3 * COSTS.concrete,
        returned=7.3 * COSTS.returned,
        short=7.3 * COSTS.short,
        short_rate=7.3 * COSTS.short_rate,
    )
    first, second = (order_of(Terms(costs=costs), PAD, BASES) for costs in (COSTS, other))
    assert first.choice.volume == second.choice.volume
    assert second.choice.loss == pytest.approx(7.3 * first.choice.loss)


def test_an_accepted_risk_bounds_the_order_of_least_cost():
    order = order_of(Terms(costs=COSTS, risk=0.01))
    assert order.choice.chance_short <= 0.01
    assert order.runner_up.loss < order.choice.loss  # the cheaper one that is too risky is told
    assert order.choice.volume > order_of(Terms(costs=COSTS)).choice.volume


def test_prices_of_concrete_and_work_alone_decide_nothing():
    assert not Terms(costs=Costs(concrete=200.0)).is_order
    assert order_of(Terms(costs=Costs(concrete=200.0))).way == "risk"


def test_without_an_interval_no_chance_is_told_and_nothing_rounded_down():
    order = order_of(Terms(risk=0.05, costs=COSTS, truck=10 * CUBIC_YARD), need=need_of(sd=None))
    assert order.way == "mean"
    assert yards(order.choice.volume) == pytest.approx(75.0)
    assert (order.choice.chance_short, order.risk, order.staged) == (None, None, None)
    assert "margin not known" in compose_slip(order, FEET, title="Pad")


def test_an_order_that_is_a_whole_step_stays_as_it_is():
    order = order_of(Terms(step=0.5 * CUBIC_YARD), need=need_of(21.5, None))
    assert yards(order.choice.volume) == pytest.approx(21.5, abs=1e-12)


def test_metric_jobs_order_by_the_half_cubic_metre():
    order = place_order(need_of(20, 0.3), Terms(), is_metric=True, level=0.9)
    assert order.plant.step == STEP_METRES
    assert order.choice.volume % 0.5 == pytest.approx(0)


def test_no_load_of_a_plant_that_sells_in_another_unit_is_told_as_more_than_a_truck_brings():
    order = order_of(Terms(step=0.2, truck=8.0))  # in m3, of a job in feet
    slip = compose_slip(order, FEET, title="Pad")
    assert "x 10.47" in slip
    assert "trucks bring 10.47 yd³ at most" in say_loads(order, FEET)
    assert "in steps of 0.262 yd³" in say_volume(order, FEET)


def test_a_need_of_nothing_is_the_least_that_a_plant_sells():
    order = order_of(Terms(), need=need_of(0.0, 0.0))
    assert yards(order.choice.volume) == pytest.approx(0.25)


# loads


def test_every_order_is_brought_whole_and_within_limits():
    for truck, least in itertools.product((5, 10, 11.3), (None, 1, 3, 5)):
        plant = Plant(0.25, truck, least)
        for steps in range(1, 200):
            sent = plant.round_up(steps * 0.25)
            loads = plan_loads(sent, plant)
            assert sent >= steps
            assert sum(loads) == sent
            assert plant.most is not None
            assert max(loads) <= plant.most
            assert min(loads) >= plant.least
            assert len(loads) == math.ceil(sent / plant.most)
            assert sent == steps or not any(map(plant.can_bring, range(steps, sent)))


def test_the_load_before_the_last_gives_what_the_last_lacks():
    assert plan_loads(71 * 4, Plant(0.25, 10, 3)) == (*[40] * 6, 32, 12)


def test_no_load_is_small_where_an_order_can_be_split_otherwise():
    plant = Plant(0.5, 10, 1, short_load=4)
    assert plan_loads(24, plant) == (16, 8)
    assert plan_loads(21, plant) == (13, 8)
    assert plan_loads(6, plant) == (6,)
    assert [plant.lack(steps) for steps in (24, 21, 6)] == [0, 0, 1.0]


def test_the_fee_of_a_small_load_is_in_the_cost_and_said():
    costs = Costs(165 / CUBIC_YARD, "$", short=60, short_load=40 / CUBIC_YARD)
    small = need_of(2.5, 0.01)
    terms = Terms(costs=costs, truck=10 * CUBIC_YARD, short_load=4 * CUBIC_YARD)
    with_fee = order_of(terms, need=small)
    without = order_of(replace(terms, costs=replace(costs, short_load=None)), need=small)
    assert yards(with_fee.choice.volume) == pytest.approx(yards(without.choice.volume))
    assert with_fee.fee == pytest.approx(40 * (4 - yards(with_fee.choice.volume)))
    assert with_fee.choice.loss - without.choice.loss == pytest.approx(with_fee.fee)
    assert f"lacks: ${with_fee.fee:.0f}." in say_loads(with_fee, FEET)
    assert without.fee is None


def test_a_balance_is_not_held_where_it_would_pay_a_fee():
    terms = Terms(risk=0.05, truck=10 * CUBIC_YARD, step=0.5 * CUBIC_YARD)
    held = order_of(terms, need=need_of(21.0, 0.3))
    assert len(held.staged.go) == 2
    fair = order_of(replace(terms, short_load=4 * CUBIC_YARD), need=need_of(21.0, 0.3))
    assert [yards(load) for load in fair.staged.go] == pytest.approx([10])
    assert min(map(yards, fair.staged.balance)) > 3.999


def test_an_order_that_trucks_cannot_bring_is_raised():
    # two trucks bring 14 at least, one 10 at most
    terms = Terms(risk=0.5, truck=10 * CUBIC_YARD, least_load=7 * CUBIC_YARD)
    order = order_of(terms, need=need_of(12.0, 0.01))
    assert [yards(load) for load in order.loads] == pytest.approx([7, 7])


def test_without_a_truck_no_loads_are_planned():
    order = order_of(Terms())
    assert order.loads == ()
    assert order.staged is None


def test_sure_loads_go_and_the_balance_is_held():
    order = order_of(
        Terms(costs=COSTS, truck=10 * CUBIC_YARD, least_load=3 * CUBIC_YARD), PAD, BASES
    )
    staged = order.staged
    assert [yards(load) for load in staged.go] == pytest.approx([10] * 7)
    assert [yards(load) for load in staged.balance] == pytest.approx([7])
    assert (*staged.go, *staged.balance) == order.loads
    assert yards(staged.low) == pytest.approx(74.84 - 1.2816 * 1.27 - 70, abs=1e-3)
    assert staged.call_after == 6
    assert staged.call_at is None


def test_a_load_is_held_back_where_the_balance_would_be_under_the_least_load():
    order = order_of(
        Terms(risk=0.05, truck=10 * CUBIC_YARD, least_load=3 * CUBIC_YARD), need=need_of(71.0, 0.2)
    )
    assert len(order.staged.go) == 6
    assert [yards(load) for load in order.staged.balance] == pytest.approx([8.5, 3])


@pytest.mark.parametrize(
    ("sure", "notice", "spacing", "wanted"),
    [
        (7, 0.5, 1 / 3, (6, 7 / 3 - 0.5)),
        (7, None, 0.3, (6, None)),
        (1, None, None, (1, None)),
        (2, 2.0, 0.5, (0, -1.0)),
        (2, 1.0, 0.5, (1, 0.0)),
        (3, 0.0, 0.0, (3, 0.0)),
    ],
)
def test_the_balance_is_called_in_time(sure, notice, spacing, wanted):
    load, hours = time_call(sure, notice=notice, takes=spacing, spacing=spacing)
    assert load == wanted[0]
    assert hours == (None if wanted[1] is None else pytest.approx(wanted[1]))


@pytest.mark.parametrize(
    ("spacing", "rate", "wanted"),
    [
        (None, None, (6, None)),
        (1 / 3, None, (6, 7 / 3 - 0.5)),
        (None, 20.0, (7, 7 / 2 - 0.5)),  # as the crew places: half an hour for each
        (1 / 3, 20.0, (7, 7 / 2 - 0.5)),  # trucks wait for the crew
        (1 / 3, 60.0, (6, 7 / 3 - 0.5)),  # the crew waits for trucks
    ],
)
def test_the_balance_comes_as_fast_as_trucks_come_and_as_the_crew_places(spacing, rate, wanted):
    terms = Terms(truck=10 * CUBIC_YARD, notice=0.5, spacing=spacing)
    found = place_order(
        need_of(), terms, is_metric=False, level=0.9, rate=rate and rate * CUBIC_YARD
    )
    load, hours = wanted
    assert found.staged is not None
    assert found.staged.call_after == load
    assert found.staged.call_at == (None if hours is None else pytest.approx(hours))


def test_nothing_is_held_that_must_be_called_before_the_first_load():
    # with 4 h of notice for the eighth load the first seven are not yet on site: nothing is learned
    terms = Terms(risk=0.05, truck=10 * CUBIC_YARD, notice=4.0, spacing=1 / 3)
    order = order_of(terms)
    assert order.staged is None
    assert order.is_too_early
    assert "Order 77: 7 x 10 + 7." in compose_slip(order, FEET, title="x")
    assert "Nothing is held: with 4 h of notice and 20 min" in say_loads(order, FEET)
    assert not order_of(
        Terms(risk=0.05, truck=10 * CUBIC_YARD, notice=2.0, spacing=0.5)
    ).is_too_early


@pytest.mark.parametrize(
    ("start", "notice", "wanted"),
    [
        (7.0, 0.5, "by 8:50"),
        (23.0, 0.5, "by 0:50 the next day"),
        (None, 0.5, "by 110 min after load 1"),
        (None, 0.491, "by 110 min after load 1"),  # 110.5: never later than it is
    ],
)
def test_by_when_to_call_is_said(start, notice, wanted):
    terms = Terms(truck=10 * CUBIC_YARD, notice=notice, spacing=1 / 3, start=start)
    assert say_call_time(order_of(terms).staged, terms) == wanted
