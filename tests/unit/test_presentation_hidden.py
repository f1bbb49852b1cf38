import json
import re
from dataclasses import replace

import jsonschema
import pytest
from gradevol.out.pages.answer import compose_answer
from gradevol.out.pages.hidden import compose_hidden

from gradevol.answer.said.thin_risk import (
    round_chance,
    say_briefly,
    say_chance,
    say_tests,
)
from gradevol.answer.tree.result import present
from gradevol.answer.tree.schema import describe_result
from gradevol.check import check_job
from gradevol.ground.units import SQUARE_FOOT
from gradevol.job import read_job
from gradevol.measures.acceptance import Acceptance
from gradevol.uncertainty.thin_risk import Hidden, Outcome
from tests.small_job import JOB, write_job

TESTS = (
    Outcome(Acceptance("mean", average=0.009525, over=0.01905), 4, 0.0312),
    Outcome(Acceptance("each", single=0.01905, source="a <spec>"), 8, 0.0),
)
SOME = Hidden(0.0874, 130 * SQUARE_FOOT, 0.9, 40.2 * SQUARE_FOOT, 210 * SQUARE_FOOT, TESTS)
NEXT_TO_NONE = Hidden(1e-9, 1e-8, 0.9, 0.0, 0.0, TESTS)


@pytest.fixture(scope="module")
def result(tmp_path_factory):
    made = check_job(read_job(write_job(tmp_path_factory.mktemp("pad"))))
    assert made.hidden is not None
    return made


def could_hide(result):
    view = present(result)
    jsonschema.validate(json.loads(json.dumps(view)), describe_result())
    return view["thin"].get("could_hide")


def test_the_result_has_chances_areas_and_tests_in_the_job_s_units(result):
    shown = could_hide(replace(result, hidden=SOME))
    assert shown.pop("width") > 0
    assert shown == {
        "core_chance": 0.09,
        "area": 130.0,
        "area_low": 40.2,
        "area_high": 210.0,
        "acceptance": [
            {
                "name": "mean",
                "average": 0.03125,
                "over": 0.0625,
                "samples": 4,
                "chance": 0.03,
                "source": "the job",
            },
            {
                "name": "each",
                "single": 0.0625,
                "samples": 8,
                "chance": 0.01,
                "source": "a <spec>",
            },
        ],
    }


def test_what_is_next_to_nothing_is_never_told_as_nought(result):
    bare = replace(result, hidden=NEXT_TO_NONE)
    shown = could_hide(bare)
    assert shown["core_chance"] == 0.01
    assert shown["area"] > 0
    page = compose_hidden(present(bare), bare)
    assert "less than 1\u00a0ft²" in page
    assert "less than 1\u00a0%" in page
    assert not re.search(r">0(\.0)?\u00a0(ft²|m²|%)<", page)


def test_where_too_little_is_known_only_the_width_is_left(result):
    bare = replace(result, hidden=None)
    assert list(could_hide(bare)) == ["width"]
    assert say_briefly(bare) == ""
    assert compose_hidden(present(bare), bare) == ""
    assert could_hide(replace(bare, widest_gap=None)) is None


@pytest.mark.parametrize(
    ("chance", "rounded", "words"),
    [
        (0.0, 0.01, "less than 1 %"),
        (0.0049, 0.01, "less than 1 %"),
        (0.0051, 0.01, "1 %"),
        (0.0874, 0.09, "9 %"),
        (0.5, 0.5, "50 %"),
        (0.9949, 0.99, "99 %"),
        (1.0, 0.99, "more than 99 %"),
    ],
)
def test_a_chance_is_told_to_the_hundredth_and_neither_as_0_nor_as_1(chance, rounded, words):
    assert round_chance(chance) == rounded
    assert say_chance(chance) == words


def test_tests_on_as_many_samples_are_told_together():
    same = replace(SOME, acceptance=(TESTS[0], replace(TESTS[1], samples=4)))
    assert say_tests(same) == "fail on 4 samples: mean 3 %; each less than 1 %"


def test_the_page_tells_what_the_figures_rest_on_and_what_is_not_in_them(result):
    some = replace(result, hidden=SOME)
    page = compose_hidden(present(some), some)
    text = re.sub(r"<[^>]+>", " ", page).replace("\u00a0", " ")
    text = " ".join(text.split())
    assert "That is so if the base between the shots is as uneven as the shots show" in text
    assert re.search(r"; a ridge narrower than \d+ ft \d+ in that none of them hints at", text)
    assert "90 % sure: 40 to 210 ft²" in text
    assert "Chance that a core is under 5 1/4 in 9 %" in text
    assert "average no more than 3/8 in under" in text
    assert "Limits: the job; a &lt;spec&gt;." in text
    assert 'data-key="thin.could_hide.acceptance.1.chance"' in page


def test_the_head_of_the_page_tells_the_expected_area_under_the_seen_one(result):
    some = replace(result, hidden=SOME)
    head = compose_answer(present(some), some)
    assert 'likely</a> in all <data value="130.0" data-key="thin.could_hide.area">130' in head
    assert "expected" not in compose_answer(present(result), replace(result, hidden=None))


def test_of_a_base_seen_everywhere_it_is_said_what_is_left_open(result):
    seen = replace(
        result, survey=replace(result.survey, ids=(), codes=(), readings=()), hidden=SOME
    )
    assert say_briefly(seen).startswith("130 ft² by what points may be off")
    page = compose_hidden(present(seen), seen)
    assert "What all points may be off together is counted in" in page
    assert "as uneven as" not in page


def test_the_job_s_own_tests_are_the_ones_that_are_held(tmp_path):
    job = JOB + '[[acceptance]]\nname = "mine"\nsingle = "1/4 in"\nsamples = 9\n'
    shown = could_hide(check_job(read_job(write_job(tmp_path, job=job))))
    assert [(test["name"], test["samples"]) for test in shown["acceptance"]] == [("mine", 9)]


def test_the_published_tests_name_their_edition_and_that_it_was_not_read(result):
    for test in could_hide(result)["acceptance"]:
        assert "117-10" in test["name"]
        assert "not read" in test["source"]
