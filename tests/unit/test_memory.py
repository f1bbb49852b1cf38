import os
import platform
import re
import subprocess
import sys
import tracemalloc
from pathlib import Path

import numpy as np
import pytest

from gradevol.ground.memory import give_back
from gradevol.job import read_job
from gradevol.runs.check import check_job
from tests.small_job import write_job


def resident() -> int:
    """Memory that this process holds, bytes."""
    [held] = re.findall(r"VmRSS:\s+(\d+) kB", Path("/proc/self/status").read_text())
    return int(held) * 1024


@pytest.mark.skipif(sys.platform != "linux", reason="asks Linux for the memory in use")
def test_room_between_arrays_is_given_back() -> None:
    held = [np.ones(10_000) for _ in range(1_000)]  # 80 kB each, below what is asked for by itself
    del held[:-1]
    before = resident()
    give_back()
    assert before - resident() > 40_000_000


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="asks glibc to keep memory")
def test_arrays_are_made_where_the_last_ones_were() -> None:
    code = (
        "import resource\n"
        "import numpy as np\n"
        "from gradevol.ground.memory import keep_for_next\n"
        "keep_for_next()\n"
        "pages = []\n"
        "for _ in range(100):\n"
        "    [np.ones((400, 400)) for _ in range(4)]\n"  # 1,250 pages of 4 kB
        "    pages.append(resource.getrusage(resource.RUSAGE_SELF).ru_minflt)\n"
        "print(pages[-1] - pages[0])\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, env=os.environ
    )
    assert int(done.stdout) < 1_000


JOB = """title = "Wide pad (invented)"
units = "m"
[base]
shots = "shots.csv"
[slab]
edge = [[1, 1], [99, 1], [99, 99], [1, 99]]
thickness = 0.15
[top]
level = 99.65
"""


@pytest.mark.slow
def test_a_check_takes_memory_by_its_shots_and_no_more(tmp_path: Path) -> None:
    peaks = []
    for count in (20_000, 60_000):
        rng = np.random.default_rng(7)
        plan = rng.uniform(0, 100, (count, 2))
        level = 99.5 + 0.02 * np.sin(plan[:, 0] / 4) * np.cos(plan[:, 1] / 5)
        rows = np.column_stack([np.arange(count), plan, level])
        np.savetxt(tmp_path / "shots.csv", rows, "%d,%.3f,%.3f,%.3f", comments="", header="P,E,N,Z")
        job = read_job(write_job(tmp_path, job=JOB, shots=None))
        tracemalloc.start()
        check_job(job)
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
    # a million measured 480; with the corners of each piece and a text for each cell it was 1,000
    assert (peaks[1] - peaks[0]) / 40_000 < 700
