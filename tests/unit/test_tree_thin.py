import json
from dataclasses import replace

import jsonschema
import pytest

from gradevol.answer.tree.result import describe_result, present
from gradevol.ground.units import SQUARE_FOOT
from gradevol.job import read_job
from gradevol.measures.acceptance import Acceptance
from gradevol.runs.check import check_job
from gradevol.uncertainty.thin_risk import Hidden, Outcome
from tests.small_job import JOB, write_job

TESTS = (
    Outcome(Acceptance("mean", average=0.009525, over=0.01905), 4, 0.0312),
    Outcome(Acceptance("each", single=0.01905, source="a <spec>"), 8, 0.0),
)
SOME = Hidden(0.0874, 130 * SQUARE_FOOT, 0.9, 40.2 * SQUARE_FOOT, 210 * SQUARE_FOOT, TESTS)
NEXT_TO_NONE = Hidden(1e-9, 1e-8, 0.9, 0.0, 0.0, TESTS)


@pytest.fixture
def result(small):
    assert small.hidden is not None
    return small


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


def test_the_job_s_own_tests_are_the_ones_that_are_held(tmp_path):
    job = JOB + '[[acceptance]]\nname = "mine"\nsingle = "1/4 in"\nsamples = 9\n'
    shown = could_hide(check_job(read_job(write_job(tmp_path, job=job))))
    assert [(test["name"], test["samples"]) for test in shown["acceptance"]] == [("mine", 9)]


def test_the_published_tests_name_their_edition_and_that_it_was_not_read(result):
    for test in could_hide(result)["acceptance"]:
        assert "117-10" in test["name"]
        assert "not read" in test["source"]
