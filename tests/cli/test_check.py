"""`gradevol check`: streams, exit codes, whole files."""

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import jsonschema
import pytest

from gradevol.answer.tree.schema import describe_result
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
def test_every_sample_runs_and_its_json_keeps_to_the_schema(invoke, tmp_path, job):
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


def test_json_stands_alone_on_standard_output(gradevol, tmp_path):
    write_job(tmp_path)
    done = gradevol("check", "job.toml", "--no-pictures", "--json", cwd=tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["schema"] == 1
    assert (tmp_path / "job" / "result.json").read_text(encoding="utf-8") == done.stdout


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_a_terminal_that_knows_few_letters_does_not_stop_it(gradevol, tmp_path, encoding):
    write_job(tmp_path)
    environment = {"PYTHONIOENCODING": f"{encoding}:replace", "PYTHONUTF8": "0"}
    done = gradevol("check", "job.toml", "--no-pictures", "--json", cwd=tmp_path, env=environment)
    assert (done.returncode, done.stderr) == (0, "")
    assert json.loads(done.stdout)["title"] == "Pad (invented)"


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


def test_strict_exits_three_where_a_limit_is_exceeded_and_names_it(gradevol, tmp_path):
    write_job(tmp_path, job=JOB.replace('"6 in"', '"6 in"\nleast_thickness = "5.9 in"'))
    done = gradevol("check", "job.toml", "--no-pictures", "--strict", cwd=tmp_path)
    assert done.returncode == 3
    assert done.stderr.startswith("Limits exceeded: ")
    assert "thinner than the least thickness" in done.stderr
    assert names_in(tmp_path / "job") == FILES  # the answer is still given
    assert "of concrete" in done.stdout


def test_strict_exits_nought_where_all_limits_are_kept(invoke, tmp_path):
    done = invoke("check", write_job(tmp_path), "--no-pictures", "--strict")
    assert (done.exit_code, done.stderr) == (0, "")


@pytest.mark.parametrize(
    ("limit", "word"), [('base_high = "1/16 in"', "base_high"), ('base_low = "1/8 in"', "base_low")]
)
def test_strict_speaks_of_the_grading_tolerance_too(invoke, tmp_path, limit, word):
    low = SHOTS.replace("4.0000,3.0000,99.5", "4.0000,3.0000,99.4")
    assert low != SHOTS
    job = write_job(tmp_path, job=JOB.replace('"6 in"', f'"6 in"\n{limit}'), shots=low)
    done = invoke("check", job, "--no-pictures", "--strict")
    assert done.exit_code == 3
    assert f"beyond {word}" in done.stderr


def test_strict_speaks_of_cover(invoke, tmp_path):
    void = (
        '[[void]]\nname = "pipe"\ndiameter = "4 in"\nline = [[0, 4], [16, 5]]\n'
        'least_cover = "2 in"\n'
    )
    done = invoke("check", write_job(tmp_path, job=JOB + void), "--no-pictures", "--strict")
    assert done.exit_code == 3
    assert "pipe: " in done.stderr
    assert "less cover" in done.stderr


TILTED = "plane = [[0, 0, 100.0], [16, 0, 100.08], [16, 9, 100.08]]\n"  # 0.5 % to the west


@pytest.mark.parametrize(("least", "code"), [('least_fall = "1 %"\n', 3), ("", 0)])
def test_strict_speaks_of_flat_places_just_where_a_least_fall_is_stated(
    invoke, tmp_path, least, code
):
    job = write_job(tmp_path, job=JOB.replace("level = 100\n", TILTED + least))
    done = invoke("check", job, "--no-pictures", "--strict")
    assert done.exit_code == code
    assert ("144 ft² of the top falls less than 1.0 %" in done.stderr) == bool(least)


@pytest.mark.parametrize(("least", "code"), [('least_fall = "0.4 %"\n', 3), ("", 0)])
def test_strict_speaks_of_standing_water_just_where_a_least_fall_is_stated(
    invoke, tmp_path, least, code
):
    closed = "closed_sides = [1, 3, 4]\n"  # all of it falls enough, and towards walls
    job = write_job(tmp_path, job=JOB.replace("level = 100\n", TILTED + least + closed))
    done = invoke("check", job, "--no-pictures", "--strict")
    assert done.exit_code == code
    assert ("water stands on the top in 1 place, 1 in deep" in done.stderr) == bool(least)
    assert "falls less than" not in done.stderr


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


@pytest.mark.skipif(sys.platform == "win32", reason="signals")
def test_interrupted_while_it_writes_it_leaves_nothing_half_written(tmp_path):
    # the interrupt comes while the last of the files is written
    write_job(tmp_path)
    code = (
        "import os, signal\n"
        "import gradevol.out.outputs as outputs\n"
        "def interrupted(*_):\n"
        "    os.kill(os.getpid(), signal.SIGINT)\n"
        "outputs.write_table = interrupted\n"
        "from gradevol.cli import main\n"
        "main(['check', 'job.toml', '--no-pictures'])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path, capture_output=True, text=True, check=False,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode != 0
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    assert names_in(tmp_path) == {"job.toml", "shots.csv"}


@pytest.mark.slow
def test_pictures_are_drawn_unless_they_are_refused(gradevol, tmp_path):
    write_job(tmp_path)
    done = gradevol("check", "job.toml", cwd=tmp_path)
    assert done.returncode == 0
    assert names_in(tmp_path / "job") >= FILES | {"plan.png", "base3d.png"}
    for name in ("plan.png", "base3d.png"):
        assert (tmp_path / "job" / name).read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


@pytest.mark.slow
def test_twenty_thousand_shots_take_seconds(gradevol, tmp_path):
    side = 141
    rows = [
        f"{i * side + j},{i / 10:.2f},{j / 10:.2f},{99.5 + (i * 7 + j * 13) % 11 / 500:.3f}"
        for i in range(side)
        for j in range(side)
    ]
    job = JOB.replace("[16, 0], [16, 9], [0, 9]", "[14, 0], [14, 14], [0, 14]")
    write_job(tmp_path, job=job, shots="point,easting,northing,elevation\n" + "\n".join(rows))
    started = time.monotonic()
    done = gradevol("check", "job.toml", "--no-pictures", cwd=tmp_path)
    assert done.returncode == 0
    assert "19,881 shots" in done.stdout
    assert time.monotonic() - started < 300  # a step of more than the square of them would not do
