import numpy as np
import pytest

from gradevol.geometry.normal import chance_below
from gradevol.uncertainty.mixture import Mixture


def test_a_mixture_of_one_is_the_normal_distribution():
    one = Mixture(np.array([1.0]), np.array([3.0]), np.array([2.0]))
    # standard tables: 1.644854 standard deviations leave 5 % above
    assert one.quantile(0.95) == pytest.approx(3 + 2 * 1.644854, abs=1e-5)
    assert one.chance_below(3 + 2 * 1.959964) == pytest.approx(0.975, abs=1e-6)
    assert one.widen(1.5).variance == pytest.approx(2**2 + 1.5**2)
    assert one.turn(10.0).quantile(0.05) == pytest.approx(7 - 2 * 1.644854, abs=1e-5)


def test_a_mixtures_variance_holds_the_spread_of_its_means():
    two = Mixture(np.array([0.5, 0.5]), np.array([-1.0, 1.0]), np.array([1.0, 2.0]))
    assert two.middle == 0
    assert two.variance == pytest.approx(0.5 * (1 + 4) + 1)
    assert two.chance_below(two.quantile(0.3)) == pytest.approx(0.3)


@pytest.mark.parametrize(("mean", "sd"), [(1257.0, 0.1), (1e6, 1e-9), (5.0, 0.0), (0.0, 1e-300)])
def test_a_quantile_is_found_in_few_steps_however_narrow_the_mixture(monkeypatch, mean, sd):
    asked = []

    def count(off):
        asked.append(off)
        return chance_below(off)

    monkeypatch.setattr("gradevol.uncertainty.mixture.chance_below", count)
    found = Mixture.of_one(mean, sd).quantile(0.95)
    assert found == pytest.approx(mean + 1.644854 * sd, abs=1e-5 * sd + 1e-9)
    assert len(asked) < 60


def test_a_quantile_between_two_peaks_far_apart_is_found():
    two = Mixture(np.array([0.3, 0.7]), np.array([0.0, 1000.0]), np.array([1e-3, 1e-3]))
    for chance in (0.05, 0.299, 0.301, 0.95):
        assert two.chance_below(two.quantile(chance)) == pytest.approx(chance, abs=1e-6)
