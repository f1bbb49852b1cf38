"""The forecast of a pour, for any pour: what more loads do to it, and what is out of line."""

import runpy
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gradevol.after.forecast import forecast
from gradevol.after.joint import Joint, Noise, Prior
from gradevol.after.steps import Step
from gradevol.files.tickets.loads import Load

PRIOR = Prior(1.025, 0.01, 56.0, 0.0, 0.75, 0.3)
NOISE = Noise()


def pour(factor, *, loads=6, off=None):
    """Steps of a pour of 56 m³ whose fronts say just one factor, or are off it by so much."""
    off = off or {}
    made = []
    for number in range(1, loads + 1):
        ticketed = 7.65 * number
        behind = ticketed / factor + off.get(number, 0.0)
        load = Load(line=number + 1, number=str(number), ticket="", volume=7.65)
        made.append(Step(load, ticketed, behind, behind / 56.0, 2.1))
    return made


factors = st.floats(1.0, 1.06)


@given(factors)
def test_more_loads_never_widen_what_is_not_out_of_line(factor):
    steps = pour(factor, loads=7)
    found = [forecast(steps[:count], PRIOR, NOISE) for count in range(8)]
    assert not found[-1].alerts
    widths = [each.total_sd for each in found]
    assert all(later <= before + 1e-12 for before, later in pairwise(widths))


@given(factors)
def test_the_forecast_lies_between_what_is_expected_and_what_the_loads_say(factor):
    found = forecast(pour(factor), PRIOR, NOISE)
    low, high = sorted((1.025, factor))
    assert 56 * low - 1e-6 <= found.total <= 56 * high + 1e-6


@given(factors)
def test_a_slab_that_is_full_has_taken_its_tickets(factor):
    steps = pour(factor)
    full = replace(steps[-1], ticketed=56 * factor, behind=56.0, share=1.0, grip=0.0)
    found = forecast([*steps, full], PRIOR, NOISE)
    assert found.total == pytest.approx(56 * factor, abs=0.1)
    assert found.total_sd < 1.01 * NOISE.held


@given(factors, st.integers(1, 6), st.sampled_from([-3.0, 3.0]))
def test_an_alert_widens_and_does_not_absorb(factor, at, off):
    steps = pour(factor, off={at: off})[:at]
    sound = forecast(pour(factor)[:at], PRIOR, NOISE)
    found = forecast(steps, PRIOR, NOISE)
    (alert,) = found.alerts
    assert alert.step is steps[-1]
    assert alert.verdict == "open"
    assert found.total_sd > sound.total_sd
    assert abs(found.total - sound.total) < abs(off)
    assert (alert.excess > 0) == (off < 0)


@pytest.mark.parametrize("off", [-3.0, 3.0])
def test_later_loads_tell_a_misread_front_from_lost_concrete(off):
    misread = forecast(pour(1.04, off={3: off}), PRIOR, NOISE)
    assert [alert.verdict for alert in misread.alerts] == ["front"]
    assert misread.total == pytest.approx(forecast(pour(1.04), PRIOR, NOISE).total, abs=0.3)
    lost = forecast(
        [
            replace(step, ticketed=step.ticketed - off * (number >= 3))
            for number, step in enumerate(pour(1.04), start=1)
        ],
        PRIOR,
        NOISE,
    )
    assert [alert.verdict for alert in lost.alerts] == ["concrete"]
    assert lost.total == pytest.approx(misread.total - off, abs=0.4)


@given(factors, st.integers(1, 6), st.sampled_from([-7.0, 4.0]))
def test_a_wrong_ticket_is_told_from_concrete_by_no_load_and_both_totals_are_right(factor, at, off):
    def forge(steps):
        return [
            replace(step, ticketed=step.ticketed + off * (number >= at))
            for number, step in enumerate(steps, start=1)
        ]

    sound = forecast(pour(factor), PRIOR, NOISE)
    found = forecast(forge(pour(factor)), PRIOR, NOISE)
    ways = {way.case: way for way in found.ways}
    assert {"slab", "ticket"} <= set(ways)
    assert ways["ticket"].total == pytest.approx(sound.total, abs=0.6)
    assert ways["slab"].total == pytest.approx(sound.total + off, abs=0.6)
    ((load, wrong),) = ways["ticket"].off
    assert load.number == str(at)
    assert wrong == pytest.approx(off, abs=0.6)
    # what is still to come after what came is the same, whichever of the two it is
    left = [ways[case].total - found.total for case in ("ticket", "slab")]
    assert left[0] + wrong == pytest.approx(left[1], abs=1e-6)


def test_the_joint_distribution_is_that_of_the_model():
    """Each cause is drawn by itself, and the covariances are those of what comes of them."""
    steps = pour(1.04, loads=3)
    rng, count = np.random.default_rng(3), 200_000
    behind = np.array([step.behind for step in steps])
    share = behind / 56.0

    def grow(at, variance):
        """Independent pieces, up to each place and to the end."""
        pieces = np.diff(np.concatenate([[0.0], at]))
        return np.cumsum(rng.standard_normal((count, len(at))) * np.sqrt(variance * pieces), axis=1)

    ends = np.append(share, 1.0)
    volumes = np.append(behind, 56.0)
    exact = (
        (1.025 + 0.01 * rng.standard_normal((count, 1))) * volumes
        + 0.75 * rng.standard_normal((count, 1)) * ends
        + grow(ends, 0.3**2)
        + grow(volumes, NOISE.per_volume)
    )
    seen = (
        exact[:, :3]
        + 2.1 * NOISE.face * rng.standard_normal((count, 1))
        + 2.1 * NOISE.front * rng.standard_normal((count, 3))
        + NOISE.held * rng.standard_normal((count, 3))
    )
    joint = Joint(steps, PRIOR, NOISE)
    drawn = np.cov(np.column_stack([seen, exact[:, 3]]).T)
    assert joint.cov == pytest.approx(drawn[:3, :3], rel=0.02)
    assert joint.with_total == pytest.approx(drawn[:3, 3], rel=0.02)
    assert joint.total_variance == pytest.approx(drawn[3, 3], rel=0.02)


def test_invented_days_are_held():
    """A handful of the days of docs/studies/pour.py."""
    study = runpy.run_path(str(Path(__file__).parents[2] / "docs" / "studies" / "pour.py"))
    days = study["invent_days"](60, 5)
    held = np.mean([study["holds"](day, 3, 0.9) for day in days])
    assert 0.8 <= held <= 0.99


@given(factors, st.integers(2, 4))
def test_two_tickets_in_a_row_that_are_wrong_are_no_misread_front(factor, at):
    """The second was held for the first one's front, whose misread went the other way."""
    made = [
        replace(step, ticketed=step.ticketed + 4.0 * max(0, min(number - at + 1, 2)))
        for number, step in enumerate(pour(factor), start=1)
    ]
    found = forecast(made, PRIOR, NOISE)
    assert [alert.step.load.number for alert in found.alerts] == [str(at), str(at + 1)]
    assert "front" not in [alert.verdict for alert in found.alerts]
    ways = {way.case: way.total for way in found.ways}
    sound = forecast(pour(factor), PRIOR, NOISE).total
    assert ways["slab"] == pytest.approx(sound + 8.0, abs=0.8)
    assert ways["ticket"] == pytest.approx(sound, abs=0.8)


@given(factors)
def test_no_front_is_held_for_misread_by_more_than_the_slab_is_long(factor):
    steps = pour(factor, loads=3)
    found = forecast([*steps[:2], replace(steps[2], ticketed=90.0)], PRIOR, NOISE)
    (alert,) = found.alerts
    assert (alert.may_be_misread, alert.verdict) == (False, "concrete")
    assert [way.case for way in found.ways] == ["slab", "ticket"]


@given(factors, st.integers(0, 6), st.floats(0, 2))
def test_what_stays_in_a_pump_is_ticketed_and_nothing_else_changes(factor, loads, held):
    steps = pour(factor, loads=loads)
    found = forecast(steps, PRIOR, NOISE)
    more = [replace(step, ticketed=step.ticketed + held) for step in steps]
    pumped = forecast(more, replace(PRIOR, pump=held), NOISE)
    assert pumped.total == pytest.approx(found.total + held)
    assert pumped.total_sd == pytest.approx(found.total_sd)
