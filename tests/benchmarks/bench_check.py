"""How many times its floor a run takes, in processor time: one table.

Run by hand; gates nothing:

    python tests/benchmarks/bench_check.py [SHOTS ...]

Floor and run go in turn, each in a process of its own; the best of some rounds counts. The floor of
help is an empty Python, that of a small check loading numpy and shapely, that of a survey of many
invented shots scipy's Delaunay triangulation of them.
"""

import os
import platform
import subprocess
import sys
import tempfile
from importlib.metadata import version
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
JOB = """title = "Large pad (invented)"
units = "ft"
[base]
shots = "shots.csv"
[slab]
edge = [[1, 1], [299, 1], [299, 299], [1, 299]]
thickness = "6 in"
least_thickness = "5 1/4 in"
base_high = "1/4 in"
base_low = "1/2 in"
[top]
through = [0, 0, 100.0]
fall = "1 %"
bearing = 0
"""
#: Fewer shots than this are held against loading libraries: triangulating them is nothing.
FEW = 5000
DELAUNAY = """
import numpy as np
from scipy.spatial import Delaunay
import time
plan = np.loadtxt({path!r}, delimiter=",", skiprows=1, usecols=(1, 2))
started = time.process_time()
Delaunay(plan)
print(time.process_time() - started)
"""


def write_survey(folder: Path, count: int) -> Path:
    """Invented base under a top that falls by 1 %: broad waves, and the scatter of a rod."""
    rng = np.random.default_rng(7)
    east, north = rng.random((2, count)) * 300
    level = 99.5 - north / 100 + 0.02 * np.sin(east / 10) * np.cos(north / 13)
    level += rng.normal(0, 0.01, count)
    rows = np.column_stack([np.arange(1, count + 1), east, north, level])
    header = "point,easting,northing,elevation"
    np.savetxt(folder / "shots.csv", rows, "%d,%.3f,%.3f,%.3f", header=header, comments="")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    return folder / "job.toml"


def measure(*words: str) -> tuple[float, float, str]:
    """Processor seconds of a Python process, the most memory that it held, MB, and what it said."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "OPENBLAS_NUM_THREADS": "1"}
    environment.pop("PYTHONDONTWRITEBYTECODE", None)
    with tempfile.TemporaryFile() as said:
        run = subprocess.Popen([sys.executable, *words], cwd=ROOT, env=environment, stdout=said)
        _, status, used = os.wait4(run.pid, 0)
        run.returncode = os.waitstatus_to_exitcode(status)
        if run.returncode:
            raise subprocess.CalledProcessError(run.returncode, words)
        said.seek(0)
        return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, said.read().decode()


def compare(name: str, floor: list[str], run: list[str], *, rounds: int) -> None:
    """Print a line of the table."""
    least, ours, memory = np.inf, np.inf, 0.0
    for _ in range(rounds):
        spent, _, said = measure(*floor)
        least = min(least, float(said) if said.strip() else spent)
        spent, memory, _ = measure(*run)
        ours = min(ours, spent)
    print(
        f"{name:32} {least:8.2f} s {ours:8.2f} s {ours / least:7.1f} {memory:7.0f} MB", flush=True
    )


def main() -> None:
    """Print the table."""
    counts = [int(word) for word in sys.argv[1:]] or [500, 80_000, 300_000]
    libraries = ", ".join(f"{name} {version(name)}" for name in ("numpy", "scipy", "shapely"))
    print(f"{os.cpu_count()} cores, Python {platform.python_version()}, {libraries}")
    print(f"{'':32} {'floor':>10} {'run':>10} {'ratio':>7} {'at most':>10}")
    with tempfile.TemporaryDirectory() as folder:
        check = ["-m", "gradevol", "check", "--no-pictures", "--out", folder]
        compare("--help", ["-c", "pass"], ["-m", "gradevol", "--help"], rounds=5)
        sample = str(ROOT / "sample_surveys" / "apron" / "job.toml")
        load = ["-c", "import numpy, shapely"]
        compare("62 shots, no pictures", load, [*check, sample], rounds=5)
        for count in counts:
            job = write_survey(Path(folder), count)
            floor = ["-c", DELAUNAY.format(path=str(job.parent / "shots.csv"))]
            if count < FEW:
                floor = load
            compare(f"{count:,} shots, no pictures", floor, [*check, str(job)], rounds=1)


if __name__ == "__main__":
    main()
