import os
import platform
import re
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from gradevol.files.shots.delimited import read_delimited
from gradevol.files.sources import Shots
from gradevol.ground import cluster
from gradevol.ground.memory import give_back
from gradevol.ground.texts import MANY, Texts
from gradevol.site.surface import build_surface
from gradevol.version import __version__


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


def test_a_worker_keeps_memory_for_the_next_chunk(monkeypatch: pytest.MonkeyPatch) -> None:
    kept: list[int] = []
    monkeypatch.setattr(cluster, "keep_for_next", lambda: kept.append(1))
    monkeypatch.setenv("RAYON_NUM_THREADS", "1")  # is put back
    worker = SimpleNamespace(state=SimpleNamespace(nthreads=1))
    monkeypatch.setattr("distributed.get_worker", lambda: worker)
    assert cluster._do(__version__, divmod, 7, 2) == (3, 1)
    assert kept


def test_of_many_shots_text_stands_in_one_piece_and_rows_take_four_bytes(tmp_path: Path) -> None:
    rng = np.random.default_rng(7)
    plan = rng.uniform(0, 100, (MANY + 1, 2))
    rows = np.column_stack([np.arange(len(plan)), plan, np.full(len(plan), 99.5)])
    path = tmp_path / "shots.csv"
    np.savetxt(path, rows, "%d,%.3f,%.3f,%.3f", comments="", header="P,E,N,Z")
    survey = read_delimited(Shots((path,), "m"))
    assert isinstance(survey.ids, Texts)
    assert isinstance(survey.readings, Texts)
    assert survey.readings[-1] == "99.500"
    surface = build_surface(survey.points)
    assert surface.triangles.dtype == np.int32
    assert surface.delaunay is not None
    assert surface.delaunay.dtype == np.int32
