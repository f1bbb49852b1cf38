import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.small_job import write_job

#: A check that waits where it would write its page, and says so.
WAITING = """
import signal, sys, time
signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background ignores it
import gradevol.out.pages.page as page
from gradevol.cli import main
page.write_page = lambda *_, **__: (print("waiting", flush=True), time.sleep(60))
main(["check", sys.argv[1], "--no-pictures"])
"""


@pytest.mark.parametrize(("number", "code"), [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
def test_a_run_that_is_stopped_says_so_and_leaves_nothing(tmp_path, number, code):
    job = write_job(tmp_path)
    before = sorted(tmp_path.iterdir())
    run = subprocess.Popen(
        [sys.executable, "-c", WAITING, job], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert run.stdout is not None
    assert run.stdout.readline() == b"waiting\n"
    run.send_signal(number)
    _, said = run.communicate(timeout=20)
    assert run.returncode == code
    assert said.startswith(b"Stopped; ")
    assert sorted(tmp_path.iterdir()) == before


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
