import hashlib
import json
from dataclasses import replace
from typing import Any

import jsonschema
import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.answer.tree.result import describe_result, present
from gradevol.files import Files
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.job.inputs import record_job
from gradevol.out.json import compose_json
from gradevol.runs.check import check_job
from gradevol.site.metadata import Credits
from tests.small_job import JOB, write_job


@pytest.fixture(scope="module")
def validator():
    schema = describe_result()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


def test_a_result_fits_the_schema(apron, validator):
    full = replace(
        apron,
        thin=replace(apron.thin, unlisted=2),
        high=replace(apron.high, unlisted=1),
        low=replace(apron.low, unlisted=1),
        top=replace(apron.top, residuals=np.array([0.001, -0.001])),
    )

    validator.validate(json.loads(compose_json(present(full))))


def test_a_result_without_what_may_be_absent_fits_the_schema(apron, validator):
    bare = replace(
        apron,
        units=Units.of_job("m"),
        high=None,
        low=None,
        widest_gap=None,
        suspects=(),
        volume_without_suspects=None,
        cover=(),
        notes=(),
    )

    validator.validate(json.loads(compose_json(present(bare))))


def test_the_result_says_who_measured_and_nothing_of_what_is_not_told(apron, validator):
    assert "credits" not in present(apron)["survey"]
    view = present(replace(apron, credits=Credits(by="R. Vale", date="2026-05-12")))
    validator.validate(view)
    assert view["survey"]["credits"] == {"by": "R. Vale", "date": "2026-05-12"}


def test_the_schema_refuses_what_it_does_not_know_and_what_is_missing(apron, validator):
    view = present(apron)
    extra = {**view, "concrete": {**view["concrete"], "guess": 1.0}}
    less = {key: value for key, value in view.items() if key != "concrete"}
    half = {key: value for key, value in view["grading"].items() if key != "high_spots"}

    for wrong in (extra, less, {**view, "grading": half}):
        with pytest.raises(jsonschema.ValidationError):
            validator.validate(wrong)


@pytest.mark.parametrize(
    ("place", "wrong"),
    [
        ("schema", 2),
        ("units.length", "yd"),
        ("survey.count", 0),
        ("survey.coverage", 1.01),
        ("survey.suspect.0.id", 51),
        ("survey.credits", {}),
        ("slab.area", 0),
        ("concrete.overlap", -0.1),
        ("thickness.min_at", [1.0, 2.0, 3.0]),
        ("thin.unlisted", 0),
        ("thin.could_hide", {}),
        ("thin.could_hide.core_chance", 0),
        ("thin.spots.0.bearing", 180),
        ("thin.spots.0.at", [1.0, 2.0]),
        ("grading.high_spots.0.holds", []),
        ("fix.0.kind", "deep"),
        ("fix.0.reasons", []),
        ("fix.0.at", [1.0]),
        ("fix.0.rank", 1.0 / 2),
        ("material.loose", 0.9),
        ("after_work.must.if_filled", {"lines": [1], "volume": 1.0}),
        ("top", {}),
        ("notes.0.code", "Two Datums"),
    ],
)
def test_the_schema_refuses_a_value_that_no_result_has(apron, validator, place, wrong):
    view = present(apron)
    assert view["after_work"]["must"]
    held: Any = view
    *within, last = [int(key) if key.isdigit() else key for key in place.split(".")]
    for key in within:
        held = held[key]
    held[last] = wrong

    with pytest.raises(jsonschema.ValidationError):
        validator.validate(view)


def test_the_schema_refuses_more_lines_of_work_than_are_listed(apron, validator):
    view = present(apron)

    with pytest.raises(jsonschema.ValidationError):
        validator.validate({**view, "fix": view["fix"][:1] * 11})


def test_every_key_that_is_written_is_described(apron):
    described = describe_result()["properties"]

    assert set(present(apron)) <= set(described)
    for part in ("survey", "slab", "concrete", "thickness", "thin", "grading"):
        assert set(present(apron)[part]) <= set(described[part]["properties"])


def test_text_reads_back_as_what_was_presented(apron):
    view = present(replace(apron, title='Hof "Ost", Zufahrt 3 m²'))
    text = compose_json(view)

    assert json.loads(text) == view
    assert text.endswith("}\n")
    assert text.isascii()


def test_a_ring_stands_on_one_line(apron):
    text = compose_json(present(apron))
    outlines = [line for line in text.splitlines() if '"outline"' in line]

    assert len(outlines) >= 2
    assert all(line.rstrip(",").endswith("]]]") for line in outlines)


def test_empty_lists_and_plain_values_are_json_too():
    view: dict[str, Any] = {"a": [], "b": {}, "c": None, "d": [{"e": []}], "f": True}

    assert json.loads(compose_json(view)) == view


def test_what_is_no_number_is_refused():
    with pytest.raises(ValueError, match="not JSON compliant"):
        compose_json({"concrete": {"volume": float("nan")}})


def test_what_held_where_the_job_says_nothing_is_recorded(tmp_path):
    path = write_job(tmp_path, job=JOB + "[order]\nwaste = 0.03\n")
    plain = compose_answer(check_job(read_job(path))).plain()
    held = {row["key"]: json.loads(row["value"]) for row in plain["defaults"]}
    assert held["interval"] == 0.9
    assert held["slab.least_thickness"] == pytest.approx((6 - 0.75) / 12, abs=1e-6)
    assert held["order.risk"] == 0.05
    assert held["base.units"] == "ft"
    stated = JOB.replace("[base]", 'interval = 0.8\n[base]\nunits = "ft"')
    plain = compose_answer(check_job(read_job(write_job(tmp_path, job=stated)))).plain()
    assert not {"interval", "base.units"} & {row["key"] for row in plain["defaults"]}


def test_inputs_are_recorded_as_they_were_read(tmp_path):
    path = write_job(tmp_path)
    job, files = read_job(path), Files()
    files.open(tmp_path / "shots.csv")
    before = hashlib.sha256((tmp_path / "shots.csv").read_bytes()).hexdigest()
    (tmp_path / "shots.csv").write_text("another survey\n")
    (shots,) = (held for held in record_job(job, files).inputs if held.name == "shots.csv")
    assert shots.sha256 == before
