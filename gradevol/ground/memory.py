"""Memory that was let go of, given back to the system."""

import sys


def give_back() -> None:
    """
    Give back what many small arrays have left between those that are still held.

    The C library keeps it for later ones, which mostly don't fit: of a thousand small tiles that is
    a third of all memory. On Linux only, by ``malloc_trim`` (its manual page, section 3).
    """
    if sys.platform != "linux":
        return
    import ctypes  # noqa: PLC0415

    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # not every C library has it
    if trim is not None:
        trim(0)
