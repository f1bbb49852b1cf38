"""No network but a cluster that is asked for; no process but to draw and to try a decoder."""

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.small_job import JOB, write_job

ROOT = Path(__file__).parents[2]
#: What opens connections, and what starts processes.
NETWORK = {
    *("asyncio", "ftplib", "http", "httpx", "imaplib", "poplib", "requests", "select", "selectors"),
    *("smtplib", "socket", "socketserver", "ssl", "telnetlib", "urllib", "urllib3", "webbrowser"),
    *("distributed", "xmlrpc"),
}
PROCESSES = {"concurrent", "distributed", "multiprocessing", "pty", "subprocess"}
#: Modules that start processes, and what they start them for.
STARTING = {
    "cli/abreast.py": "--workers: checks of several jobs side by side",
    "ground/cluster.py": "--scheduler: asks the workers of a cluster that runs, and starts none",
    "files/clouds/las_trial.py": "packed points with blanked blocks, which can end a process",
    "out/pictures/renderer.py": "the 3D drawing, which can end its process",
}
#: Commands that say each connection and each process that they would start.
WATCHED = """
import sys
FORBIDDEN = ("socket.connect", "socket.getaddrinfo", "socket.bind", "subprocess.Popen", "os.exec",
             "os.fork", "os.forkpty", "os.posix_spawn", "os.spawn", "os.system", "urllib.Request",
             "webbrowser.open", "http.client.connect")
sys.addaudithook(lambda name, given: print(name, given[:2]) if name in FORBIDDEN else None)
from gradevol.cli import main
job, shots = sys.argv[1:]
main(["check", job, "--no-pictures", "--json"], standalone_mode=False)
main(["describe", shots], standalone_mode=False)
main(["order", job], standalone_mode=False)
"""


@pytest.fixture(scope="module")
def imported():
    """Which of these names the modules of the package import, wherever in them."""
    package = ROOT / "gradevol"
    texts = {path: path.read_text(encoding="utf-8") for path in package.rglob("*.py")}
    named = re.compile(rf"\b({'|'.join(NETWORK | PROCESSES)})\b")
    return {
        path.relative_to(package).as_posix(): set(list_imports(text))
        for path, text in texts.items()
        if named.search(text)  # only these are parsed, which takes longer
    }


def list_imports(text):
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            yield node.module.partition(".")[0]


def test_no_module_imports_what_opens_connections(imported):
    found = {(path, name) for path, names in imported.items() for name in names & NETWORK}
    assert found == {("ground/cluster.py", "distributed")}  # a cluster that is asked for


def test_only_named_modules_start_processes(imported):
    found = {path for path, names in imported.items() if PROCESSES & names}
    assert found == STARTING.keys()


def test_commands_connect_to_nothing_and_start_nothing(tmp_path):
    path = write_job(tmp_path, job=f"order = {{ waste = 0.03 }}\n{JOB}")
    done = subprocess.run(
        [sys.executable, "-c", WATCHED, path, tmp_path / "shots.csv"],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    for told in ('"title"', "20 shots", "Needed"):  # by each of them
        assert told in done.stdout
    # numpy 1.26 asks lscpu as its own testing is imported, by scipy 1.12
    assert not [
        line
        for line in done.stdout.splitlines()
        if line.startswith(("socket", "sub", "os.")) and "'lscpu'" not in line
    ]
