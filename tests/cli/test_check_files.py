"""The files of `gradevol check`: where they go, and what they never replace."""

import os

import pytest

from gradevol.out.outputs import OURS
from tests.small_job import JOB, SHOTS, write_job

from .test_check import FILES, names_in

pytestmark = pytest.mark.usefixtures("unsimulated")


def test_a_second_run_replaces_its_files_and_leaves_others_alone(invoke, tmp_path):
    job = write_job(tmp_path)
    first = invoke("check", job, "--no-pictures", "--json")
    (tmp_path / "job" / "notes.txt").write_text("mine")
    job.write_text(JOB.replace("level = 100", "level = 100.1"))
    second = invoke("check", job, "--no-pictures", "--json")
    assert names_in(tmp_path / "job") == FILES | {"notes.txt"}
    assert first.stdout != second.stdout
    assert (tmp_path / "job" / "result.json").read_text(encoding="utf-8") == second.stdout


def test_the_same_job_gives_the_same_files_byte_for_byte(invoke, tmp_path):
    job = write_job(tmp_path)
    for name in ("one", "two"):
        invoke("check", job, "--no-pictures", "--out", tmp_path / name)
    for name in FILES:
        assert (tmp_path / "one" / name).read_bytes() == (tmp_path / "two" / name).read_bytes()


def test_a_job_without_suffix_gets_a_folder_of_its_own(invoke, tmp_path):
    job = write_job(tmp_path).rename(tmp_path / "pad")
    done = invoke("check", job, "--no-pictures")
    assert done.exit_code == 0
    assert names_in(tmp_path) == {"pad", "shots.csv", "pad_check"}
    assert job.read_text() == JOB


def test_a_file_where_the_folder_should_be_is_left_alone(invoke, tmp_path):
    job = write_job(tmp_path, files={"job": "mine"})
    done = invoke("check", job, "--no-pictures")
    assert done.exit_code == 2
    assert "where a folder is to be written" in done.stderr
    assert names_in(tmp_path) == {"job", "job.toml", "shots.csv"}
    assert (tmp_path / "job").read_text() == "mine"


@pytest.mark.parametrize("name", sorted(FILES))
def test_no_input_is_ever_written_over(invoke, tmp_path, name):
    shots = tmp_path / name
    job = write_job(tmp_path, job=JOB.replace("shots.csv", name), shots=None, files={name: SHOTS})
    done = invoke("check", job, "--no-pictures", "--out", tmp_path)
    assert done.exit_code == 2
    assert "the job reads this file" in done.stderr
    assert shots.read_text() == SHOTS
    assert names_in(tmp_path) == {"job.toml", name}


def test_the_job_itself_is_not_written_over(invoke, tmp_path):
    job = write_job(tmp_path).rename(tmp_path / "result.json")
    done = invoke("check", job, "--no-pictures", "--out", tmp_path)
    assert done.exit_code == 2
    assert job.read_text() == JOB
    assert names_in(tmp_path) == {"result.json", "shots.csv"}


def test_the_file_of_an_outline_or_a_top_is_an_input_too(invoke, tmp_path):
    edge = "easting,northing\n0,0\n16,0\n16,9\n0,9\n"
    forms = "point,easting,northing,elevation\n1,0,0,100\n2,16,0,100\n3,16,9,100\n4,0,9,100\n"
    text = JOB.replace("[[0, 0], [16, 0], [16, 9], [0, 9]]", '"fix_list.csv"')
    text = text.replace("level = 100", 'shots = "fix_points.csv"')
    kept = {"fix_list.csv": edge, "fix_points.csv": forms}
    for spare, mine in kept.items():
        folder = tmp_path / spare
        other = next(name for name in kept if name != spare)
        files = {spare: mine, "other.csv": kept[other]}
        job = write_job(folder, job=text.replace(other, "other.csv"), files=files)
        assert invoke("check", job, "--no-pictures").exit_code == 0
        assert invoke("check", job, "--no-pictures", "--out", folder).exit_code == 2
        assert (folder / spare).read_text() == mine


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write all")
def test_a_folder_that_may_not_be_written_is_told_of(invoke, tmp_path):
    job = write_job(tmp_path)
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o500)
    done = invoke("check", job, "--no-pictures", "--out", closed / "out")
    assert done.exit_code == 2
    assert "can't be written" in done.stderr
    assert names_in(closed) == set()


def test_a_folder_below_a_file_cannot_be_made_and_nothing_is_left(invoke, tmp_path):
    job = write_job(tmp_path, files={"taken": "mine"})
    done = invoke("check", job, "--no-pictures", "--out", tmp_path / "taken" / "out")
    assert done.exit_code == 2
    assert names_in(tmp_path) == {"job.toml", "shots.csv", "taken"}


def test_what_an_earlier_run_drew_does_not_lie_beside_another_result(invoke, tmp_path):
    job = write_job(tmp_path)
    folder = tmp_path / "job"
    (folder / "exports").mkdir(parents=True)
    drawn = ("plan.png", "sheet.pdf", "base3d.png", "exports/base.ply", "exports/mine.ply")
    for name in ("result.json", *drawn):
        (folder / name).write_text("old")
    done = invoke("check", job, "--no-pictures")
    assert names_in(folder) == FILES | {"exports"}
    assert names_in(folder / "exports") == {"mine.ply"}
    assert "sheet.pdf" in done.stderr
    assert "of an earlier check were taken away" in done.stderr


def test_all_that_a_check_writes_is_known_as_its_own(invoke, tmp_path):
    job = write_job(tmp_path)
    invoke("check", job, "--no-pictures", "--export", "all")
    written = {f"exports/{name}" for name in names_in(tmp_path / "job" / "exports")}
    assert written <= set(OURS)
