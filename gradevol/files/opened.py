"""The files of one run: each is opened once and parsed once, whoever asks for it."""

import hashlib
from collections.abc import Callable
from dataclasses import replace
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
        self._digests: dict[Path, tuple[int, str]] = {}

    def open(self, path: Path) -> File:
        """Open a file, or give it again; see `open_file`."""
        if path not in self._files:
            self._files[path] = open_file(path)
        return self._files[path]

    def digest(self, path: Path) -> tuple[int, str]:
        """
        How many bytes a file has, and their SHA-256, hexadecimal; it need not be known.

        Of what was read, where a run holds or held all of it.
        """
        if path in self._digests:
            return self._digests[path]
        known = self._files.get(path)
        with path.open("rb") if known is None else known.stream() as file:
            digest = hashlib.file_digest(file, "sha256").hexdigest()
            return file.seek(0, 2), digest

    def let_go(self) -> None:
        """Let go of long texts and all that was parsed: whoever asks has it done once more."""
        self._parsed.clear()
        for path, file in self._files.items():
            if file.is_whole and len(file.start) > len(file.head):
                self._digests[path] = self.digest(path)
                self._files[path] = replace(file, start=file.head, is_whole=False)

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
