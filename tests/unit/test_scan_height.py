"""What a scan's height is worth: unchecked, or as control on the base or on form tops moves it."""

import shutil
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.statement import Weight
from gradevol.doubts.control import compare_tops
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job
from tests.conftest import look_coarsely

SITE = Path("sample_surveys/site_scan")
FOOT = 0.3048
LOW = 0.02  # ft, as sample_surveys/make_cloud.py has it
#: On forms of the invented shop floor, ft; the third stands beside a stake.
TOPS = [(1999.94, 5001), (1999.94, 5004), (1999.94, 5010), (1999.94, 5013), (2024.06, 5007)]


@pytest.fixture(scope="module")
def check(check_sample, tmp_path_factory):
    """Check the sample as it is, or with another control, once for each."""
    folder = tmp_path_factory.mktemp("scan")
    shutil.copy(SITE / "scan.laz", folder)
    shutil.copy(SITE / "control.csv", folder)
    rows = (f"{number},{north},{east},101.0" for number, (east, north) in enumerate(TOPS, 1))
    (folder / "tops.csv").write_text("\n".join(rows), encoding="utf-8")
    text = (SITE / "job.toml").read_text(encoding="utf-8")
    (line,) = [line for line in text.splitlines() if line.startswith("control")]

    @cache
    def run(control=""):
        if line.startswith(f"{control} ") and control:
            return check_sample("site_scan/job.toml")
        (folder / "job.toml").write_text(text.replace(line, control), encoding="utf-8")
        with look_coarsely():
            return check_job(read_job(folder / "job.toml"))

    return run


def find(answer, key):
    said = (said for topic in answer.topics for said in topic.statements)
    return next((each for each in said if each.key == key), None)


def test_a_scan_without_control_says_that_nothing_checked_its_height(check):
    result = check()
    answer = compose_answer(result)
    worth = FOOT / 96 * result.slab.area
    assert result.height is not None
    assert result.height.unchecked == pytest.approx(worth, rel=1e-9)
    assert answer.tree.survey.unchecked_volume == pytest.approx(worth / 0.9144**3, abs=0.001)
    said = find(answer, "survey.unchecked_volume")
    assert said is not None
    assert said.weight == Weight.ACTS
    assert "Nothing checked the scan's height: 1/8 in off all over is 0.28 yd³" in str(said.short)
    assert "base.control" in str(said.short)
    assert 'form tops with on = "tops"' in str(said.long)
    summary = " ".join(compose_summary(answer.title, answer.topics).split())
    assert "Nothing checked the scan's height: 1/8 in off all over is 0.28 yd³." in summary


@pytest.mark.parametrize("apply", [True, False])
def test_what_control_shifts_is_told_in_concrete(check, apply):
    plain = check().concrete.volume
    where = 'control = {{ shots = "control.csv", apply = {} }}'
    told = check(where.format(str(apply).lower()))
    applied = check(where.format("true")).concrete.volume
    answer = compose_answer(told)
    assert told.height is not None
    assert told.height.unchecked is None
    assert told.height.shifted == pytest.approx(applied - plain, abs=1e-9)
    said = find(answer, "survey.control")
    assert said is not None
    assert "up by 0.02 ft: 0.51 yd³ less concrete" in str(said.short)
    assert find(answer, "survey.unchecked_volume") is None
    control = answer.tree.survey.control
    assert control is not None
    assert control.applied == apply
    assert control.volume == pytest.approx(told.height.shifted / 0.9144**3, abs=0.001)


def test_a_shift_that_was_not_applied_is_settled_before_concrete_is_ordered(check):
    where = 'control = {{ shots = "control.csv", apply = {} }}\n[order]\nwaste = 0.02\n'
    asked, applied = (
        compose_answer(check(where.format(apply))).tree.order for apply in ("false", "true")
    )
    assert asked is not None
    assert applied is not None
    assert "settle the scan's height first (by control 0.51 yd3 less)" in asked.slip
    assert "scan's height" not in applied.slip


def test_form_tops_tell_the_height_of_a_scan(check):
    result = check('control = { shots = "tops.csv", on = "tops", apply = true }')
    assert result.survey.shift is not None
    assert result.survey.shift.by == pytest.approx(LOW * FOOT, abs=0.0015)
    (off,) = [note for note in result.notes if note.code == "control-off-cloud"]
    assert off.points == ("3",)
    assert "shows another thing" in off.text


def test_form_tops_taken_for_base_would_be_compared_with_the_ground(check):
    result = check('control = { shots = "tops.csv" }')
    assert result.survey.shift is not None
    assert result.survey.shift.by > 0.1


def test_the_highest_layer_is_the_top_and_few_points_are_none():
    random = np.random.default_rng(4)
    plan = random.uniform(-0.04, 0.04, (90, 2))
    level = random.normal(20.0, 0.003, 90)
    level[:30] += 0.1
    points = np.column_stack([plan, level])
    shot = np.array([[0.0, 0.0, 20.112]])
    tie = compare_tops(points, shot, scatter=0.003)
    assert tie.shift == pytest.approx(0.012, abs=0.0015)

    stray = np.vstack([points, [0.01, 0.0, 20.8]])
    assert compare_tops(stray, shot, scatter=0.003).shift == pytest.approx(tie.shift, abs=1e-9)

    sparse = points[np.r_[0:2, 30:40]]
    with pytest.raises(InputError, match=r"leave base\.control\.on out"):
        compare_tops(sparse, shot, scatter=0.003)
