"""Streams that are not there, as where no console starts the program."""

import os
import subprocess
import sys

import pytest

from tests.small_job import write_job


def run_without(closed, words, folder):
    """Run with some of the streams 0, 1, 2 closed."""

    def close():
        for number in closed:
            os.close(number)

    return subprocess.run(
        [sys.executable, "-m", "gradevol", *words],
        cwd=folder, check=False, capture_output=True,
        preexec_fn=close,
    )  # fmt: skip


def test_a_check_is_done_without_streams(tmp_path):
    write_job(tmp_path)
    done = run_without((0, 1, 2), ("check", "job.toml", "--no-pictures"), tmp_path)
    assert done.returncode == 0
    assert (tmp_path / "job" / "result.json").exists()


@pytest.mark.parametrize("words", [("describe", "-"), ("levels", "-", "--units", "ft")])
def test_a_dash_is_refused_where_there_is_no_standard_input(tmp_path, words):
    done = run_without((0,), words, tmp_path)
    assert done.returncode == 2
    assert done.stderr == b"Error: there is no standard input. Name a file in place of the dash.\n"
