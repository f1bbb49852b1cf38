import re
import sys
from pathlib import Path

import numpy as np
import pytest

from gradevol.ground.memory import give_back


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
