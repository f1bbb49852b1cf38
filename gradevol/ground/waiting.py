"""Waiting for a long call of a library so that Ctrl-C is heard meanwhile."""

from collections.abc import Callable
from threading import Thread
from typing import TypeVar

Made = TypeVar("Made")

#: A wait without an end hears a signal to its own thread alone, and on Windows none, s.
_A_WHILE = 0.1


def wait_for(work: Callable[[], Made]) -> Made:
    """
    Do work that lets other threads run but never looks up.

    Signals are heard between two steps of Python, and a library's call is one step, however long.
    So it is made beside, and left to itself where the wait is broken off.

    Parameters
    ----------
    work : callable
        Must be of no effect outside of what it returns.

    Returns
    -------
    What the work returns.

    Raises
    ------
    What the work raises.
    """
    made: list[Made] = []
    failed: list[BaseException] = []

    def do() -> None:
        try:
            made.append(work())
        except BaseException as error:
            failed.append(error)

    beside = Thread(target=do, daemon=True)
    beside.start()
    while beside.is_alive():
        beside.join(_A_WHILE)
    if failed:
        raise failed[0]
    return made[0]
