"""A few cases of the studies in docs/studies; these hold far more: `pytest docs/studies`."""

from importlib import import_module
from pathlib import Path

import numpy as np
import pytest

STUDIES = Path(__file__).parents[2] / "docs" / "studies"


@pytest.fixture(scope="module")
def load():
    """Load a study; its true bases are laid out in far fewer cells, which is quick."""
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(STUDIES)
        patch.setattr(import_module("interval"), "DENSE", 50)
        yield import_module


def test_intervals_hold_the_truth_neither_too_seldom_nor_too_often(load):
    """Intervals half as wide would hold 10 of these 24 at 80 %, and twice as wide all at 50 %."""
    study = load("interval")
    cases = list(study.run_cases(24, 2025, counts=(25, 40)))
    assert sum(study.holds(case, 0.8) for case in cases) > 16
    assert 7 < sum(study.holds(case, 0.5) for case in cases) < 22  # 68 % in the study


def test_as_much_is_thin_as_is_expected_and_more_than_is_seen(load):
    study = load("thin")
    cases = list(study.run_cases(12, 2025, counts=(25, 40)))
    true, seen, expected = (
        sum(values)
        for values in zip(*((c.thin, c.seen, c.hidden.area) for c in cases), strict=True)
    )
    assert 0.85 < expected / true < 1.15
    assert seen / true < 0.85
    assert sum(study.holds(case) for case in cases) > 9
    for place in (0, 1):
        said = [case.hidden.acceptance[place].chance for case in cases]
        assert np.corrcoef(said, [case.failed[place] for case in cases])[0, 1] > 0.8
