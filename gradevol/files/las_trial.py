"""Packed points that look damaged, unpacked first in a process of their own.

The decoder can end its whole process on bytes that no packer writes, where it should raise. A block
that a failing disk or a copy has blanked is seen by its bytes, in a look at the file that costs a
good one nothing to speak of: only then is unpacking tried where it can do no harm.
"""

import subprocess
import sys
from pathlib import Path

from gradevol.files.las_packing import refuse
from gradevol.ground.errors import InputError

#: Runs that packed points do not hold, arithmetic-coded as they are, but erased blocks do; noughts
#: stand between layers too, so that more of them are needed.
_BLANKED = (b"\xff" * 16, b"\x00" * 256)
_AT_ONCE = 1 << 22
#: The trial is given up after so long, s, and so many more for each megabyte.
_PATIENCE, _PER_MEGABYTE = 20.0, 2.0


def refuse_blanked(path: Path, start: int) -> None:
    """
    Refuse a file with blanked blocks among its points, if a trial shows that it can't be unpacked.

    Parameters
    ----------
    path : Path
        Of packed points.
    start : int
        Byte from which they lie.

    Raises
    ------
    InputError
        If unpacking failed, or ended the process that tried.
    """
    if not _has_blanks(path, start):
        return
    patience = _PATIENCE + _PER_MEGABYTE * path.stat().st_size / 1e6
    command = [sys.executable, "-m", "gradevol.files.las_trial", str(path.absolute())]
    try:
        done = subprocess.run(command, capture_output=True, check=False, timeout=patience)
    except subprocess.TimeoutExpired:
        refuse(path, "its points cannot be unpacked: blocks of it are blank")
    if done.returncode:
        refuse(path, "its points cannot be unpacked: blocks of it are blank")


def _has_blanks(path: Path, start: int) -> bool:
    with path.open("rb") as file:
        file.seek(start)
        kept = b""
        while block := file.read(_AT_ONCE):
            held = kept + block
            if any(run in held for run in _BLANKED):
                return True
            kept = held[-len(_BLANKED[-1]) :]
    return False


def _try(path: Path) -> int:
    """Unpack all points: the exit code."""
    from gradevol.files.las_header import read_las_header  # noqa: PLC0415
    from gradevol.files.las_points import unpack_records  # noqa: PLC0415

    try:
        for _ in unpack_records(read_las_header(path)):
            pass
    except InputError:
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(_try(Path(sys.argv[1])))
