"""The interval must hold the truth as often as it says: a part of the study in interval.py."""

import numpy as np
import pytest

#: Six of every kind of base in every layout, half of them with shared errors.
CASES = 144
#: What the method must hold over all cases, and at least in every class, per cent.
BANDS = {0.5: (45, 58), 0.8: (76, 86), 0.9: (86, 95)}
LEAST = {0.8: 70, 0.9: 80}


@pytest.fixture(scope="module")
def cases(study):
    return list(study.run_cases(CASES, 2025, counts=(25, 40, 60, 100, 200)))


@pytest.fixture(scope="module")
def land(study):
    """Patches of elevation models that matplotlib ships, scaled to slabs."""
    return list(study.run_cases(96, 2025, counts=(25, 40, 60, 100), kinds=tuple(study.LAND)))


def slack(share, count):
    """Two standard deviations of a share of `count` cases, per cent: the study has many more."""
    return 200 * np.sqrt(share * (1 - share) / count)


@pytest.mark.parametrize("level", [0.5, 0.8, 0.9])
def test_the_truth_is_held_as_often_as_the_level_says(study, cases, level):
    held = 100 * np.mean([study.holds(case, level) for case in cases])
    low, high = BANDS[level]
    assert low - slack(low / 100, CASES) <= held <= high + slack(high / 100, CASES)


@pytest.mark.parametrize("level", [0.8, 0.9])
def test_no_class_of_bases_is_left_out(study, cases, level):
    for name, some in study.groups(cases):
        held = 100 * np.mean([study.holds(case, level) for case in some])
        assert held >= LEAST[level] - slack(LEAST[level] / 100, len(some)), name


def test_intervals_are_no_wider_than_one_width_for_all_would_have_to_be(study, cases):
    """The best constant width is known only after the fact; the mean width must keep up with it."""
    for errors in ("single", "shared"):
        some = [case for case in cases if case.errors == errors]
        off = [1000 * abs(case.truth - case.interval.stated) / case.area for case in some]
        assert np.mean([study.width(case, 0.9) for case in some]) < 1.25 * np.quantile(off, 0.9)


def test_a_method_that_halves_its_widths_would_not_pass(study, cases):
    """The bounds above can fail: an interval half as wide holds far too little."""
    held = 0
    for case in cases:
        low, high = study.find_bounds(case.interval.volume, case.interval.stated, 0.9)
        middle, half = (low + high) / 2, (high - low) / 4
        held += abs(case.truth - middle) <= half
    assert 100 * held / CASES < BANDS[0.9][0] - slack(0.86, CASES)


@pytest.mark.parametrize("level", [0.8, 0.9])
def test_shapes_of_real_land_are_held_as_often(study, level, land):
    held = 100 * np.mean([study.holds(case, level) for case in land])
    low, high = BANDS[level]
    assert low - slack(low / 100, len(land)) <= held <= high + slack(high / 100, len(land))
