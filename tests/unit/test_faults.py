"""Faults that were found by damaging files: each answered in words, or drawn all the same."""

import json
import re

import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.doubts.described import take_inventory
from gradevol.ground.errors import GradevolError
from gradevol.job import read_job
from gradevol.out.outputs import write_outputs
from gradevol.out.pages.packing import PLAN, choose_unit
from gradevol.out.starter import write_starter
from gradevol.plan.order.loads import Plant, plan_loads
from gradevol.runs.check import check_job
from tests.small_job import JOB, SHOTS, write_job


def test_three_coded_shots_on_one_line_are_refused_in_words(tmp_path):
    shots = "P,N,E,Z,D\n" + "".join(f"{i},{4 * i},{4 * i},99.5,BL\n" for i in range(3))
    job = JOB.replace('"shots.csv"', '"shots.csv"\nbreaklines = ["BL"]')
    path = write_job(tmp_path, job=job, shots=shots)
    with pytest.raises(GradevolError, match="on one line"):
        check_job(read_job(path))


def test_a_depth_of_a_mile_is_refused_by_its_name(tmp_path):
    rows = "".join(f"D{i},{4 * (i % 5)},{3 * (i // 5)},0.5\n" for i in range(20))
    rows = rows.replace("D7,8,3,0.5", "D7,8,3,5280")
    job = JOB.replace("shots =", "depths =")
    path = write_job(tmp_path, job=job, shots="point,easting,northing,depth\n" + rows)
    with pytest.raises(GradevolError, match=r"depth at D7 is 5280\.00 ft"):
        check_job(read_job(path))


@pytest.mark.parametrize("elevation", ["99.8e9", "99.8e15"])
def test_control_as_high_as_the_moon_is_refused(tmp_path, elevation):
    path = write_starter(tmp_path, "metres", "scan")
    control = (tmp_path / "control.csv").read_text()
    (tmp_path / "control.csv").write_text(control.replace("99.816", elevation))
    with pytest.raises(GradevolError, match=r"base\.control holds a number"):
        check_job(read_job(path))


def test_an_order_of_a_million_loads_is_refused():
    with pytest.raises(GradevolError, match="the order takes 1,000,000 loads"):
        plan_loads(10_000_000, Plant(step=1.0, truck=10.0))


@pytest.mark.parametrize("value", [np.nan, np.inf, 1e300])
def test_a_cloud_with_no_numbers_is_described_in_words(tmp_path, value):
    points = np.array([[0, 0, 1], [1, 0, 1], [value, 1, 1], [3, 2, 1]], "<f8")
    head = "ply\nformat binary_little_endian 1.0\nelement vertex 4\n"
    head += "".join(f"property double {axis}\n" for axis in "xyz") + "end_header\n"
    (tmp_path / "cloud.ply").write_bytes(head.encode() + points.tobytes())
    with pytest.raises(GradevolError):
        take_inventory(tmp_path / "cloud.ply", unit="m")


def test_a_shot_10_000_ft_low_does_not_blank_the_page(tmp_path):
    path = write_job(tmp_path, shots=SHOTS + "901,5,5,-9999\n")
    answer = compose_answer(check_job(read_job(path)))
    out = tmp_path / "out"
    write_outputs(answer, None, out, inputs=(), has_pictures=False, progress=lambda *_: None)
    page = (out / "report.html").read_text()
    (packed,) = (json.loads(held) for held in re.findall(r'"packed": ?(\{[^}]*\})', page))
    assert packed["level"] == pytest.approx(5e-6)
    assert 10_098 / 3.28084 / packed["level"] < 2**31


def test_a_number_that_no_unit_holds_is_refused_not_drawn():
    assert choose_unit(PLAN, np.array([21_000.0])) == PLAN
    assert choose_unit(PLAN, np.array([22_000.0])) == 5 * PLAN
    with pytest.raises(GradevolError, match="too large to be drawn"):
        choose_unit(PLAN, np.array([1e12]))


def test_the_same_files_make_the_same_result_in_another_folder(tmp_path):
    made = []
    for name in ("one", "two"):
        path = write_job(tmp_path / name)
        plain = compose_answer(check_job(read_job(path))).plain()
        assert [held["name"] for held in plain["inputs"]] == ["job.toml", "shots.csv"]
        made.append(json.dumps(plain))
    assert made[0] == made[1]
