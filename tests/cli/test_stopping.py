import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.small_job import write_job

#: Checks that wait where they would write their page, and say so; each gets another signal.
#: They wait piece by piece, for a signal that comes just before a long sleep does not end that.
WAITING = """
import signal, sys, time
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background ignores it
import gradevol.out.pages.page as page
from gradevol.cli import main
def wait(*_, **__):
    print("waiting", flush=True)
    for _ in range(600):
        time.sleep(0.1)
page.compose_page = wait
for _ in range(3):
    try:
        main(["check", sys.argv[1], "--no-pictures"])
    except SystemExit as done:
        print(done.code, flush=True)
"""

#: Two processes beside one, each busy for a minute, and stopped with it.
ABREAST = """
import signal, sys
signal.signal(signal.SIGINT, signal.default_int_handler)
from gradevol.cli.abreast import run_all
from gradevol.cli.stopping import Stopped, stopping
try:
    with stopping():
        busy = "import time; print('busy\\\\n', end='', flush=True)\\n"
        busy += "for _ in range(600): time.sleep(0.1)"
        run_all(exec, [busy] * 4, 2, progress=print)
except Stopped as stopped:
    sys.exit(stopped.code)
"""


def test_a_run_that_is_stopped_says_so_and_leaves_nothing(tmp_path):
    job = write_job(tmp_path)
    before = sorted(tmp_path.iterdir())
    run = subprocess.Popen(
        [sys.executable, "-c", WAITING, job], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert run.stdout is not None
    for number, code in ((signal.SIGINT, 130), (signal.SIGTERM, 143), (signal.SIGHUP, 129)):
        assert run.stdout.readline() == b"waiting\n"
        run.send_signal(number)
        assert run.stdout.readline() == b"%d\n" % code
        assert sorted(tmp_path.iterdir()) == before
    _, said = run.communicate(timeout=20)
    assert [line[:9] for line in said.splitlines()] == [b"Stopped; "] * 3


@pytest.mark.parametrize(("name", "is_for_all"), [("SIGINT", True), ("SIGTERM", False)])
def test_processes_beside_a_run_that_is_stopped_end_with_it_and_say_nothing(name, is_for_all):
    # a terminal sends Ctrl-C to all of them
    run = subprocess.Popen(
        [sys.executable, "-c", ABREAST],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True,
    )  # fmt: skip
    assert run.stdout is not None
    assert [run.stdout.readline() for _ in range(2)] == [b"busy\n"] * 2
    (os.killpg if is_for_all else os.kill)(run.pid, getattr(signal, name))
    more, said = run.communicate(timeout=20)
    assert run.returncode == 128 + getattr(signal, name)
    assert (more, said) == (b"", b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_a_full_output_is_told_in_words(tmp_path):
    job = write_job(tmp_path)
    with Path("/dev/full").open("w") as full:
        run = subprocess.run(
            [sys.executable, "-m", "gradevol", "check", job, "--no-pictures"],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert run.returncode == 2
    assert run.stderr == b"Error: standard output: no space left on device.\n"
