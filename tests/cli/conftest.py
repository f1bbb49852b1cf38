"""The program as a process, and in this process where only its words matter."""

import os
import subprocess
import sys
from contextlib import chdir
from pathlib import Path

import pytest
from click.testing import CliRunner

from gradevol.cli import main

ROOT = Path(__file__).parents[2]
#: The program of this tree, whichever folder it is run in.
ENVIRONMENT = {**os.environ, "PYTHONPATH": str(ROOT)}


@pytest.fixture(scope="session")
def gradevol():
    """Run `python -m gradevol` as a process; its standard error is no terminal."""

    def run(*words, cwd=ROOT, env=None, stdin=None):
        done = subprocess.run(
            [sys.executable, "-m", "gradevol", *map(str, words)],
            cwd=cwd, capture_output=True, input=stdin, check=False,
            env={**ENVIRONMENT, **(env or {})},
        )  # fmt: skip
        done.stdout, done.stderr = done.stdout.decode(), done.stderr.decode()
        return done

    return run


@pytest.fixture(scope="session")
def invoke():
    """Run a command in this process; an exception that is not told makes the test fail."""

    def run(*words, cwd=".", stdin=None):
        with chdir(cwd):
            runner = CliRunner(catch_exceptions=False)
            return runner.invoke(main, [str(word) for word in words], input=stdin)

    return run


@pytest.fixture
def undrawn(monkeypatch):
    """Leave the papers of accounts blank, which take longest and are looked at elsewhere."""
    for name in ("account.write_account_paper", "accounts.write_accounts_paper"):
        monkeypatch.setattr(f"gradevol.out.paper.{name}", lambda path, *_, **__: path.touch())
