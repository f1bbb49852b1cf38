"""Another machine, as far as one can be played here: the same words and the same files.

`other_machine/sitecustomize.py` takes from Python what Windows lacks; streams have a code page. No
folder is anyone's own, and there are no fonts but those of the libraries.
"""

import json
import os
import shutil
import subprocess
import sys
from contextlib import contextmanager
from functools import partial
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
    **dict.fromkeys(("HOME", "MPLCONFIGDIR", "TMPDIR"), "/nowhere"),
    "DISPLAY": "",
}
APRON = "apron/job_pour.toml"
WORKERS = ("--workers", "2")
TICKETS = ("--tickets", "apron/tickets.csv")
#: Run one after the other in a folder of samples; some write over what another has left.
COMMANDS = [
    ("check", "small/job.toml", "--no-pictures", "--all"),
    ("check", "small/job.toml", "--export", "all"),
    ("levels", "level_notes/page.csv", "--units", "ft", "--per-setup", "3", "--out", "shots.csv"),
    ("describe", "cloud_pad/base.laz", "--json"),
    ("new", "rods of mine", "--by", "rods"),
    ("pour", APRON, *TICKETS),
    ("reconcile", "small/job.toml", "--tickets", "small/tickets.csv",
     "--top-shots", "small/top.csv", "--learn", "learned.csv"),
    ("check", "small", "own floor", "--no-pictures", "--json", *WORKERS, "--out", "many"),
]  # fmt: skip
AFTER = {"tickets.csv": "load,volume_yd3\n1,2.7\n", "top.csv": SHOTS.replace(",99.5", ",100.0")}
#: One process for many commands: loading the libraries takes longer than all they do.
TOGETHER = """
import sys
from matplotlib import font_manager
find = font_manager.findSystemFonts
font_manager.findSystemFonts = lambda paths=None, *kind, **kinds: (
    find(paths, *kind, **kinds) if paths else []
)
font_manager.fontManager = font_manager.FontManager()
assert not any("/usr/share" in font.fname for font in font_manager.fontManager.ttflist)
from gradevol.cli import main
for words in {commands!r}:
    for stream in (sys.stdout, sys.stderr):
        print({end!r}, end="", file=stream, flush=True)
    try:
        main(words)
    except SystemExit as done:
        if done.code:
            raise
"""
END = "\x1e"


def run(folder, *how):
    return subprocess.run(
        [sys.executable, *how],
        cwd=folder, capture_output=True, check=False, stdin=subprocess.DEVNULL,
        env={**os.environ, **OTHER},
    )  # fmt: skip


def run_together(commands, folder):
    """Run commands in one process, the last to fail: what each printed, and its exit code."""
    done = run(folder, "-c", TOGETHER.format(commands=commands, end=END))
    printed = (stream.split(END.encode())[1:] for stream in (done.stdout, done.stderr))
    return list(zip(*printed, strict=True)), done.returncode


def read_all(folder):
    """Read every file, but the one that holds the time of the program's own files."""
    files = (file for file in folder.rglob("*") if file.is_file())
    return {
        file.relative_to(folder).as_posix(): file.read_bytes().replace(os.fsencode(folder), b"")
        for file in files
        if file.name != "pour_model.npz"
    }


@contextmanager
def drawn_already(_drawing, *, picture):
    """Leave the 3D drawing out, which is another process's and is looked at elsewhere."""
    assert picture.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    yield lambda path: shutil.copy(picture, path) and None


@pytest.mark.slow
def test_commands_do_the_same_where_windows_lacks_and_refuses_much(tmp_path, monkeypatch, invoke):
    here, other = tmp_path / "here", tmp_path / "other"
    for folder in (here, other):
        shutil.copytree(ROOT / "sample_surveys", folder)
        write_job(folder / "small", files=AFTER)
        write_starter(folder / "own floor" / "by tape", "feet", "tape")
        broken = write_starter(folder / "own floor" / "broken", "feet")
        broken.write_text(broken.read_text(encoding="utf-8").replace("shots.csv", "none.csv"))
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")
    printed, code = run_together(COMMANDS, other)
    assert len(printed) == len(COMMANDS), printed[-1][1].decode()
    picture = other / "small" / "job" / "base3d.png"
    monkeypatch.setattr(
        "gradevol.out.pictures.base3d.base3d_beside", partial(drawn_already, picture=picture)
    )
    for words, (told, noted) in zip(COMMANDS, printed, strict=True):
        # workers change nothing
        said = invoke(*(one for one in words if one not in WORKERS), cwd=here)
        assert said.exit_code == (0 if words != COMMANDS[-1] else code)
        found = told.replace(os.fsencode(other), os.fsencode(here))  # a path in what went wrong
        assert found.split() == said.stdout.encode("cp1252", "gradevol.spell").split()
        assert noted == said.stderr.encode("cp1252", "gradevol.spell")
    assert code == 2  # one of the last jobs is broken
    assert len(json.loads(said.stdout)["jobs"]) == 3
    assert read_all(other) == read_all(here)


def test_what_a_code_page_lacks_is_spelt():
    spelt = "−1⅜ in – 4⅝, Łódź: 2 m³ ½ × √4 🏗".encode("cp1252", "gradevol.spell").decode("cp1252")
    assert spelt == "-1 3/8 in – 4 5/8, Lódz: 2 m³ ½ × sqrt 4 ?"


def test_help_is_printed_in_a_code_page(tmp_path):
    done = run(tmp_path, "-m", "gradevol", "levels", "--help")
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"this times sqrt setups" in done.stdout
