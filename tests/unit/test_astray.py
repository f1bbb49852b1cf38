"""Shots that a slip has moved off the slab are said, with what the volume would be."""

import re

import numpy as np
import pytest

from gradevol.answer.compose import compose_answer
from gradevol.ground.units import Units
from gradevol.job import read_job
from gradevol.out.text.summary import compose_summary
from gradevol.runs.check import check_job

pytestmark = pytest.mark.usefixtures("unsimulated")
JOB = """units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[0, 0], [30, 0], [30, 30], [0, 30]]
thickness = "6 in"
[top]
level = 100
"""


@pytest.fixture(scope="module")
def check(tmp_path_factory):
    """Check a lattice of 5 ft with a hump, some shots of it written otherwise."""
    folder = tmp_path_factory.mktemp("astray")

    def take(written, more=""):
        rows = ["point,n,e,z"]
        for k in range(49):
            north, east = 5 * (k // 7), 5 * (k % 7)
            level = 99.5 + (0.3 if k in {24, 25} else 0.0) + 0.01 * (k * 7 % 5)
            north, east = written.get(k, (north, east))
            rows.append(f"{k},{north},{east},{level:.2f}")
        rows += written.get("more", [])
        (folder / "shots.csv").write_text("\n".join(rows) + "\n")
        (folder / "job.toml").write_text(JOB + more)
        return check_job(read_job(folder / "job.toml"))

    return take


@pytest.fixture(scope="module")
def good(check):
    """The lattice as it is."""
    return check({})


def astray(result):
    return [note for note in result.notes if note.code == "shots-astray"]


def test_a_notch_that_was_shot_as_well_is_no_slip(tmp_path):
    rng = np.random.default_rng(5)
    grid = np.mgrid[-4:45:4, -4:35:4].reshape(2, -1).T
    shots = (grid + rng.uniform(-1.5, 1.5, grid.shape)).round(3)
    rows = [f"{number},{n},{e},99.5" for number, (e, n) in enumerate(shots.tolist())]
    (tmp_path / "shots.csv").write_text("point,n,e,z\n" + "\n".join(rows) + "\n")
    edge = "[[0, 0], [40, 0], [40, 18], [22, 18], [22, 30], [0, 30]]"
    job = JOB.replace("[[0, 0], [30, 0], [30, 30], [0, 30]]", edge)
    (tmp_path / "job.toml").write_text(job)
    assert astray(check_job(read_job(tmp_path / "job.toml"))) == []


@pytest.mark.parametrize("place", [(15, 115), (-85, 15), (15, 150), (150, 15)])
def test_a_slip_that_moves_a_shot_off_the_slab_is_said_with_the_volume_it_hides(check, good, place):
    slipped = check({24: place})
    (note,) = astray(slipped)
    assert note.points == ("24",)
    assert "in place of" in note.text
    assert note.measures[1].value == pytest.approx(good.concrete.volume, rel=1e-9)
    assert note.measures[2].value == pytest.approx(slipped.concrete.volume)
    assert re.search(r"With (easting|northing) 15 in place of", note.say(Units.of_job("ft")))


def test_a_row_whose_point_was_left_out_is_said(check):
    row = {k: (75, 5 * (k % 7)) for k in range(49) if k // 7 == 2}
    right = check({k: (7.5, east) for k, (_, east) in row.items()}).concrete.volume
    (note,) = astray(check(row))
    assert "With northing 7.5 in place of 75" in note.say(Units.of_job("ft"))
    assert note.measures[1].value == pytest.approx(right, rel=1e-9)


def test_it_stands_above_the_volume_on_the_screen_and_first_in_the_order(check):
    result = check({24: (15, 115)}, more='[order]\nwaste = 0.03\ntruck = "10 yd3"\n')
    answer = compose_answer(result)
    screen = compose_summary("Floor", answer.topics).splitlines()
    first = next(at for at, line in enumerate(screen) if "Look up 24 in the field book" in line)
    assert first < next(at for at, line in enumerate(screen) if "of concrete" in line)
    slip = answer.plain()["order"]["slip"]
    assert ": look up the shots off the slab first; reshoot 25 first. Need" in slip


def test_shots_on_the_slab_and_a_bench_mark_far_off_it_are_no_slip(check, good):
    assert not astray(good)
    assert not astray(check({"more": ["BM,-212.37,341.61,101.25"]}))


def test_dense_shots_that_reach_beyond_the_form_are_no_slips(check):
    """They stand many of their own spacings off the slab, and yet within an arm's length."""
    places = np.random.default_rng(3).uniform(-5, 35, (2500, 2))
    beyond = np.abs(places - 15).max(axis=1) > 15
    kept = ~beyond | (np.arange(2500) % 20 == 0)
    rows = [f"d{k},{n:.2f},{e:.2f},99.5" for k, (n, e) in enumerate(places[kept])]
    assert not astray(check({"more": rows}))


def test_five_shots_side_by_side_that_are_a_hundred_off_are_slips(check):
    there = {k: (5 * (k // 7), 5 * (k % 7) + 100) for k in (22, 23, 24, 25, 26)}
    (note,) = astray(check(there))
    assert set(note.points) == set(map(str, there))


def test_shots_of_another_base_are_no_slips(check):
    pad = np.random.default_rng(3).uniform((2, 52), (24, 70), (12, 2)).round(1).tolist()
    assert astray(check({"more": [f"P{k},{n},{e},99.5" for k, (n, e) in enumerate(pad)]})) == []


def test_a_shot_too_far_off_for_any_job_is_said_though_no_digit_puts_it_right(check, good):
    (note,) = astray(result := check({"more": ["S,13000000,13000000,99.5"]}))
    assert note.say(Units.of_job("ft")).startswith(
        "Look up S in the field book first: it lies off the slab by 18384733 ft"
    )
    codes = {note.code for note in result.notes} - {"shots-astray"}
    assert codes == {note.code for note in good.notes}
