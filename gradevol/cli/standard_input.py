"""Files that may be standard input, given as ``-``."""

import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from gradevol.ground.errors import GradevolError, InputError

_NAME = "standard input"
#: A file's name, or a dash; whoever reads the file says what is wrong with it, and what was meant.
file_or_dash = click.Path(allow_dash=True)


@contextmanager
def open_as_path(file: str) -> Iterator[Path]:
    """
    Path of a file; for a dash, of a copy of what standard input holds, that lasts as long.

    Errors name the copy ``standard input``, not the place where it was put for the while.
    """
    if file != "-":
        yield Path(file)
        return
    if sys.stdin is None:
        raise InputError(f"there is no {_NAME}", remedy="Name a file in place of the dash")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / _NAME
        path.write_bytes(sys.stdin.buffer.read())
        try:
            yield path
        except GradevolError as error:
            raise GradevolError(str(error).replace(str(path), _NAME)) from error
