"""Another machine, as far as one can be played here: the same words and the same files.

`other_machine/sitecustomize.py` takes from Python what Windows lacks; streams have a code page.
"""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from gradevol.out.starter import write_starter
from tests.cli.conftest import ROOT
from tests.small_job import SHOTS, write_job

pytestmark = pytest.mark.skipif(
    not Path("/proc/self/fd").exists(), reason="needs /proc, to find open files"
)

SHIM = Path(__file__).parent / "other_machine"
OTHER = {
    "PYTHONPATH": f"{SHIM}{os.pathsep}{ROOT}",
    "PYTHONIOENCODING": "cp1252",
    "PYTHONWARNDEFAULTENCODING": "1",
}
APRON = "apron/job_pour.toml"
WORKERS = ("--workers", "2")
TICKETS = ("--tickets", "apron/tickets.csv")
#: Run one after the other in a folder of samples; some write over what another has left.
SMALL = [
    ("check", "small/job.toml", "--no-pictures", "--export", "all"),
    ("check", "small/job.toml", "--no-pictures", "--all"),
    ("levels", "level_notes/page.csv", "--units", "ft", "--per-setup", "3", "--out", "shots.csv"),
    ("describe", "cloud_pad/base.laz", "--json"),
    ("new", "rods of mine", "--by", "rods"),
]
LARGE = [
    ("check", "small/job.toml"),
    ("pour", APRON, *TICKETS),
    ("reconcile", "small/job.toml", "--tickets", "small/tickets.csv",
     "--top-shots", "small/top.csv", "--learn", "learned.csv"),
    ("check", "small", "own floor", "--no-pictures", *WORKERS, "--out", "many"),
]  # fmt: skip
AFTER = {"tickets.csv": "load,volume_yd3\n1,2.7\n", "top.csv": SHOTS.replace(",99.5", ",100.0")}
#: One process for many commands: loading the libraries takes longer than all they do.
TOGETHER = """
import sys
from gradevol.cli import main
for words in {commands!r}:
    try:
        main(words)
    except SystemExit as done:
        if done.code:
            raise
    for stream in (sys.stdout, sys.stderr):
        print({end!r}, end="", file=stream, flush=True)
"""
END = "\x1e"


def run(folder, *how):
    return subprocess.run(
        [sys.executable, *how],
        cwd=folder, capture_output=True, check=False, stdin=subprocess.DEVNULL,
        env={**os.environ, **OTHER},
    )  # fmt: skip


def run_together(commands, folder):
    """Run commands in one process, but those of workers as a user does: what each printed."""
    alone = [words for words in commands if "--workers" in words]
    shared = [words for words in commands if words not in alone]
    code = TOGETHER.format(commands=shared, end=END)
    done = [run(folder, "-c", code), *(run(folder, "-m", "gradevol", *words) for words in alone)]
    assert [one.returncode for one in done] == [0] * len(done), b"".join(one.stderr for one in done)
    printed = ([part.split(END.encode()) for part in (one.stdout, one.stderr)] for one in done)
    return [pair for out, err in printed for pair in zip(out, err, strict=True)]


def read_all(folder):
    """Read every file, but the one that holds the time of the program's own files."""
    files = (file for file in folder.rglob("*") if file.is_file())
    return {
        file.relative_to(folder).as_posix(): file.read_bytes()
        for file in files
        if file.name != "pour_model.npz"
    }


@pytest.mark.parametrize(
    "commands", [SMALL, pytest.param(LARGE, marks=pytest.mark.slow)], ids=["small", "large"]
)
def test_commands_do_the_same_where_windows_lacks_and_refuses_much(
    tmp_path, monkeypatch, invoke, commands
):
    here, other = tmp_path / "here", tmp_path / "other"
    for folder in (here, other):
        shutil.copytree(ROOT / "sample_surveys", folder)
        write_job(folder / "small", files=AFTER)
        write_starter(folder / "own floor" / "by tape", "feet", "tape")
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    printed = [pair for pair in run_together(commands, other) if pair != (b"", b"")]
    assert len(printed) == len(commands)
    for words, (found, noted) in zip(commands, printed, strict=True):
        # workers change nothing: that is tested by itself
        said = invoke(*(one for one in words if one not in WORKERS), cwd=here)
        assert said.exit_code == 0
        assert found.split() == said.stdout.encode("cp1252", "gradevol.spell").split()
        assert noted == said.stderr.encode("cp1252", "gradevol.spell")
    assert read_all(other) == read_all(here)


def test_what_a_code_page_lacks_is_spelt():
    spelt = "−1⅜ in – 4⅝, Łódź: 2 m³ ½ × √4 🏗".encode("cp1252", "gradevol.spell").decode("cp1252")
    assert spelt == "-1 3/8 in – 4 5/8, Lódz: 2 m³ ½ × sqrt 4 ?"


def test_help_is_printed_in_a_code_page(tmp_path):
    done = run(tmp_path, "-m", "gradevol", "levels", "--help")
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"this times sqrt setups" in done.stdout
