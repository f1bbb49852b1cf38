"""The study of what is hard, a few of its cases: what the method was mended for."""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

STUDIES = Path(__file__).parents[2] / "docs" / "studies"


@pytest.fixture(scope="module")
def hard():
    sys.path.insert(0, str(STUDIES))
    try:
        spec = importlib.util.spec_from_file_location("hard", STUDIES / "hard.py")
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules["hard"] = module
        spec.loader.exec_module(module)
        yield module
    finally:
        sys.path.remove(str(STUDIES))
        sys.modules.pop("hard", None)
        sys.modules.pop("hard_bases", None)


def ask(hard, kind, design, seed):
    made = hard.make_slab(np.random.default_rng([5, seed]), kind, design, shared=False)
    return hard.ask(made)


@pytest.fixture(scope="module")
def rows(hard):
    """Eight cases of each of two kinds under rows of shots."""
    return {
        kind: [ask(hard, kind, design, seed) for design in hard.DESIGNS[1:3] for seed in range(4)]
        for kind in ("ruts", "low at forms")
    }


@pytest.mark.parametrize("kind", ["ruts", "low at forms"])
def test_rows_over_what_is_hard_hold_the_truth(hard, rows, kind):
    """Six of eight at least where nine in ten are asked for: fewer come once in thirty."""
    assert sum(case.holds() for case in rows[kind]) >= 6
    assert hard.width(rows[kind]) < 1.6


def test_an_interval_of_a_third_of_the_width_would_not_do(hard, rows):
    held = 0
    for case in (case for cases in rows.values() for case in cases):
        middle = (case.interval.low + case.interval.high) / 2
        held += abs(case.truth - middle) / hard.YARD <= case.half / 3
    assert held < 12


def test_rows_are_noted_and_scattered_shots_are_not(hard):
    rows, scattered = (ask(hard, "smooth", design, 1) for design in ("grid 8 ft", "200 shots"))
    assert "interval-rows" in [note.code for note in rows.interval.notes]
    assert scattered.interval.notes == ()


def test_every_kind_is_of_the_size_that_is_said(hard):
    cells = (np.arange(60) + 0.5) / 60
    east, north = (grid.ravel() for grid in np.meshgrid(*(cells * s for s in hard.SIZE)))
    for kind in hard.KINDS:
        for seed in range(3):
            base = hard.invent(np.random.default_rng(seed), kind)
            spread = base(east, north).std() / hard.INCH
            assert spread < 1.0
            assert spread > 0.08 or kind == "perfect"
