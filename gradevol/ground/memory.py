"""Memory that was let go of: kept for what comes next, or given back to the system."""

import sys
from collections.abc import Callable

from gradevol.ground.progress import Progress

#: Settings of ``mallopt`` (numbers from glibc's malloc.h): from which size on an array has memory
#: of its own, and how much is kept that was let go of, bytes.
_M_MMAP_THRESHOLD, _M_TRIM_THRESHOLD = -3, -1
#: Of a small check: the most that the C library comes to by itself (its manual page, section 3).
_KEPT = ((_M_MMAP_THRESHOLD, 32 << 20), (_M_TRIM_THRESHOLD, 64 << 20))
#: Of large surveys.
_LITTLE = ((_M_MMAP_THRESHOLD, 4 << 20), (_M_TRIM_THRESHOLD, 8 << 20))
#: Points that are worth giving back what is done with them takes.
MANY = 100_000


def keep_for_next() -> None:
    """
    Keep what arrays of some hundred rows leave for those that come next.

    Until it has met large ones the C library gives each back to the system, which clears every page
    of the next: a twentieth of a small check. Where there is glibc only.
    """
    _set_up(_KEPT)


def give_back() -> None:
    """
    Give back what many small arrays have left between those that are still held.

    The C library keeps it for later ones, which mostly don't fit: of a thousand small tiles, or a
    million shots, that is a third of all memory. On Linux only, by ``malloc_trim`` (its manual
    page, section 3).
    """
    if trim := _find("malloc_trim"):
        trim(0)


def give_back_before(progress: Progress) -> Progress:
    """
    Tell of each step, and before it begins give back what the one before it took.

    From here on large arrays are given back at once, too. Not for a cloud that is being read: its
    chunks are of one size, and go where the last one was.
    """
    _set_up(_LITTLE)

    def tell(step: str, share: float) -> None:
        if share == 0.0:
            give_back()
        progress(step, share)

    return tell


def _set_up(settings: tuple[tuple[int, int], ...]) -> None:
    if set_option := _find("mallopt"):
        for setting, size in settings:
            set_option(setting, size)


def _find(name: str) -> Callable[..., int] | None:
    """Find a function of the C library, on Linux; not every one has it."""
    if sys.platform != "linux":
        return None
    import ctypes  # noqa: PLC0415

    return getattr(ctypes.CDLL(None), name, None)
