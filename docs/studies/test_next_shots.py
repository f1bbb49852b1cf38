"""Next shots must gain about what is said, and more than others: a part of next_shots.py."""

import pytest

CASES, SHOTS = 40, 30


@pytest.fixture(scope="module")
def cases(study):
    return study.run_cases(CASES, SHOTS)


def test_the_interval_narrows_as_far_as_is_said_on_the_mean(study, cases):
    """Further, for the shots also tell what kind of base it is, which is not counted on."""
    assert len(cases["volume"]) > CASES / 2
    assert 0.7 < study.ratio(cases["volume"], "came", "said") < 1.05


def test_shots_for_the_volume_narrow_it_more_than_shots_at_random(study, cases):
    assert study.ratio(cases["volume"], "came", "random") < 0.85


def test_as_much_is_settled_as_is_said_on_the_mean(study, cases):
    assert len(cases["thin"]) > CASES / 2
    assert 0.7 < study.ratio(cases["thin"], "came", "said") < 1.3


def test_shots_for_thin_concrete_settle_more_than_shots_at_random(study, cases):
    thin = cases["thin"]
    assert study.ratio(thin, "random", "now") < 1
    assert study.ratio(thin, "came", "random") < 0.9
