"""What is needed, and what small pours leave of a remainder."""

import math

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import integrate, stats

from gradevol.answer.said.order_basis import say_volume
from gradevol.ground.units import Units
from gradevol.job.terms import Pump, SmallPour, Terms
from gradevol.plan.order import place_order
from gradevol.plan.order.need import measure_need
from gradevol.plan.order.normal import Normal
from gradevol.plan.order.surplus import ALL, Remains, fill, fill_all
from gradevol.uncertainty.mixture import Mixture
from tests.small_order import BASES, PAD, concrete_of
from tests.unit.ordering.conftest import remaining_by_counting

# the need


def test_the_lines_of_the_need_add_up_to_it():
    terms = Terms(
        waste=0.03, settlement=0.01, yield_short=0.005, pump=Pump(line=30.48, diameter=0.127)
    )
    need = measure_need(concrete_of(50.0, ("beam", 2.0)), terms, survey_sd=0.5)
    assert [line.kind for line in need.lines] == [
        *("slab", "part", "waste", "settlement", "yield_short", "pump line"),
    ]
    assert need.mean == pytest.approx(sum(line.volume for line in need.lines), abs=1e-12)
    assert need.mean == pytest.approx(52 * 1.045 + math.pi / 4 * 0.127**2 * 30.48, abs=1e-12)


def test_allowances_without_a_sigma_are_unsure_by_half_of_themselves():
    need = measure_need(concrete_of(100.0), Terms(waste=0.04), survey_sd=1.5)
    assert need.allowance_sd == pytest.approx(2.0)
    assert need.spread is not None
    assert need.spread.sd == pytest.approx(2.5)


def test_an_allowance_that_is_not_given_is_not_in_the_need():
    need = measure_need(concrete_of(100.0), Terms(risk=0.1), survey_sd=1.0)
    assert need.mean == 100.0
    assert not need.has_allowance
    assert need.allowance_sd == 0.0


def test_a_need_is_spread_about_where_the_shots_put_its_middle():
    need = measure_need(concrete_of(50.0), Terms(risk=0.05), survey_sd=1.0, off=3.0)
    assert need.mean == 50.0
    found = need.find_range(0.9)
    assert found is not None
    low, high = found
    assert low == 50.0  # what is stated lies within
    assert high == pytest.approx(stats.norm(53, 1).ppf(0.95))
    order = place_order(need, Terms(risk=0.05), is_metric=True, level=0.9)
    assert order.choice.volume == 55.0
    assert order.choice.chance_short == pytest.approx(stats.norm(53, 1).sf(55.0))


def test_a_longer_tail_of_the_interval_decides_by_risk():
    tailed = Mixture(np.array([0.9, 0.1]), np.zeros(2), np.array([0.5, 4.0]))
    sd = math.sqrt(tailed.variance)
    terms = Terms(risk=0.01, step=0.01)
    need = measure_need(concrete_of(50.0), terms, survey_sd=sd, survey=tailed)
    order = place_order(need, terms, is_metric=True, level=0.9)
    short = 0.9 * stats.norm(0, 0.5).sf(order.choice.volume - 50)
    short += 0.1 * stats.norm(0, 4).sf(order.choice.volume - 50)
    assert 0.0099 < short <= 0.01
    assert order.choice.volume > 50 + sd * stats.norm.ppf(0.99) + 1
    assert "make a large shortfall more probable" in say_volume(order, Units.of_job("m"))


def test_an_order_by_risk_is_never_less_than_the_stated_volume():
    need = measure_need(concrete_of(50.2), Terms(risk=0.05), survey_sd=1.0, off=-4.0)
    assert place_order(need, Terms(), is_metric=True, level=0.9).choice.volume == 50.5
    found = need.find_range(0.9)
    assert found is not None
    assert found[1] == 50.2


# the normal distribution, by quadrature


@pytest.mark.parametrize("low", [-9.0, -1.3, 0.2, 2.5])
@pytest.mark.parametrize("high", [0.5, 3.0, math.inf])
def test_partial_means_are_those_of_quadrature(low, high):
    normal = Normal(0.4, 1.3)
    if high <= low:
        assert normal.partial_mean(low, high) == 0.0
        return
    density = stats.norm(0.4, 1.3).pdf
    end = min(high, 0.4 + 12 * 1.3)
    wanted, _ = integrate.quad(lambda x: (x - low) * density(x), low, end, limit=200)
    assert_allclose(normal.partial_mean(low, high), wanted, atol=1e-9)
    assert_allclose(
        normal.chance_between(low, high), integrate.quad(density, low, end)[0], atol=1e-9
    )


def test_a_figure_that_is_known_has_no_chance_of_anything_else():
    known = Normal(3.0, 0.0)
    assert known.chance_above(2.9) == 1.0
    assert known.chance_above(3.1) == 0.0
    assert known.partial_mean(1.0, math.inf) == pytest.approx(2.0)


@pytest.mark.parametrize("seed", range(6))
def test_what_remains_is_what_counting_leaves(seed):
    random = np.random.default_rng(seed)
    pours = [
        SmallPour(
            "x", float(random.uniform(0.2, 2)), int(random.integers(1, 5)), bool(random.integers(2))
        )
        for _ in range(3)
    ]
    stretches = fill_all(pours)[-1]
    for left in random.uniform(0, 15, 200):
        held = [s for s in stretches if s.start <= left < s.end]
        remains = held[0].rest + left - held[0].start if held else 0.0
        assert len(held) <= 1
        assert remains == pytest.approx(remaining_by_counting(left, pours), abs=1e-9)


def test_expected_remains_are_those_of_quadrature():
    pours = (PAD, BASES)
    left = Normal(1.4, 0.9)
    x = np.linspace(0, 12, 200_001)
    counted = np.array([remaining_by_counting(value, pours) for value in x])
    wanted = integrate.trapezoid(counted * stats.norm(1.4, 0.9).pdf(x), x)
    remains = Remains(fill_all(pours)[-1])
    assert_allclose(remains.expect(left), wanted, atol=1e-4)  # its jumps
    much = stats.norm(1.4, 0.9).pdf(x)[counted >= 0.2].sum() * (x[1] - x[0])
    assert_allclose(remains.chance_of(0.2, left), much, atol=1e-4)


def test_what_remains_of_all_is_the_partial_mean():
    for left in (Normal(-2.0, 1.1), Normal(0.3, 0.2), Normal(4.0, 0.0)):
        assert_allclose(Remains(ALL).expect(left), left.partial_mean(0.0, math.inf), atol=1e-9)


def test_a_pour_that_can_stop_part_way_leaves_nothing_until_it_is_full():
    (after,) = fill(ALL, SmallPour("slab", 2.0, is_partial=True))
    assert (after.start, after.rest) == (2.0, 0.0)
