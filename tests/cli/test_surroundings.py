"""What a machine may lack or do amidst a run: each answered in words, or done all the same."""

import json
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from gradevol.files import opened, sniff
from gradevol.ground.errors import InputError
from gradevol.job import read_job
from gradevol.out import drafts
from gradevol.out.whole import whole_folder
from gradevol.runs.check import check_job
from tests.cli.conftest import ENVIRONMENT
from tests.small_job import SHOTS, write_job

QUICK = ("check", "job.toml", "--no-pictures")


def run(folder, *words, code=None, **environment):
    command = [sys.executable, "-c", code] if code else [sys.executable, "-m", "gradevol", *words]
    return subprocess.run(
        command,
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        check=False,
        env={**ENVIRONMENT, **environment},
    )


@pytest.fixture(scope="module")
def usual(tmp_path_factory, invoke):
    """Print what is printed in the tests' own surroundings."""
    folder = tmp_path_factory.mktemp("usual")
    write_job(folder)
    return invoke(*QUICK, "--json", cwd=folder)


NOWHERE = dict.fromkeys(
    ("HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "TMPDIR", "TEMP", "TMP"), "/nowhere"
)
PLAIN = {"LC_ALL": "C", "PYTHONUTF8": "0", "LANG": "C", "DISPLAY": "", "WAYLAND_DISPLAY": ""}
ABROAD = {"LC_ALL": "tr_TR.UTF-8", "LANG": "de_DE.UTF-8", "TZ": "Pacific/Kiritimati"}


@pytest.mark.parametrize(
    "environment",
    [
        pytest.param({**NOWHERE, **PLAIN, "MPLCONFIGDIR": "/proc"}, id="no folder or language"),
        pytest.param({**ABROAD, "COLUMNS": "10", "LINES": "2", "NO_COLOR": "1"}, id="abroad"),
    ],
)
def test_the_same_is_printed_in_other_surroundings(tmp_path, usual, environment):
    write_job(tmp_path)
    other = run(tmp_path, *QUICK, "--json", **environment)
    assert other.returncode == 0, other.stderr
    assert (other.stdout, other.stderr) == (usual.stdout, usual.stderr)


@pytest.mark.slow
def test_pictures_are_drawn_without_home_fonts_display_or_temporary_folder(tmp_path):
    """They are drawn unless they are refused, with the fonts of the libraries alone."""
    code = """
from matplotlib import font_manager
find = font_manager.findSystemFonts
font_manager.findSystemFonts = lambda paths=None, *kind, **kinds: (
    find(paths, *kind, **kinds) if paths else []
)
font_manager.fontManager = font_manager.FontManager()
names = {font.name for font in font_manager.fontManager.ttflist}
assert names and not any("/usr/share" in font.fname for font in font_manager.fontManager.ttflist)
from gradevol.cli import main
main(["check", "job.toml"])
"""
    write_job(tmp_path)
    lacking = {"HOME": "/nowhere", "MPLCONFIGDIR": "/nowhere", "TMPDIR": "/nowhere", "DISPLAY": ""}
    done = run(tmp_path, code=code, **lacking)
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr
    told = {"result.json", "summary.txt", "fix_list.csv", "fix_points.csv", "report.html"}
    names = {file.name for file in (tmp_path / "job").iterdir()}
    assert {"plan.png", "sheet.pdf", "base3d.png", *told} <= names
    assert (tmp_path / "job" / "sheet.pdf").stat().st_size > 10_000
    for name in ("plan.png", "base3d.png"):
        assert (tmp_path / "job" / name).read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


@pytest.fixture
def meddled(invoke, tmp_path, monkeypatch, unsimulated):  # noqa: ARG001
    """Check a job of which each file is seen, and something done to it, once it is opened."""

    def check(do):
        def open_file(path):
            file = sniff.open_file(path)
            do(path)
            return file

        monkeypatch.setattr(opened, "open_file", open_file)
        write_job(tmp_path)
        done = invoke(*QUICK, "--json", cwd=tmp_path)
        assert done.exit_code == 0, done.stderr
        return json.loads(done.stdout)

    return check


def test_a_file_that_vanishes_once_it_is_read_changes_nothing(meddled, tmp_path):
    view = meddled(lambda path: path.unlink())
    assert not (tmp_path / "shots.csv").exists()
    assert view["concrete"]["volume"] == 2.586667


def test_a_file_that_grows_while_it_is_read_is_read_as_it_was(meddled, tmp_path):
    def grow(path):
        with path.open("a") as file:
            file.write("901,5,5,90\n")

    view = meddled(grow)
    assert (tmp_path / "shots.csv").stat().st_size > len(SHOTS)
    assert view["concrete"]["volume"] == 2.586667
    assert f'"bytes": {len(SHOTS)}' in json.dumps(view)


def test_a_file_that_vanishes_before_it_is_read_is_named(tmp_path):
    path = write_job(tmp_path)
    job = read_job(path)
    (tmp_path / "shots.csv").unlink()
    with pytest.raises(InputError, match=r"shots\.csv: there is no such file"):
        check_job(job)


def test_a_run_that_is_killed_leaves_the_old_files_whole(tmp_path, invoke):
    write_job(tmp_path)
    began = time.monotonic()
    assert run(tmp_path, *QUICK).returncode == 0
    took = time.monotonic() - began
    folder = tmp_path / "job"
    before = {file.name: file.read_bytes() for file in folder.iterdir()}
    (tmp_path / "shots.csv").write_text(SHOTS.replace("99.5", "99.4"))
    for share in (0.1, 0.5, 0.9):
        child = subprocess.Popen(
            [sys.executable, "-m", "gradevol", *QUICK],
            cwd=tmp_path,
            stdout=subprocess.DEVNULL,
            env=ENVIRONMENT,
        )
        stop = threading.Timer(share * took, child.kill)
        stop.start()
        code = child.wait()
        stop.cancel()
        held = {file.name: file.read_bytes() for file in folder.iterdir() if file.is_file()}
        if code != -signal.SIGKILL or held["result.json"] != before["result.json"]:
            break  # it was done
        assert held == before
    assert invoke(*QUICK, cwd=tmp_path).exit_code == 0  # and clears what was left
    assert {file.name for file in folder.iterdir()} == before.keys()
    assert (folder / "result.json").read_bytes() != before["result.json"]


def test_two_runs_into_one_folder_leave_the_files_of_one(tmp_path, invoke):
    for name, level in (("one", "100"), ("two", "100.1")):
        write_job(tmp_path / name)
        job = tmp_path / name / "job.toml"
        job.write_text(job.read_text().replace("level = 100", f"level = {level}"))
    running = [
        subprocess.Popen(
            [sys.executable, "-m", "gradevol", "check", f"{name}/job.toml", "--no-pictures",
             "--out", "both"],
            cwd=tmp_path, stdout=subprocess.DEVNULL, env=ENVIRONMENT,
        )
        for name in ("one", "two")
    ]  # fmt: skip
    assert [child.wait() for child in running] == [0, 0]
    held = {file.name: file.read_bytes() for file in (tmp_path / "both").iterdir()}
    for name in ("one", "two"):
        invoke("check", f"{name}/job.toml", "--no-pictures", "--out", f"{name}_alone", cwd=tmp_path)
    alone = [
        {file.name: file.read_bytes() for file in (tmp_path / f"{name}_alone").iterdir()}
        for name in ("one", "two")
    ]
    assert held in alone


def test_a_folder_is_written_where_a_system_has_no_locks(tmp_path, monkeypatch):
    # as on Windows: drafts are made all the same, and cleared when they are a day old
    monkeypatch.setattr(drafts, "fcntl", None)
    left, old = (tmp_path / "out" / f".draft-0123abc{letter}" for letter in "de")
    for draft in (left, old):
        (draft / ".before").mkdir(parents=True)
    os.utime(old, (0, 0))
    for text in ("old", "new"):
        with whole_folder(tmp_path / "out") as draft:
            (draft / "result.json").write_text(text)
    assert (tmp_path / "out" / "result.json").read_text() == "new"
    assert {file.name for file in (tmp_path / "out").iterdir()} == {"result.json", left.name}


def test_what_another_program_holds_for_a_moment_is_waited_for(tmp_path, monkeypatch):
    monkeypatch.setattr(drafts, "fcntl", None)  # as on Windows, where what is open is not moved
    replace, asked = Path.replace, []

    def refuse_twice(path, place):
        asked.append(path)
        if len(asked) <= 2:
            raise PermissionError(13, "The process cannot access the file", str(place))
        return replace(path, place)

    monkeypatch.setattr(Path, "replace", refuse_twice)
    with whole_folder(tmp_path / "out") as draft:
        (draft / "result.json").write_text("new")
    assert (tmp_path / "out" / "result.json").read_text() == "new"


@pytest.mark.skipif(not hasattr(os, "geteuid"), reason="needs users")
def test_a_file_that_a_program_holds_open_is_named(tmp_path, monkeypatch):
    # as Windows refuses to replace it
    def refuse(_self, target):
        raise PermissionError(13, "The process cannot access the file", str(target))

    write_job(tmp_path)
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "result.json").write_text("old")
    monkeypatch.setattr(Path, "replace", refuse)
    with pytest.raises(InputError, match="Close any program that has it open"), \
            whole_folder(folder) as draft:  # fmt: skip
        (draft / "result.json").write_text("new")
    monkeypatch.undo()
    assert [file.name for file in folder.iterdir()] == ["result.json"]
    assert (folder / "result.json").read_text() == "old"
