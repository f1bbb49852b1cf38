"""Words on the pictures and sheets of all samples: whole, apart, and large enough to be read."""

import importlib.util

import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.drawing import draw_up
from gradevol.out.paper import sheet as sheet_module
from gradevol.out.paper.sheet import write_sheet
from gradevol.out.pictures.base3d import draw_base3d
from gradevol.out.pictures.plan import draw_plan
from gradevol.out.pictures.sheet import Sheet
from tests.conftest import SAMPLES
from tests.lettering import find_cut_off, find_on_borders, find_overlaps, measure_map, words_on

#: Scans take seconds; the rod sheet answers as the apron does.
SLOW = ("cloud_pad", "site_scan", "rod_sheet")
#: Points: smaller letters are lost on a copy.
LEAST_SIZE = 7.0


def list_jobs():
    """Every job of the samples."""
    jobs = sorted(SAMPLES.glob("*/job*.toml"))
    assert len(jobs) >= 6
    return [
        pytest.param(
            job.relative_to(SAMPLES).as_posix(),
            id=f"{job.parent.name}-{job.stem}",
            marks=[pytest.mark.slow] if job.parent.name in SLOW else [],
        )
        for job in jobs
    ]


@pytest.fixture(scope="module", params=list_jobs())
def result(request, check_sample):
    """Result of one sample."""
    return check_sample(request.param)


@pytest.fixture
def drawn(monkeypatch):
    """Sheets that would have been written."""
    kept = []
    monkeypatch.setattr(Sheet, "save", lambda sheet, *_args, **_rest: kept.append(sheet))
    monkeypatch.setattr(sheet_module, "write_pdf", lambda sheet, *_, **__: kept.append(sheet))
    return kept


def assert_is_legible(sheet, least_count):
    """Nothing written on a sheet is small, cut off, or on anything else: its words."""
    words = words_on(sheet)
    assert len(words) > least_count
    assert find_cut_off(sheet, words) == []
    assert find_overlaps(words) == []
    assert [word.text for word in words if word.size < LEAST_SIZE] == []
    return words


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_words_of_a_sheet_stand_apart_and_are_none_of_them_cut_off(result, drawn, tmp_path, paper):
    write_sheet(tmp_path / "sheet.pdf", compose_answer(result), paper=paper)
    words = assert_is_legible(drawn[0], 100)
    assert not [word.text for word in words if word.text.endswith("…")]
    assert find_on_borders(drawn[0], words) == []


def test_the_map_of_a_sheet_has_half_of_the_paper(result, drawn, tmp_path):
    write_sheet(tmp_path / "sheet.pdf", compose_answer(result))
    wide, high = measure_map(drawn[0])
    assert wide * high >= 0.5 * drawn[0].width * drawn[0].height


def test_words_of_a_plan_stand_apart_and_are_none_of_them_cut_off(result, drawn, tmp_path):
    draw_plan(draw_up(result), tmp_path / "plan.png")
    assert_is_legible(drawn[0], 30)


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
