"""Clean surveys are left alone and slips found, as often as is said: a part of suspects.py."""

import numpy as np
import pytest

CASES = 600


@pytest.fixture(scope="module")
def cases(study):
    return list(study.run_cases(CASES, 2025))


def slack(share, count):
    """Two standard deviations of a share of `count` cases."""
    return 2 * np.sqrt(share * (1 - share) / count)


def test_no_more_clean_surveys_are_accused_than_is_said(study, cases):
    assert study.share_accused(cases) < 0.05 + slack(0.05, CASES)


def test_where_half_of_the_base_is_rough_few_clean_surveys_are_accused(study, cases):
    some = [case for case in cases if case.kind == "half rough"]
    assert study.share_accused(some) < 0.08 + slack(0.08, len(some))


@pytest.mark.parametrize(
    ("slip", "least"),
    [("0.1 ft", 0.60), ("digits", 0.88), ("1 ft", 0.99), ("rod", 0.98), ("stake", 0.91)],
)
def test_slips_are_found_as_often_as_is_said(study, cases, slip, least):
    assert study.share_found(cases, slip) > least - slack(least, CASES)


def test_slips_are_named_and_the_ground_is_not(study, cases):
    assert study.share_named(cases, "digits")[0] > 0.9
    assert study.share_named(cases, "0.1 ft")[0] > 0.75
    share, count = study.share_named(cases)
    assert share * count < 0.02 * CASES


def test_a_screen_that_sees_nothing_would_not_pass(study, cases):
    """The bounds above can fail: the slips that are hardest to see are not all found."""
    assert study.share_found(cases, "0.1 ft") < 0.8
    assert study.share_accused(cases) > 0.005
