"""Help, version and wrong usage."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from gradevol.cli import COMMANDS
from gradevol.version import __version__

JOB = Path(__file__).parents[2] / "sample_surveys/apron/job.toml"


def test_help_lists_every_command_with_a_line(gradevol):
    done = gradevol("--help")
    assert (done.returncode, done.stderr) == (0, "")
    for name, line in COMMANDS.items():
        assert re.search(rf"^  {name} +{re.escape(line[:20])}", done.stdout, re.M)


@pytest.mark.parametrize("command", sorted(COMMANDS))
@pytest.mark.parametrize("flag", ["-h", "--help"])
def test_every_command_has_help(invoke, command, flag):
    done = invoke(command, flag)
    assert done.exit_code == 0
    assert done.stdout.startswith(f"Usage: main {command} ")
    options = re.findall(r"^  (--[\w-]+)", done.stdout, re.M)
    assert options or command == "new"


@pytest.mark.parametrize("command", sorted(COMMANDS))
def test_every_option_says_what_it_does(invoke, command):
    text = invoke(command, "--help").stdout.split("Options:\n", 1)[1]
    entries = re.split(r"^  (?=-)", text, flags=re.M)[1:]
    assert len(entries) > 1
    for entry in entries:
        words = " ".join(entry.split())
        assert re.search(r"[a-z]{2,} [a-zA-Z]", words.split("  ")[-1]), entry


def test_the_version_is_the_package_s(gradevol):
    done = gradevol("--version")
    assert (done.returncode, done.stdout) == (0, f"gradevol {__version__}\n")


@pytest.mark.parametrize(
    "words", [(), ("nonsense",), ("check",), ("check", "a", "b"), ("check", "--nonsense"), ("new",)]
)
def test_wrong_usage_exits_two_and_prints_nothing(invoke, words):
    done = invoke(*words)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert "Usage: " in done.stderr


def test_help_does_not_wait_for_numpy():
    every = [["--help"], *([name, "--help"] for name in sorted(COMMANDS))]
    code = (
        "import sys\n"
        "from gradevol.cli import main\n"
        f"for words in {every}:\n"
        "    main(words, standalone_mode=False)\n"
        "    heavy = {'numpy', 'scipy', 'shapely', 'matplotlib', 'laspy'} & set(sys.modules)\n"
        "    if heavy:\n"
        "        sys.exit(f'{words} loads {heavy}')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, env=os.environ
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_a_check_without_pictures_loads_no_library_or_reader_that_it_can_do_without(tmp_path):
    code = (
        "import sys\n"
        "from gradevol.cli import main\n"
        f"words = [{str(JOB)!r}, '--no-pictures', '--out', {str(tmp_path)!r}]\n"
        "main(['check', *words], standalone_mode=False)\n"
        "loaded = {name.partition('.')[0] for name in sys.modules}\n"
        "heavy = {'matplotlib', 'trimesh', 'pyvista', 'vtkmodules', 'ezdxf', 'laspy', 'scipy'}\n"
        "rooms = 'gradevol.files.drawings.', 'gradevol.files.clouds.', 'gradevol.after.'\n"
        "others = [name for name in sys.modules if name.startswith(rooms)]\n"
        "print(sorted(heavy & loaded) + others, file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], env=os.environ, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    assert done.stderr.strip().splitlines()[-1] == "[]"
