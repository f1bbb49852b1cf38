"""`gradevol reconcile`: its files, its streams, what it refuses."""

import csv
import json
import re

import jsonschema
import pytest

from gradevol.answer.declared import describe_schema
from gradevol.answer.tree.account import ReconcileTree
from gradevol.files.learned import read_factors
from tests.after_pour import CORES, JOB, TICKETS, TOP_SHOTS
from tests.conftest import leave_out_simulated
from tests.small_job import JOB as SMALL
from tests.small_job import write_job

FILES = {"reconcile.json", "reconcile.csv", "reconcile.html", "reconcile.pdf"}
TINY = "load,volume_yd3,went_to,returned\n1,2.5,,\n2,0.5,,0.1\n"


@pytest.fixture(scope="module")
def told(invoke, tmp_path_factory):
    """The apron after its pour: what is printed, and the folder of its files."""
    out = tmp_path_factory.mktemp("apron")
    with leave_out_simulated():
        done = invoke(
            "reconcile", JOB, "--tickets", TICKETS, "--top-shots", TOP_SHOTS, "--cores", CORES,
            "--out", out, "--learn", out / "learned.csv",
        )  # fmt: skip
    assert (done.exit_code, done.stderr) == (0, "")
    return done.stdout, out


@pytest.fixture
def small(invoke, tmp_path, unsimulated):  # noqa: ARG001
    """Reconcile a small job with some tickets and other options."""

    def run(tickets=TINY, *words, job=SMALL, **files):
        path = write_job(tmp_path / "pad", job=job, files={"tickets.csv": tickets, **files})
        return invoke("reconcile", path, "--tickets", tmp_path / "pad" / "tickets.csv", *words)

    return run


def test_its_four_files_are_written_and_the_factors_beside(told):
    _, out = told
    assert {path.name for path in out.iterdir()} == {*FILES, "learned.csv"}


def test_the_json_fits_its_schema_and_its_rows_add_up_to_the_last_digit(told):
    view = json.loads((told[1] / "reconcile.json").read_text(encoding="utf-8"))
    schema = describe_schema(ReconcileTree)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(view, schema)
    for key, decimals in (("volume", 6), ("cost", 2)):
        ticketed, *rows = (round(row[key] * 10**decimals) for row in view["rows"])
        assert sum(rows) == ticketed
    assert view["yield"]["standard"] is True
    assert view["yield"]["value"] == pytest.approx(0.991, abs=5e-4)
    assert {row["basis"] for row in view["likely"]} == {"inference"}
    assert [core.get("is_within") for core in view["as_built"]["cores"]] == [True, True, True, None]


def test_the_table_adds_up_as_a_spreadsheet_adds_it(told):
    with (told[1] / "reconcile.csv").open(encoding="utf-8-sig", newline="") as file:
        ticketed, *rows = csv.DictReader(file)
    for column, decimals in (("volume_yd3", 3), ("cost", 2)):
        total = sum(round(float(row[column]) * 10**decimals) for row in rows)
        assert total == round(float(ticketed[column]) * 10**decimals)


def test_the_screen_shows_rows_that_add_up_to_the_hundredth(told):
    rows = re.findall(r"^[A-Z][\w, ]+? +(-?\d+\.\d\d)\b", told[0].partition("In short")[0], re.M)
    assert len(rows) == 10
    *parts, ticketed = (round(float(value) * 100) for value in rows)
    assert sum(parts) == ticketed == 7850


@pytest.mark.usefixtures("unsimulated", "undrawn")
def test_it_is_reconciled_again_and_teaches_once(told, invoke, tmp_path):
    learned = told[1] / "learned.csv"
    (before,) = read_factors(learned)
    assert before.factor == pytest.approx(1.050, abs=0.001)
    assert 0.005 < before.sigma < 0.02
    done = invoke(
        "reconcile", JOB, "--tickets", TICKETS, "--learn", learned, "--out", tmp_path / "again"
    )
    assert done.exit_code == 0
    (after,) = read_factors(learned)  # without the cores it is less sure
    assert (after.name, after.factor) == (before.name, before.factor)
    assert after.sigma > before.sigma


@pytest.mark.usefixtures("undrawn")
def test_json_alone_goes_to_standard_output(small, tmp_path):
    done = small(TINY, "--json", "--out", tmp_path / "out")
    assert (done.exit_code, done.stderr) == (0, "")
    view = json.loads(done.stdout)
    jsonschema.validate(view, describe_schema(ReconcileTree))
    assert "as_built" not in view
    assert "cost" not in view["rows"][0]  # the job gives no price
    assert view["rows"][0]["volume"] == 3.0
    assert "value" not in view["yield"]


def test_files_go_beside_the_job_where_no_folder_is_named(small, tmp_path):
    assert small().exit_code == 0
    assert {path.name for path in (tmp_path / "pad" / "job").iterdir()} == FILES


@pytest.mark.usefixtures("undrawn")
def test_a_metric_job_is_told_in_metres(small, tmp_path):
    job = SMALL.replace('units = "ft"', 'units = "m"')
    job = job.replace('"6 in"', "0.5")
    done = small("load,volume_m3\n1,40\n2,40\n", "--json", "--out", tmp_path / "m", job=job)
    assert done.exit_code == 0
    view = json.loads(done.stdout)
    assert view["units"]["volume"] == "m3"
    assert view["rows"][0]["volume"] == 80.0


@pytest.mark.parametrize(
    ("tickets", "files", "words", "said"),
    [
        ("load,volume_yd3,went_to\n1,2,footing\n", {}, (), "load 1 went to 'footing'"),
        ("load,volume_yd3,note\n1,2,cancelled\n", {}, (), "no load"),
        (TINY, {"cores.csv": "id,n\n"}, ("--cores",), "does not name one length"),
        (TINY, {"top.csv": "point,easting,northing\n1,2,3\n"}, ("--top-shots",), "elevation"),
        (
            TINY,
            {"top.csv": "point,easting,northing,elevation\n1,500,0,9\n2,510,0,9\n3,505,9,9\n"},
            ("--top-shots",),
            "No shot of the finished top lies on the slab",
        ),
        (
            TINY,
            {"top.csv": "point,easting,northing,elevation\n1,1,1,9\n2,15,1,9\n3,8,8,9\n"},
            ("--top-shots",),
            "below the drawing on average, and the slab is 6 in thick: no finished top does",
        ),
        (TINY, {"mine.csv": "point,easting\n1,2\n"}, ("--learn",), "no file of factors"),
    ],
)  # fmt: skip
def test_what_can_not_be_used_is_one_paragraph_and_no_file(
    small, tmp_path, tickets, files, words, said
):
    given = [tmp_path / "pad" / name for name in files]
    done = small(tickets, *words, *given, "--out", tmp_path / "out", **files)
    assert done.exit_code == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert not (tmp_path / "out").exists()


@pytest.mark.usefixtures("undrawn")
def test_an_input_is_not_written_over(small, tmp_path):
    cores = "id,easting,northing,length\nC1,8,4,0.5\n"
    given = tmp_path / "pad" / "reconcile.csv"
    done = small(TINY, "--out", tmp_path / "pad", "--cores", given, **{"reconcile.csv": cores})
    assert done.exit_code == 2
    assert "would take its place" in done.stderr
    assert given.read_text(encoding="utf-8") == cores
    assert not (tmp_path / "pad" / "reconcile.json").exists()


@pytest.mark.usefixtures("unsimulated", "undrawn")
def test_of_half_the_tickets_it_is_said_first_that_they_can_not_be_all(invoke, tmp_path):
    half = tmp_path / "half.csv"
    half.write_text("".join(TICKETS.read_text(encoding="utf-8").splitlines(keepends=True)[:5]))
    given = ("reconcile", JOB, "--tickets", half, "--out", tmp_path / "out")
    done = invoke(*given)
    said = " ".join(done.stdout.split())
    assert "apron These tickets can't be all: the slab takes 34.27 yd³ more, about 4 loads." in said
    assert "\nLearned" not in done.stdout
    view = json.loads((tmp_path / "out" / "reconcile.json").read_text(encoding="utf-8"))
    assert "learned" not in view
    jsonschema.validate(view, describe_schema(ReconcileTree))
    refused = invoke(*given, "--learn", tmp_path / "factors.csv")
    assert refused.exit_code == 2
    assert "nothing is learned of them" in refused.stderr
    assert not (tmp_path / "factors.csv").exists()
