"""Words on the pictures and sheets of all samples: whole, apart, and large enough to be read."""

import importlib.util

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import draw_up
from gradevol.out.paper.paper import PAPERS
from gradevol.out.paper.sheet import draw_sheet
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.sheet import Sheet
from tests.conftest import SAMPLES
from tests.lettering import (
    draw_base3d,
    find_cut_off,
    find_on_borders,
    find_overlaps,
    measure_map,
    words_on,
)

#: Scans take seconds; the rod sheet answers as the apron does.
SLOW = ("cloud_pad", "site_scan", "rod_sheet")
#: Of these a sheet says other things, but a plan what that of the apron does.
DRAWN_ALIKE = ("apron/job_costs.toml", "apron/job_pour.toml", "rod_sheet/job.toml")
#: Points: smaller letters are lost on a copy.
LEAST_SIZE = 7.0


def list_jobs(but=()):
    """Every job of the samples, but some."""
    jobs = sorted(SAMPLES.glob("*/job*.toml"))
    assert len(jobs) >= 6
    return [
        pytest.param(
            job.relative_to(SAMPLES).as_posix(),
            id=f"{job.parent.name}-{job.stem}",
            marks=[pytest.mark.slow] if job.parent.name in SLOW else [],
        )
        for job in jobs
        if job.relative_to(SAMPLES).as_posix() not in but
    ]


each_sample = pytest.mark.parametrize("result", list_jobs(), indirect=True)
each_drawing = pytest.mark.parametrize("result", list_jobs(DRAWN_ALIKE), indirect=True)


@pytest.fixture(scope="module")
def result(request, check_sample):
    """Result of one sample."""
    return check_sample(request.param)


@pytest.fixture
def drawn(monkeypatch):
    """Sheets that would have been written."""
    kept = []
    monkeypatch.setattr(Sheet, "save", lambda sheet, *_args, **_rest: kept.append(sheet))
    return kept


def assert_is_legible(sheet, least_count):
    """Nothing written on a sheet is small, cut off, or on anything else: its words."""
    words = words_on(sheet)
    assert len(words) > least_count
    assert find_cut_off(sheet, words) == []
    assert find_overlaps(words) == []
    assert [word.text for word in words if word.size < LEAST_SIZE] == []
    return words


@each_sample
def test_the_map_has_half_of_a_sheet_and_its_words_stand_apart_none_of_them_cut_off(result):
    answer = compose_answer(result)
    chosen = draw_sheet(answer)
    size = (chosen.width, chosen.height)
    wide, high = measure_map(chosen)
    assert wide * high >= 0.5 * chosen.width * chosen.height
    other = "letter" if size not in {PAPERS["letter"], PAPERS["letter"][::-1]} else "a4"
    for sheet in (chosen, draw_sheet(answer, paper=other)):
        words = assert_is_legible(sheet, 100)
        assert not [word.text for word in words if word.text.endswith("…")]
        assert find_on_borders(sheet, words) == []


@each_drawing
def test_words_of_a_plan_stand_apart_and_are_none_of_them_cut_off(result, drawn, tmp_path):
    draw_plan(draw_up(result), tmp_path / "plan.png")
    assert_is_legible(drawn[0], 30)


@each_drawing
def test_words_of_the_view_stand_apart_and_are_none_of_them_cut_off(
    result, drawn, tmp_path, monkeypatch
):
    monkeypatch.setattr(importlib.util, "find_spec", lambda _name: None)  # the words are the same
    draw_base3d(draw_up(result), tmp_path / "view.png")
    assert_is_legible(drawn[0], 10)


def test_a_word_on_another_is_found(drawn, tmp_path):
    sheet = Sheet.blank(4, 3)
    sheet.write(1, 1, "one word")
    sheet.write(1.2, 1.02, "another", angle=20)
    sheet.write(3.8, 2, "cut off")
    sheet.save(tmp_path / "none.png")
    words = words_on(drawn[0])
    assert find_overlaps(words) == [("one word", "another")]
    assert find_cut_off(sheet, words) == ["cut off"]
