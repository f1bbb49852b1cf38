"""The forecast of a pour must hold the day as often as it says: a part of the study in pour.py."""

import numpy as np
import pytest

DAYS = 500


@pytest.fixture(scope="module")
def days(study):
    return study.invent_days(DAYS, 7)


@pytest.mark.parametrize("after", [1, 3, 5, -1])
def test_the_day_is_held_as_often_as_the_level_says(study, days, after):
    some = [day for day in days if len(day.steps) >= max(after, 1)]
    held = 100 * np.mean([study.holds(day, after, 0.9) for day in some])
    slack = 200 * np.sqrt(0.09 / len(some))  # two standard deviations of such a share
    assert 86 - slack <= held <= 94 + slack


def test_the_balance_called_costs_less_than_by_the_other_ways(study, days):
    found = study.judge(days)
    ours = found.pop("gradevol pour").cost
    assert all(ours < other.cost for other in found.values())


def test_a_method_that_halves_its_widths_would_not_pass(study, days):
    close = [
        abs(day.total - study.look(day, 3).total) <= study.look(day, 3).total_sd * 0.82
        for day in days
    ]
    assert 100 * np.mean(close) < 80
