"""What a machine may lack or do amidst a run: each answered in words, or done all the same."""

import json
import os
import subprocess
import sys
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


def run(folder, *words, **environment):
    return subprocess.run(
        [sys.executable, "-m", "gradevol", *words],
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


#: No folder or language, a screen of ten columns abroad, and a stream that knows few letters.
OTHER = {
    **dict.fromkeys(
        ("HOME", "XDG_CACHE_HOME", "XDG_CONFIG_HOME", "TMPDIR", "TEMP", "TMP"), "/nowhere"
    ),
    **{"LC_ALL": "C", "PYTHONUTF8": "0", "LANG": "C", "DISPLAY": "", "WAYLAND_DISPLAY": ""},
    **{"MPLCONFIGDIR": "/proc", "COLUMNS": "10", "LINES": "2", "TZ": "Pacific/Kiritimati"},
    **{"NO_COLOR": "1", "PYTHONIOENCODING": "ascii:replace"},
}


def test_the_same_is_printed_in_other_surroundings(tmp_path, usual):
    write_job(tmp_path)
    other = run(tmp_path, *QUICK, "--json", **OTHER)
    assert other.returncode == 0, other.stderr
    assert (other.stdout, other.stderr) == (usual.stdout, usual.stderr)
    assert json.loads(other.stdout)["title"] == "Pad (invented)"
    assert (tmp_path / "job" / "result.json").read_text(encoding="utf-8") == other.stdout


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
