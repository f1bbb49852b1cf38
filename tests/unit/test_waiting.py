"""Waiting for a long call: what it makes, what it raises, and that Ctrl-C is heard meanwhile."""

import signal
from threading import Event, Timer
from time import monotonic

import pytest

from gradevol.ground.errors import GeometryError
from gradevol.ground.waiting import wait_for


def test_what_the_work_makes_or_raises_is_handed_on() -> None:
    assert wait_for(lambda: 7) == 7

    def fail() -> None:
        raise GeometryError("no surface")

    with pytest.raises(GeometryError, match="no surface"):
        wait_for(fail)


def test_ctrl_c_is_heard_before_the_work_is_done() -> None:
    done = Event()
    Timer(0.1, signal.raise_signal, [signal.SIGINT]).start()
    before = monotonic()
    with pytest.raises(KeyboardInterrupt):
        wait_for(lambda: done.wait(60))
    assert monotonic() - before < 30
    done.set()
