"""Water on the top, from the job file to what is told."""

import json
from dataclasses import replace

import jsonschema
import pytest

from gradevol.answer.rounding import Rounding
from gradevol.answer.said.topics import tell_topics
from gradevol.answer.tree.result import describe_result, present
from gradevol.answer.tree.top import compose_top
from gradevol.ground.errors import GeometryError, InputError
from gradevol.job import read_job
from gradevol.out.json import compose_json
from gradevol.out.text.summary import LINES, compose_summary
from gradevol.out.text.wrapping import COLUMNS
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")

JOB = """
title = "Wash bay (invented)"
units = "{units}"
[base]
shots = "base.csv"
[slab]
edge = [[0, 0], [30, 0], [30, 20], [0, 20]]
sides = ["shed", "form", "old slab", "form"]
thickness = {thick}
[top]
{top}
[[void]]
diameter = {pipe}
line = [[0, 10], [30, 10]]
"""
#: A dish about a low form shot, with a lip to the east.
FORMS = """P,E,N,Z
F1,0,0,100.00
F2,30,0,99.90
F3,30,20,99.90
F4,0,20,100.00
F5,12,10,99.70
"""


@pytest.fixture
def bay(tmp_path):
    """Check the wash bay with a top of its own."""

    def run(top, *, units="ft"):
        lines = [f"{e},{n},99.2" for e in range(0, 31, 10) for n in range(0, 21, 10)]
        (tmp_path / "base.csv").write_text("\n".join(["E,N,Z", *lines]) + "\n")
        (tmp_path / "forms.csv").write_text(FORMS)
        text = JOB.format(units=units, top=top, thick=0.5, pipe=0.1)
        (tmp_path / "job.toml").write_text(text)
        return check_job(read_job(tmp_path / "job.toml"))

    return run


def told(result):
    return " ".join(compose_summary(result.title, tell_topics(result), is_all=True).split())


DISH = 'shots = "forms.csv"\nleast_fall = "1 %"\nclosed_sides = [1, 3]'


def test_a_dish_is_told_with_the_shots_that_it_hangs_on(bay):
    view = present(bay(DISH))
    (pond,) = view["top"]["ponding"]

    assert pond["depth"] == pytest.approx(0.2)
    assert pond["sill"][2] == pytest.approx(99.9)
    assert pond["at"] == pytest.approx([12, 10, 99.7])
    assert pond["lowest_point"] == "shot F5"
    assert pond["sill_point"] in {"shot F2", "shot F3"}
    assert view["top"]["closed_sides"] == [1, 3]
    assert view["top"]["falls"]["stated"] == 0.01
    codes = [note["code"] for note in view["notes"]]
    assert "top-holds-water" in codes
    assert view["moves"][0]["leaves"] == [1, 2, 3, 4]


def test_all_of_it_fits_the_schema(bay):
    validator = jsonschema.Draft202012Validator(describe_result())
    south = "[[0, 0, 100], [15, 0, 100.1], [30, 0, 100.15]]"
    flat = f"between = [{south}, [[0, 20, 100], [30, 20, 100.2]]]"
    for result in (
        bay(DISH),
        bay(f'{flat}\nleast_fall = "1 %"'),
        bay("level = 100"),
        bay("level = 100", units="m"),
    ):
        view = present(result)
        validator.validate(json.loads(compose_json(view)))
        assert {"falls", "ponding", "edges", "arrows"} <= set(view["top"])
        assert 8 <= len(view["moves"]) <= 10
        assert all(len(move["cover"]) == len(view["cover"]) == 1 for move in view["moves"])


def test_what_was_not_asked_for_is_absent(bay):
    top = present(bay("level = 100"))["top"]

    assert not {"flat", "flat_area", "closed_sides", "residuals"} & set(top)
    assert "bearing" not in top["falls"]
    assert "stated" not in top["falls"]
    assert not any("flat" in edge for edge in top["edges"])


def test_falls_are_told_in_a_line_and_flat_places_and_water_where_there_are_any(bay):
    sloped = told(bay('through = [0, 0, 100]\nfall = "1/8 in per ft"\nbearing = 100'))
    assert "Falls The top falls 1.0 % on average, to the east; least 1.0 %" in sloped
    assert "Falls The top is level" in told(bay("level = 100"))
    dish = told(bay(DISH))
    assert "several ways" in dish
    assert "Holds water 2 3/8 in deep over" in dish
    assert "10 ft 0 in from side" in dish


def test_the_summary_stays_one_screen(bay):
    result = bay(DISH)
    lines = compose_summary(result.title, tell_topics(result)).splitlines()

    assert len(lines) <= LINES
    assert max(map(len, lines)) <= COLUMNS


def test_options_say_which_edges_the_top_would_leave(bay):
    between = "between = [[[0, 0, 100], [30, 0, 100.3]], [[0, 20, 100.2], [30, 20, 100.5]]]"
    said = [move["text"] for move in present(bay(between))["moves"]]

    assert said[3] == (
        "the whole top 1/8 in up; no longer flush with side 1 (shed) and side 3 (old slab)"
    )
    assert said[6] == (
        "held at side 1 (shed), the far side 1/4 in down; no longer flush with side 3 (old slab)"
    )
    assert said[8] == "held at side 1 (shed) and at the far side, midway 1/4 in up"


def test_a_metric_job_is_moved_by_millimetres(bay):
    moves = present(bay("level = 100", units="m"))["moves"]

    assert [move["by"] for move in moves[:4]] == [-0.01, -0.005, 0.005, 0.01]
    assert moves[0]["text"] == "the whole top 10 mm down"


def test_a_bearing_that_rounds_to_a_full_turn_is_north(bay):
    result = bay('through = [0, 0, 100]\nfall = "1 %"\nbearing = 359.99999999')
    top = present(result)["top"]
    falls = top["falls"]

    assert falls["bearing"] == 0
    assert falls["towards"] == "north"
    assert {arrow["bearing"] for arrow in top["arrows"]} == {0}


def test_a_result_without_drainage_has_nothing_to_tell_of_the_top(bay):
    result = replace(bay("level = 100"), drainage=None, moves=())
    view = present(result)

    assert "top" not in view
    assert "moves" not in view
    assert "Falls" not in compose_summary(result.title, tell_topics(result))
    assert compose_top(result, Rounding(result.units, result.survey.origin)) is None


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ("least_fall = 0", "top.least_fall is the number 0, but it must be a ratio above 0"),
        ('least_fall = "1 inch"', "top.least_fall must be a fall"),
        ("closed_sides = [5]", "whole number from 1 to 4"),
        ("closed_sides = [1, 1]", "top.closed_sides names 1 twice"),
    ],
)
def test_what_cannot_be_used_is_refused_in_words(bay, keys, said):
    with pytest.raises(InputError, match=said.replace("[", r"\[")):
        bay(f"level = 100\n{keys}")


def test_a_top_closed_all_around_is_refused(bay):
    with pytest.raises(GeometryError, match="No water can leave the top"):
        bay("level = 100\nclosed_sides = [1, 2, 3, 4]")
