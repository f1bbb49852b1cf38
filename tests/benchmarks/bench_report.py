"""What the pictures and the exports of a check cost: all of its files against figures alone.

Run by hand; gates nothing:

    python tests/benchmarks/bench_report.py [JOB]

Without a job it takes the apron with its costs. Both run as processes of their own, in turn, in the
same run: one writes everything (page, sheet, plan, 3D picture, all exports), the other has
``--no-pictures``. The median of each counts, and their ratio: seconds are those of the machine.
Where others keep it busy, the seconds of its processors (all processes of a check together) tell
more.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from statistics import median
from time import perf_counter

ROOT = Path(__file__).parents[2]
SAMPLE = ROOT / "sample_surveys" / "apron" / "job_costs.toml"
ROUNDS = 5
#: What each run must have left, or it measured nothing.
PICTURES = ("report.html", "sheet.pdf", "plan.png", "base3d.png", "exports")


def time_processors() -> float:
    """Seconds that processors have worked for the processes that have ended."""
    times = os.times()
    return times.children_user + times.children_system


def time_check(job: Path, *options: str) -> tuple[float, float]:
    """Seconds of one check as a process, from its start to its exit: of a clock, of processors."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "gradevol", "check", str(job), "--out", folder, *options]
        environment = {**os.environ, "PYTHONPATH": str(ROOT)}
        start, worked = perf_counter(), time_processors()
        subprocess.run(command, env=environment, check=True, capture_output=True)
        seconds = perf_counter() - start, time_processors() - worked
        is_whole = all((Path(folder) / name).exists() for name in PICTURES)
        if is_whole == ("--no-pictures" in options):
            raise SystemExit(f"the files of {' '.join(command)} are not those asked for")
    return seconds


def compare(job: Path) -> None:
    """Print the medians and their ratio."""
    whole, bare = [], []
    for _ in range(ROUNDS):
        whole.append(time_check(job, "--export", "all"))
        bare.append(time_check(job, "--no-pictures"))
    print(f"{job}: {ROUNDS} rounds in turn, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    for number, whose in enumerate(("clock", "processors")):
        long, short = ([one[number] for one in times] for times in (whole, bare))
        print(
            f"  {whose}: everything, median {median(long):.2f} s ({min(long):.2f} to "
            f"{max(long):.2f}); no pictures {median(short):.2f} s ({min(short):.2f} to "
            f"{max(short):.2f}); ratio {median(long) / median(short):.2f}"
        )


if __name__ == "__main__":
    compare(Path(sys.argv[1]) if sys.argv[1:] else SAMPLE)
