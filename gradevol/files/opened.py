"""The files of one run: each is opened once and parsed once, whoever asks for it."""

from collections.abc import Callable
from io import BufferedReader, BytesIO
from pathlib import Path
from typing import Any, TypeVar

from gradevol.files.sniff import File, open_file

_Parsed = TypeVar("_Parsed")


class Files:
    """
    What a run has opened and parsed.

    It is made where a run begins, handed down the road, and gone with it: base, coded edge, top
    and rechecks out of one file share one parsing of it. What is parsed is frozen, and in the
    file's own words and numbers: unit, columns and codes are the asker's.
    """

    def __init__(self) -> None:
        self._files: dict[Path, File] = {}
        self._parsed: dict[tuple[Path, Callable[[File], Any]], Any] = {}

    def open(self, path: Path) -> File:
        """Open a file, or give it again; see `open_file`."""
        if path not in self._files:
            self._files[path] = open_file(path)
        return self._files[path]

    def stream(self, path: Path) -> BytesIO | BufferedReader:
        """All bytes of a file, out of memory where a run holds them; it need not be known."""
        held = self._files.get(path)
        return path.open("rb") if held is None else held.stream()

    def let_go(self) -> None:
        """Let go of what was parsed: whoever asks for it once more has it parsed once more."""
        self._parsed.clear()

    def held(self, kind: type[_Parsed]) -> list[_Parsed]:
        """All that is held of what was parsed to one kind of thing."""
        return [held for held in self._parsed.values() if isinstance(held, kind)]

    def parse(self, path: Path, how: Callable[[File], _Parsed]) -> _Parsed:
        """
        Parse a file, or give what it was parsed to.

        Parameters
        ----------
        path : Path
        how : callable
            A format's own: from the file to what it holds.

        Raises
        ------
        InputError
            If it can't be opened, or `how` refuses it.
        """
        if (path, how) not in self._parsed:
            self._parsed[path, how] = how(self.open(path))
        return self._parsed[path, how]
