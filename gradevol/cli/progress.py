"""Progress on standard error, and only for a person at a terminal."""

import sys
import time

import click


def is_watched() -> bool:
    """Whether a person sees standard error at a terminal; some systems start us without one."""
    return sys.stderr is not None and sys.stderr.isatty()


class ProgressLine:
    """
    One line that says what is being done and how far it is.

    Use it as a context manager; call it with what is being done and the share done, 0 to 1.
    Nothing is written before half a second has passed, so that quick work stays quiet.
    """

    def __init__(self) -> None:
        self._is_shown = is_watched()
        self._started = time.monotonic()
        self._last = 0.0
        self._has_written = False

    def __call__(self, what: str, share: float) -> None:
        """Say what is being done."""
        now = time.monotonic()
        if not self._is_shown or now - self._started < 0.5 or now - self._last < 0.1:
            return
        self._last, self._has_written = now, True
        click.echo(f"\r\033[K{what} {share:4.0%}", err=True, nl=False)

    def __enter__(self) -> "ProgressLine":
        return self

    def __exit__(self, *_: object) -> None:
        if self._has_written:
            click.echo("\r\033[K", err=True, nl=False)
