"""Several jobs in one run: one table of all, failures told apart and last."""

import csv
import io
import json
import os
from pathlib import PureWindowsPath

import pytest

from gradevol.answer.overview import compose_failure
from gradevol.cli.many import name_jobs
from gradevol.out.starter import write_starter
from gradevol.out.text.jobs import compose_jobs


@pytest.fixture
def folder(tmp_path):
    """Two jobs that run, one that can't, and a TOML file that is none."""
    write_starter(tmp_path / "site" / "north", "feet", "rods")
    write_starter(tmp_path / "site" / "south", "metres")
    broken = write_starter(tmp_path / "site" / "a_broken", "feet")
    broken.write_text(broken.read_text(encoding="utf-8").replace("shots.csv", "none.csv"))
    (tmp_path / "site" / "pyproject.toml").write_text("[project]\n")
    return tmp_path


def rows_of(folder):
    text = (folder / "jobs.csv").read_text(encoding="utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.usefixtures("unsimulated")
def test_a_folder_of_jobs_is_one_table_with_the_failures_last(invoke, folder):
    done = invoke("check", "site", "--no-pictures", cwd=folder)
    assert done.exit_code == 2
    assert done.stdout.startswith("2 jobs checked, 1 not\n")
    assert "north/job.toml  11.4 yd³" in done.stdout
    assert "south/job.toml  6.49 m³" in done.stdout
    assert "Not checked: " in done.stdout
    assert "none.csv" in " ".join(done.stdout.split())
    assert "pyproject.toml is no job" in done.stderr
    rows = rows_of(folder)
    assert [row["job"].split("/")[0] for row in rows] == ["north", "south", "a_broken"]
    assert [row["volume_unit"] for row in rows] == ["yd3", "m3", ""]
    assert "none.csv" in rows[-1]["problem"]
    for name, kept in (("north", True), ("south", True), ("a_broken", False)):
        assert (folder / "site" / name / "job" / "result.json").exists() is kept


@pytest.mark.usefixtures("unsimulated")
def test_the_table_says_of_a_job_what_its_own_result_says(invoke, folder):
    done = invoke("check", "site/north/job.toml", "site/south/job.toml", "--out", "all",
                  "--no-pictures", "--strict", cwd=folder)  # fmt: skip
    assert (done.exit_code, done.stderr) == (3, "")
    for row in rows_of(folder / "all"):
        result = json.loads((folder / "all" / row["job"]).with_suffix("").joinpath(
            "result.json").read_text(encoding="utf-8"))  # fmt: skip
        assert float(row["volume"]) == pytest.approx(result["concrete"]["volume"], rel=1e-5)
        assert float(row["low"]) == pytest.approx(result["concrete"]["interval"]["low"], rel=1e-5)
        assert float(row["order"]) == result["order"]["volume"]


def test_a_folder_without_jobs_is_refused(invoke, tmp_path):
    done = invoke("check", tmp_path)
    assert done.exit_code == 2
    assert "there is no job in it" in done.stderr


def test_names_are_as_short_as_they_can_be_and_no_two_alike(tmp_path):
    jobs = [tmp_path / "a" / "job.toml", tmp_path / "a" / "b" / "job.toml"]
    assert name_jobs(jobs) == ["job.toml", "b/job.toml"]
    assert name_jobs([tmp_path / "a.toml"]) == ["a.toml"]


def test_all_is_refused_for_several_jobs_before_any_is_checked(invoke, folder):
    done = invoke("check", "site", "--all", cwd=folder)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "--all tells of one job" in done.stderr
    assert not (folder / "jobs.csv").exists()


@pytest.mark.usefixtures("unsimulated")
def test_a_folder_that_can_not_be_made_is_told_in_one_paragraph(invoke, folder):
    (folder / "file").write_text("")
    done = invoke("check", "site", "--no-pictures", "--out", folder / "file" / "out", cwd=folder)
    assert done.exit_code == 2
    assert "can't be written" in done.stderr
    assert "Traceback" not in done.stderr


def test_a_table_of_others_is_not_written_over(invoke, folder):
    (folder / "jobs.csv").write_text("customer,price\nShed,100\n")
    refused = invoke("check", "site", "--no-pictures", cwd=folder)
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "jobs.csv: this file would be written over" in refused.stderr
    assert (folder / "jobs.csv").read_text() == "customer,price\nShed,100\n"
    (folder / "jobs.csv").write_text("job,title,volume,low\n")
    assert invoke("check", "site", "--no-pictures", cwd=folder).stdout


@pytest.mark.usefixtures("unsimulated")
def test_the_table_is_printed_though_it_can_not_be_written(invoke, folder):
    (folder / "jobs.csv").mkdir()
    done = invoke("check", "site", "--no-pictures", cwd=folder)
    assert done.exit_code == 2
    assert done.stdout.startswith("2 jobs checked, 1 not\n")
    assert "jobs.csv: it can't be written" in done.stderr


@pytest.mark.parametrize("out", [(), ("--out", "all")])
def test_two_jobs_whose_files_would_go_into_one_folder_are_refused(invoke, folder, out):
    job = folder / "site" / "north" / "job.toml"
    twin = job.with_suffix(".bak")
    twin.write_bytes(job.read_bytes())
    done = invoke("check", job, twin, "--no-pictures", *out, cwd=folder)
    assert (done.exit_code, done.stdout) == (2, "")
    assert "job.bak: its files would go into" in done.stderr
    assert "as those of job.toml do" in done.stderr
    assert not (folder / "all").exists()
    assert not (folder / "site" / "north" / "job").exists()


@pytest.mark.usefixtures("unsimulated")
def test_a_job_is_checked_once_and_within_the_folder_that_was_named(invoke, folder):
    south = "site/north/../south/job.toml"
    done = invoke("check", south, "site/north/job.toml", "site/south/job.toml", "--no-pictures",
                  "--out", "all", cwd=folder)  # fmt: skip
    assert done.stdout.startswith("2 jobs checked\n")
    assert sorted(path.parent.name for path in (folder / "all").glob("*/job")) == ["north", "south"]


def test_a_drive_does_not_lead_out_of_the_folder_that_was_named():
    jobs = [PureWindowsPath(r"C:\jobs\a.toml"), PureWindowsPath(r"D:\a.toml")]
    assert name_jobs(jobs) == ["C/jobs/a.toml", "D/a.toml"]
    assert name_jobs(jobs[:1] * 2) == ["a.toml", "a.toml"]


def test_a_job_is_named_whose_fault_lies_in_a_file_of_several():
    said = compose_jobs(
        [compose_failure("north.toml", "shots.csv: it is empty."),
         compose_failure("south.toml", "/site/south.toml: units is missing.")]
    )  # fmt: skip
    assert "Not checked: north.toml: shots.csv: it is empty." in said
    assert "Not checked: /site/south.toml: units is missing." in said


@pytest.mark.usefixtures("unsimulated")
def test_a_name_that_is_no_text_is_written_as_far_as_it_is(invoke, folder):
    name = os.fsdecode(b"Stra\xdfe")  # of an older system
    try:
        (folder / "site" / "north").rename(folder / "site" / name)
    except OSError:
        pytest.skip("the disk has no such names")
    done = invoke("check", "site", "--no-pictures", cwd=folder)
    assert done.exit_code == 2
    assert "Stra?e/job.toml  11.4 yd³" in done.stdout
    assert next(row["job"] for row in rows_of(folder)) == "Stra?e/job.toml"
