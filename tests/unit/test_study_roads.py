"""The studies' quick roads: each is run for a few cases, so that none breaks unseen.

What the studies must hold, over many cases, is in `docs/studies`, and run by hand.
"""

import runpy
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import numpy as np
import pytest

from docs.studies.fuzz_cases import find_cases

ROOT = Path(__file__).parents[2]
STUDIES = ROOT / "docs" / "studies"


@contextmanager
def beside_studies() -> Iterator[None]:
    """Let studies find one another, and forget them after: their names are plain words."""
    before = set(sys.modules)
    sys.path.insert(0, str(STUDIES))
    try:
        yield
    finally:
        sys.path.remove(str(STUDIES))
        for name in set(sys.modules) - before:
            if str(getattr(sys.modules[name], "__file__", "")).startswith(str(STUDIES)):
                del sys.modules[name]


@pytest.fixture(scope="module")
def use():
    """What a study offers, by its name."""

    def run(name: str) -> dict[str, object]:
        with beside_studies():
            return runpy.run_path(str(STUDIES / f"{name}.py"), run_name=name)

    return run


@pytest.mark.parametrize(
    ("name", "given", "rows"),
    [
        ("interval", "2 7", ["| all | 2 |", "| smooth | 1 |", "2 cases in"]),
        ("interval", "1 7 land", ["| all | 1 |", "| hills | 1 |"]),
        ("suspects", "6 7", ["| all | 6 |", "| half rough | 1 |", "| shots accused | n |"]),
        ("pour", "30 7", ["| load 1 | 30 |", "| gradevol pour |", "| straight line |"]),
        ("runs", "1 7", ["| all | 21 |", "| washboard | 1 |", "1 of each, seed 7"]),
        ("thin", "2 7", ["| all | 2 |", "| chance of a thin core, % |", "Nothing thin seen: "]),
    ],
)
def test_a_study_prints_its_tables(monkeypatch, capsys, name, given, rows):
    monkeypatch.setattr(sys, "argv", [f"{name}.py", *given.split()])
    with beside_studies():
        runpy.run_path(str(STUDIES / f"{name}.py"), run_name="__main__")
    printed = capsys.readouterr().out
    for row in rows:
        assert row in printed


def test_the_study_of_thin_concrete_asks_of_hidden_ridges_and_hard_bases(use):
    thin = use("thin")
    true, seen, hidden = thin["run_ridge"](np.random.default_rng([7, 9, 1]), 0.5)
    assert true > 4
    assert (seen, hidden.area < true) == (0, True)
    case = next(thin["run_hard"](1, 7))
    assert len(case.said) == len(case.happened) > 100
    assert thin["holds"](case)


def test_the_study_of_next_shots_takes_them_and_weighs_them_against_the_truth(use):
    study, rng = use("next_shots"), np.random.default_rng(3)
    cases = study["run_cases"](1, 20)
    assert [len(some) for some in cases.values()] == [1, 1]
    assert 0 < study["ratio"](cases["volume"], "came", "now") < 1
    made = next(made for made in study["hard"].make_slabs(1, 11) if made.kind == "short-range")
    gaps = study["find_gaps"](made.survey.points[:, :2], made.slab)
    assert gaps.shape == (study["NEXT"], 2)
    many = rng.uniform([0, 0], study["hard"].SIZE, (300, 2))
    few, all_over = (study["measure_wrong"](made, places, rng) for places in (gaps, many))
    assert 0 < all_over < 0.9 * few


def test_the_study_of_families_works_floors_off_and_shoots_what_is_asked_for(use, tmp_path):
    study = use("families")
    step, smooth = (
        study["run_floor"](np.random.default_rng([7, at]), family, tmp_path, is_worked=True)
        for at, family in ((0, "step"), (2, "smooth"))
    )
    for floor in (step, smooth):
        told, true, reshot, with_edge, _, left = floor.after
        for volume in (told, reshot, with_edge):
            assert abs(volume - true) < 0.01 * true
            assert abs(volume - true) < volume - left
    before, told, came, _ = step.halves
    assert max(told, came) < 0.9 * before
    assert study["tell_volume"]("all", [step, smooth]).startswith("| all | 2 | 100 |")
    assert study["tell_thin"]("all", [step, smooth]).count("|") == 9


def test_a_study_of_a_pour_can_fail(use):
    """An interval of no width holds no day."""
    study = use("pour")
    days = study["invent_days"](20, 7)
    assert sum(study["holds"](day, 3, 0.9) for day in days if len(day.steps) >= 3) > 10
    assert not any(study["holds"](day, 3, 1e-6) for day in days if len(day.steps) >= 3)


def test_roads_of_the_fuzz_come_to_something(tmp_path):
    cases = {case.name: case for case in find_cases(tmp_path / "files")}
    for name in ("level notes", "cores.csv after", "sheet.csv", "faces.stl"):
        road = cases[name].road
        assert road is not None
        told = road(tmp_path / "files" / cases[name].folder, True)
        assert told.volume or told.count or told.said, name


def test_the_fuzz_damages_files_and_judges_what_comes_of_it():
    done = subprocess.run(
        [sys.executable, str(STUDIES / "fuzz.py"), "--count", "4", "--only", "faces.ply"],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    assert "| all | 4 |" in done.stdout
