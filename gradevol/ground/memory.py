"""Memory that was let go of, given back to the system."""

import sys

#: Of glibc's `mallopt`: from this size on an array has memory of its own, bytes.
_M_MMAP_THRESHOLD, _OF_ITS_OWN = -3, 4 << 20


def give_back() -> None:
    """
    Give back what was let go of, and from here on what large arrays take once they are.

    The C library keeps it for later arrays, which mostly don't fit between those that are still
    held: of a thousand small tiles, or of a million shots, that is a third of all memory. On Linux
    only, by ``malloc_trim`` and ``mallopt`` (their manual pages, section 3).
    """
    if sys.platform != "linux":
        return
    import ctypes  # noqa: PLC0415

    library = ctypes.CDLL(None)  # not every C library has them
    if set_option := getattr(library, "mallopt", None):
        set_option(_M_MMAP_THRESHOLD, _OF_ITS_OWN)
    if trim := getattr(library, "malloc_trim", None):
        trim(0)
