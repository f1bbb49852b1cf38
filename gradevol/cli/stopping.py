"""Ctrl-C, and other signals to end: all leave by the road that takes half-written files away."""

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import NoReturn

#: Signals that end a run: Ctrl-C, another's wish, its terminal being closed, that on Windows.
_NAMES = ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
_STOPS = [getattr(signal, name) for name in _NAMES if hasattr(signal, name)]


class Stopped(KeyboardInterrupt):
    """
    A run was stopped from outside.

    Parameters
    ----------
    number : int
        Of the signal.
    """

    def __init__(self, number: int) -> None:
        super().__init__()
        self.code = 128 + number


@contextmanager
def stopping() -> Iterator[None]:
    """Raise `Stopped` where a signal would end the process; as before afterwards."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    # a run in the background is told to ignore Ctrl-C, and goes on ignoring it
    before = {number: signal.getsignal(number) for number in _STOPS}
    heard = [number for number in _STOPS if before[number] is not signal.SIG_IGN]
    for number in heard:
        signal.signal(number, _stop)
    try:
        yield
    finally:
        for number in heard:
            signal.signal(number, before[number])


@contextmanager
def starting_deaf() -> Iterator[None]:
    """Start processes that don't hear Ctrl-C, which a terminal sends to all: this one ends them."""
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _stop(number: int, _frame: FrameType | None) -> NoReturn:
    for later in _STOPS:  # clearing up is not stopped a second time
        signal.signal(later, signal.SIG_IGN)
    raise Stopped(number)


def release_output() -> None:
    """Let go of a standard output that can't be written, or Python complains of it as it ends."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
