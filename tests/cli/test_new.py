"""`gradevol new`: a starter that runs as it stands."""

import errno
import json
import shlex
from pathlib import Path

import pytest

from gradevol.ground.errors import InputError
from gradevol.out.starter import write_starter


@pytest.mark.parametrize(
    ("units", "volume", "ways"),
    [("ft", "yd3", ()), ("m", "m3", ("--by", "rods")), ("ft", "yd3", ("--by", "scan"))],
)
def test_a_starter_runs_as_it_stands(invoke, tmp_path, units, volume, ways):
    made = invoke("new", "first", "--units", units, *ways, cwd=tmp_path)
    assert (made.exit_code, made.stderr) == (0, "")
    command = next(line.split() for line in made.stdout.splitlines() if "gradevol check" in line)
    done = invoke(*command[1:], "--no-pictures", "--json", cwd=tmp_path)
    view = json.loads(done.stdout)
    assert (done.exit_code, done.stderr) == (0, "")
    assert view["units"]["volume"] == volume
    assert view["survey"]["suspect"] == []
    assert view["concrete"]["overlap"] == 0
    assert 0.9 < view["concrete"]["volume"] / view["slab"]["nominal_volume"] < 1.1


def test_feet_are_the_starter_if_no_unit_is_named(invoke, tmp_path):
    invoke("new", tmp_path / "a")
    assert 'units = "ft"' in (tmp_path / "a" / "job.toml").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["job.toml", "shots.csv"])
def test_no_file_of_the_user_is_replaced(invoke, tmp_path, name):
    (tmp_path / name).write_text("mine")
    done = invoke("new", tmp_path)
    assert done.exit_code == 2
    assert f"there is a {name} already" in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert (tmp_path / name).read_text() == "mine"


def test_a_folder_within_folders_is_made(invoke, tmp_path):
    done = invoke("new", tmp_path / "a" / "b")
    assert done.exit_code == 0
    assert {path.name for path in (tmp_path / "a" / "b").iterdir()} == {"job.toml", "shots.csv"}


def test_a_file_is_no_folder(invoke, tmp_path):
    (tmp_path / "a").write_text("mine")
    for folder in (tmp_path / "a", tmp_path / "a" / "b"):
        done = invoke("new", folder)
        assert done.exit_code == 2
        assert "Traceback" not in done.stderr
    assert (tmp_path / "a").read_text() == "mine"


def test_the_command_that_is_told_can_be_pasted(invoke, tmp_path):
    made = invoke("new", "Bill's floor; east", cwd=tmp_path)
    command = next(line for line in made.stdout.splitlines() if "gradevol check" in line)
    assert shlex.split(command)[2:] == [str(Path("Bill's floor; east", "job.toml"))]


def test_a_starter_that_can_not_be_written_whole_leaves_nothing(tmp_path, monkeypatch):
    write = Path.write_bytes

    def fill(path, data):
        if path.name == "shots.csv":
            raise OSError(errno.ENOSPC, "No space left on device")
        return write(path, data)

    monkeypatch.setattr(Path, "write_bytes", fill)
    with pytest.raises(InputError, match="no space left"):
        write_starter(tmp_path / "first", "feet")
    assert not list(tmp_path.iterdir())
