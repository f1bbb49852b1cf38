"""Orders of whatever needs and terms: what holds for all of them."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gradevol.answer.said.slip import compose_slip
from gradevol.ground.units import Units
from gradevol.job.terms import Costs, SmallPour, Terms
from gradevol.plan.order import place_order
from gradevol.plan.order.need import Line, Need
from tests.conftest import examples

MEANS, SPREADS = st.floats(0.5, 400), st.floats(0.01, 8)
RISKS = st.floats(0.001, 0.5)
STEPS = st.sampled_from([0.1, 0.25, 0.5, 1.0])
POURS = st.lists(
    st.builds(SmallPour, st.just("pad"), st.floats(0.05, 5), st.integers(1, 4), st.booleans()),
    max_size=3,
)
PRICES = st.floats(1, 500)


def need_of(mean, sd):
    return Need((Line("slab", "slab", mean),), mean, mean, sd, 0.0)


def order_of(mean, sd, pours=(), **terms):
    return place_order(need_of(mean, sd), Terms(**terms), is_metric=True, level=0.9, pours=pours)


@given(MEANS, SPREADS, RISKS, STEPS)
def test_an_order_is_never_below_the_quantile_nor_a_step_above(mean, sd, risk, step):
    order = order_of(mean, sd, risk=risk, step=step)
    quantile = order.need.spread.quantile(1 - risk)
    assert order.choice.volume >= quantile - 1e-7
    assert order.choice.volume < max(quantile, 0) + step + 1e-6
    assert order.choice.volume / step == pytest.approx(round(order.choice.volume / step))


@given(MEANS, SPREADS, RISKS, RISKS, STEPS)
def test_less_risk_never_orders_less(mean, sd, first, second, step):
    low, high = sorted((first, second))
    bold = order_of(mean, sd, risk=high, step=step).choice
    careful = order_of(mean, sd, risk=low, step=step).choice
    assert careful.volume >= bold.volume
    assert careful.chance_short <= bold.chance_short + 1e-12
    assert careful.left_over >= bold.left_over - 1e-9


@given(MEANS, SPREADS, RISKS, STEPS, st.floats(4, 12), st.floats(0.1, 4), POURS)
def test_loads_add_up_to_the_order_and_keep_their_limits(mean, sd, risk, step, truck, least, pours):
    order = order_of(mean, sd, pours, risk=risk, step=step, truck=truck, least_load=least)
    assert sum(order.loads) == pytest.approx(order.choice.volume)
    assert order.choice.volume >= order.need.spread.quantile(1 - risk) - 1e-7
    assert max(order.loads) <= truck + 1e-9
    assert min(order.loads) >= least - 1e-9
    if order.staged is not None:
        assert (*order.staged.go, *order.staged.balance) == order.loads
        assert order.staged.balance
    assert len(compose_slip(order, Units.of_job("m"), title="Apron" * 30)) <= 300


@examples(40)
@example(87.0, 0.25, 1.0, 301.9197274417004, 598.115409473487, [SmallPour("pad", 1.0, 4, False)])
@given(st.floats(20, 90), st.floats(0.2, 3), PRICES, PRICES, st.floats(10, 3000), POURS)
def test_orders_by_cost_scale_with_the_currency_and_pours_never_cost(
    mean, sd, price, rate, short, pours
):
    def place(scale, pours):
        costs = Costs(concrete=scale * price, short=scale * short, short_rate=scale * rate)
        return order_of(mean, sd, pours, costs=costs, step=0.5).choice

    alone, with_pours = place(1.0, ()), place(1.0, pours)
    assert with_pours.loss <= alone.loss * (1 + 1e-5)
    assert place(8.0, pours).volume == with_pours.volume  # a power of two: no rounding
    assert 0 <= with_pours.unused <= with_pours.left_over + 1e-9


@given(MEANS, SPREADS, STEPS)
def test_left_over_less_missing_is_order_less_need(mean, sd, step):
    order = order_of(mean, sd, step=step)
    missing = order.need.spread.partial_mean(order.choice.volume, float("inf"))
    assert order.choice.left_over - missing == pytest.approx(order.choice.volume - mean, abs=1e-7)
