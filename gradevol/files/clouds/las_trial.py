"""Packed points that look damaged, unpacked first in a process of their own.

The decoder can end its whole process on bytes that no packer writes, where it should raise. A block
that a failing disk or a copy has blanked is seen by its bytes, as they are read to be unpacked:
only then is unpacking tried where it can do no harm.
"""

import subprocess
import sys
import threading
from functools import cache
from pathlib import Path

from gradevol.files.clouds.las_packing import refuse
from gradevol.ground.errors import InputError

#: Runs that packed points do not hold, arithmetic-coded as they are, but erased blocks do; noughts
#: stand between layers too, so that more of them are needed.
_BLANKED = (b"\xff" * 16, b"\x00" * 256)
#: A run may begin so many bytes before the bytes that are looked at.
LONGEST_BLANK = len(_BLANKED[-1]) - 1
#: The trial is given up after so long, s, and so many more for each megabyte.
_PATIENCE, _PER_MEGABYTE = 20.0, 2.0

_one_at_a_time = threading.Lock()


def has_blanks(packed: bytes) -> bool:
    """Whether packed bytes hold a block that was blanked."""
    return any(run in packed for run in _BLANKED)


def refuse_deadly(path: Path) -> None:
    """
    Refuse a file with blanked blocks among its packed points, if a trial shows that it is damaged.

    Raises
    ------
    InputError
        If unpacking failed, or ended the process that tried.
    """
    state = path.stat()
    with _one_at_a_time:
        can_be = _can_be_unpacked(path.absolute(), state.st_size, state.st_mtime_ns)
    if not can_be:
        refuse(path, "its points cannot be unpacked: blocks of it are blank")


@cache
def _can_be_unpacked(path: Path, size: int, _modified: int) -> bool:
    """Whether a process of its own could unpack a file; tried once as long as it stays the same."""
    command = [sys.executable, "-m", "gradevol.files.clouds.las_trial", str(path)]
    patience = _PATIENCE + _PER_MEGABYTE * size / 1e6
    try:
        done = subprocess.run(command, capture_output=True, check=False, timeout=patience)
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


def _try(path: Path) -> int:
    """Unpack all points: the exit code."""
    from gradevol.files.clouds.las_header import read_las_header  # noqa: PLC0415
    from gradevol.files.clouds.las_runs import read_all  # noqa: PLC0415

    try:
        for _ in read_all(read_las_header(path), is_trial=True):
            pass
    except InputError:
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(_try(Path(sys.argv[1])))
