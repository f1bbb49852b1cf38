"""`gradevol reconcile` of several jobs: one table, and what could not be reconciled."""

import csv
import json

import jsonschema
import pytest

from gradevol.answer.declared import describe_schema
from gradevol.answer.tree.accounts import JobsTree
from gradevol.files.learned import read_factors
from tests.small_job import JOB as SMALL
from tests.small_job import write_job


@pytest.fixture
def sites(tmp_path, unsimulated):  # noqa: ARG001
    """Two poured pads, one not poured yet, one whose tickets can't be read."""
    for name, tickets in (
        ("north", "load,volume_yd3\n1,2.9\n"),
        ("south", "load,volume_yd3\n1,3.0\n"),
        ("later", None),
        ("wrong", "load,volume_yd3\n1,two\n"),
    ):
        files = {} if tickets is None else {"tickets.csv": tickets}
        write_job(tmp_path / "sites" / name, job=SMALL, files=files)
    return tmp_path


def test_they_are_one_table_with_trends_and_the_failures_told_apart(invoke, sites):
    done = invoke(
        "reconcile", "sites", "--tickets", "tickets.csv", "--out", "all", cwd=sites
    )  # fmt: skip
    assert done.exit_code == 2
    assert done.stdout.startswith("2 jobs reconciled, 1 not\n")
    said = " ".join(done.stdout.split())
    assert "'1,two'" in said
    assert "later/job.toml has no tickets.csv beside it: left out, not poured" in done.stderr
    names = {path.name for path in (sites / "all").iterdir()}
    assert {f"reconcile_jobs.{kind}" for kind in ("json", "csv", "html", "pdf")} <= names
    assert {path.name for path in (sites / "all" / "north" / "job").iterdir()} == {
        f"reconcile.{kind}" for kind in ("json", "csv", "html", "pdf")
    }
    view = json.loads((sites / "all" / "reconcile_jobs.json").read_text(encoding="utf-8"))
    jsonschema.validate(view, describe_schema(JobsTree))
    assert ["problem" in job for job in view["jobs"]] == [False, False, True]
    with (sites / "all" / "reconcile_jobs.csv").open(encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert [row["job"] for row in rows] == [job["job"] for job in view["jobs"]]
    assert float(rows[0]["ticketed"]) == view["jobs"][0]["ticketed"] == 2.9


@pytest.mark.usefixtures("undrawn")
def test_they_are_printed_as_json_and_the_parts_of_each_add_up(invoke, sites):
    given = ("sites/north/job.toml", "sites/south/job.toml", "--tickets", "tickets.csv")
    alone = invoke("reconcile", *given, "--json", cwd=sites)
    assert (alone.exit_code, alone.stderr) == (0, "")
    view = json.loads(alone.stdout)
    assert {trend["cause"] for trend in view["trends"]} == {"base", "unresolved"}
    for job in view["jobs"]:
        assert sum(part["share"] for part in job["parts"]) == pytest.approx(job["over"], abs=1e-5)


@pytest.mark.usefixtures("undrawn")
def test_they_are_printed_though_they_can_not_be_written(invoke, sites):
    (sites / "reconcile_jobs.csv").mkdir()
    given = ("reconcile", "sites/north", "sites/south", "--tickets", "tickets.csv")
    done = invoke(*given, cwd=sites)
    assert done.exit_code == 2
    assert done.stdout.startswith("2 jobs reconciled\n")
    assert "it can't be written" in done.stderr


@pytest.mark.usefixtures("undrawn")
def test_a_ticket_that_two_of_them_count_is_told(invoke, sites):
    for name, rows in (("north", "1,45871,2.9"), ("south", "1,45871,1.0\n2,45872,2.0")):
        path = sites / "sites" / name / "tickets.csv"
        path.write_text(f"load,ticket,volume_yd3\n{rows}\n")
    given = ("reconcile", "sites/north", "sites/south", "--tickets", "tickets.csv")
    said = "1 ticket stands in more than one account of north/job.toml and south/job.toml"
    assert said in invoke(*given, cwd=sites).stderr
    path.write_text("load,ticket,volume_yd3\n1,45870,3.0\n")
    assert invoke(*given, cwd=sites).stderr == ""


@pytest.mark.usefixtures("undrawn")
def test_each_teaches_the_next_job(invoke, sites):
    done = invoke(
        *("reconcile", "sites/north", "sites/south", "--tickets", "tickets.csv"),
        *("--learn", "learned.csv"),
        cwd=sites,
    )
    assert done.exit_code == 0
    names = [job.name for job in read_factors(sites / "learned.csv")]
    assert names == ["north/job.toml", "south/job.toml"]


@pytest.mark.usefixtures("undrawn")
def test_shots_of_the_top_that_lie_beside_no_job_or_not_beside_all_are_not_passed_over(
    invoke, sites
):
    given = ("reconcile", "sites/north", "sites/south", "--tickets", "tickets.csv")
    refused = invoke(*given, "--top-shots", "top.csv", cwd=sites)
    assert refused.exit_code == 2
    assert "none of the jobs has a file top.csv beside it" in refused.stderr
    (sites / "sites" / "north" / "top.csv").write_text(
        "point,easting,northing,elevation\n1,1,1,100.5\n2,11,1,100.5\n3,11,11,100.5\n"
    )
    done = invoke(*given, "--top-shots", "top.csv", cwd=sites)
    assert "south/job.toml has no top.csv beside it: reconciled without" in done.stderr
    assert "north" not in done.stderr


@pytest.mark.usefixtures("undrawn")
def test_a_job_that_can_not_be_read_is_not_told_to_lack_shots_of_the_top(invoke, sites):
    given = ("reconcile", "sites/wrong", "--tickets", "tickets.csv", "--top-shots", "top.csv")
    (sites / "sites" / "wrong" / "job.toml").write_text("title = \n")
    done = invoke(*given, cwd=sites)
    assert (done.exit_code, done.stderr) == (2, "")
    assert "this is not TOML" in " ".join(done.stdout.split())
    (sites / "sites" / "north" / "top.csv").touch()
    assert "top.csv" not in invoke(*given, "sites/north", cwd=sites).stderr


@pytest.mark.usefixtures("undrawn")
def test_one_file_by_its_whole_path_is_not_taken_for_jobs_of_several_folders(invoke, sites):
    north = sites / "sites" / "north"
    refused = invoke("reconcile", "sites", "--tickets", north / "tickets.csv", cwd=sites)
    assert refused.exit_code == 2
    assert "would all have this one file by --tickets" in " ".join(refused.stderr.split())
    (sites / "sent.csv").write_text("load,volume_yd3\n1,2.9\n")
    for tickets in (north / "tickets.csv", sites / "sent.csv"):  # of one folder, from anywhere
        done = invoke("reconcile", "sites/north", "--tickets", tickets, cwd=sites)
        assert done.exit_code == 0


@pytest.mark.usefixtures("undrawn")
def test_a_named_job_without_tickets_fails_and_so_does_a_folder_without_any(invoke, sites):
    done = invoke(
        "reconcile", "sites/north/job.toml", "sites/later/job.toml", "--tickets", "tickets.csv",
        cwd=sites,
    )  # fmt: skip
    assert done.exit_code == 2
    assert "there are no tickets of this name beside the job" in " ".join(done.stdout.split())
    none = invoke("reconcile", "sites/later", "--tickets", "tickets.csv", cwd=sites)
    assert none.exit_code == 2
    assert "none of the jobs has a file tickets.csv beside it" in " ".join(none.stderr.split())
