"""The two command lines of the README."""

import re
import shlex
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def block(marker):
    """The fenced block behind a marker."""
    found = re.search(rf"<!-- {marker} -->\n+```\w*\n(.*?)```", README, re.S)
    assert found, f"README.md has no fenced block behind <!-- {marker} -->"
    return found[1]


def commands_in(line):
    """The commands of a line joined by `&&`, each split into words."""
    return [shlex.split(command) for command in line.split("&&")]


@pytest.mark.parametrize("marker", ["run line", "test line"])
def test_each_of_them_is_one_line(marker):
    assert block(marker).strip().count("\n") == 0


def test_the_run_line_makes_an_environment_and_checks_the_sample():
    makes, installs, runs = commands_in(block("run line"))
    assert makes[:3] == ["python3", "-m", "venv"]
    assert installs[0].startswith(makes[3])
    assert installs[1] == "install"
    assert Path(runs[0]).name == "gradevol"


def test_the_run_line_runs_on_the_sample(invoke, tmp_path):
    words = commands_in(block("run line"))[-1][1:]
    assert words[0] == "check"
    done = invoke(words[0], *(ROOT / w if w.endswith(".toml") else w for w in words[1:]),
                  "--no-pictures", "--out", tmp_path / "out")  # fmt: skip
    assert (done.exit_code, done.stderr) == (0, "")
    assert "yd³ of concrete" in done.stdout


@pytest.mark.parametrize("marker", ["run line", "test line"])
def test_the_parts_of_the_package_that_it_installs_are_there(marker):
    import tomllib  # noqa: PLC0415

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = re.search(r" '\.\[(.*?)\]'", block(marker))
    assert named
    assert set(named[1].split(",")) <= set(project["optional-dependencies"])


def test_the_test_line_runs_pytest():
    assert commands_in(block("test line"))[-1][1:3] == ["-m", "pytest"]
