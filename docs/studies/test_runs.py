"""Runs of shots are told as often as is said, and clean surveys left alone: a part of runs.py."""

import numpy as np
import pytest


@pytest.fixture(scope="module")
def floors(study):
    return [told for _, told in study.run_floors(30, 2027)]


@pytest.mark.parametrize(
    ("slip", "least"), [("bump 0.1 ft", 0.46), ("bump 0.2 ft", 0.79), ("6 shots 0.2 ft", 0.85)]
)
def test_runs_are_told_as_often_as_is_said(floors, slip, least):
    share = np.mean([told[slip] for told in floors])
    assert share > least - 2 * np.sqrt(least * (1 - least) / len(floors))


def test_few_clean_surveys_are_asked_about_and_the_look_is_not_blind(floors):
    clean = np.mean([told["clean"] for told in floors])
    assert clean < 0.01 + 2 * np.sqrt(0.01 / len(floors))
    assert np.mean([told["bump 0.05 ft"] for told in floors]) < 0.3
