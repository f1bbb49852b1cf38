"""`gradevol check`: streams, exit codes, whole files."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest

from gradevol.answer.tree.result import describe_result
from tests.small_job import JOB, SHOTS, write_job

ROOT = Path(__file__).parents[2]
SAMPLES = sorted(path.relative_to(ROOT) for path in ROOT.glob("sample_surveys/*/job.toml"))
FILES = {"result.json", "summary.txt", "fix_list.csv", "fix_points.csv", "report.html"}
SCHEMA = describe_result()


def names_in(folder):
    return {path.name for path in folder.iterdir()}


def test_there_are_samples_to_run():
    assert len(SAMPLES) >= 3


@pytest.mark.parametrize(
    "job",
    [
        pytest.param(
            path, id=path.parent.name, marks=[pytest.mark.slow] * any(path.parent.glob("*.la[sz]"))
        )
        for path in SAMPLES
    ],
)
def test_every_sample_runs_and_its_json_keeps_to_the_schema(
    invoke, check_sample, monkeypatch, tmp_path, job
):
    if job.parent.name != "apron":  # it alone is checked once more, as it is by a user
        result = check_sample(job.relative_to("sample_surveys").as_posix())
        monkeypatch.setattr("gradevol.runs.check.check_job", lambda *_, **__: result)
    done = invoke("check", ROOT / job, "--out", tmp_path / "out", "--no-pictures", "--json")
    assert (done.exit_code, done.stderr) == (0, "")
    view = json.loads(done.stdout)
    jsonschema.validate(view, SCHEMA)
    assert view["concrete"]["volume"] > 0
    assert (tmp_path / "out" / "result.json").read_text(encoding="utf-8") == done.stdout


def test_the_answer_goes_to_standard_output_and_nothing_to_a_standard_error_that_is_no_terminal(
    gradevol, tmp_path
):
    write_job(tmp_path)
    done = gradevol("check", "job.toml", "--no-pictures", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout == (tmp_path / "job" / "summary.txt").read_text(encoding="utf-8")
    assert "2.59 yd³ of concrete" in done.stdout


def test_only_a_terminal_is_told_where_the_files_are(tmp_path):
    pty = pytest.importorskip("pty")
    write_job(tmp_path)
    ours, theirs = pty.openpty()
    code = (
        "import os, sys\n"
        f"os.dup2({theirs}, 2)\n"
        "from gradevol.cli import main\n"
        "main(['check', 'job.toml', '--no-pictures'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path, pass_fds=[theirs], stdout=subprocess.PIPE, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    os.close(theirs)
    told = os.read(ours, 10_000).decode()
    os.close(ours)
    assert done.returncode == 0
    assert "Files are in job" in told


@pytest.mark.usefixtures("unsimulated")
def test_columns_that_a_header_contradicts_are_told_above_the_volume(invoke, tmp_path):
    job = JOB.replace('"shots.csv"', '"shots.csv"\ncolumns = "PENDZ"')
    head, *rows = SHOTS.splitlines()
    shots = "\n".join([f"{head},existing", *(f"{row},99.4" for row in rows)])
    write_job(tmp_path, job=job, shots=shots)
    lines = invoke("check", "job.toml", "--no-pictures", cwd=tmp_path).stdout.splitlines()
    assert lines[1].startswith("  The header of shots.csv says PENZ- and was followed")
    assert any("of concrete" in line for line in lines[2:5])


@pytest.mark.usefixtures("unsimulated")
def test_strict_exits_three_where_a_limit_is_exceeded_and_names_it(invoke, tmp_path):
    write_job(tmp_path, job=JOB.replace('"6 in"', '"6 in"\nleast_thickness = "5.9 in"'))
    done = invoke("check", "job.toml", "--no-pictures", "--strict", cwd=tmp_path)
    assert done.exit_code == 3
    assert done.stderr.startswith("Limits exceeded: ")
    assert "thinner than the least thickness" in done.stderr
    assert names_in(tmp_path / "job") == FILES  # the answer is still given
    assert "of concrete" in done.stdout


@pytest.mark.slow
def test_twenty_thousand_shots_take_seconds(invoke, tmp_path):
    side = 141
    rows = [
        f"{i * side + j},{i / 10:.2f},{j / 10:.2f},{99.5 + (i * 7 + j * 13) % 11 / 500:.3f}"
        for i in range(side)
        for j in range(side)
    ]
    job = JOB.replace("[16, 0], [16, 9], [0, 9]", "[14, 0], [14, 14], [0, 14]")
    path = write_job(
        tmp_path, job=job, shots="point,easting,northing,elevation\n" + "\n".join(rows)
    )
    started = time.monotonic()
    done = invoke("check", path, "--no-pictures")
    assert done.exit_code == 0
    assert "19,881 shots" in done.stdout
    assert time.monotonic() - started < 300  # a step of more than the square of them would not do
