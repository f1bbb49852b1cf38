"""Many short texts in one piece of memory."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import overload

import numpy as np

from gradevol.ground.arrays import AnyArray

#: More texts than this are held in one piece.
MANY = 10_000
#: Texts that are made at a time.
_AT_ONCE = 10_000
#: Neither a blank nor a control; and the line feed, which ends each text.
_INK = bytes([*range(ord("!"), 0x7F), ord("\n")])


class Texts(Sequence[str]):
    """
    A sequence of texts without line feeds; a text is made anew whenever it is asked for.

    A tuple takes some 60 bytes for a short text, this what the text itself takes and five more.

    Raises
    ------
    ValueError
        If a text holds a line feed.
    """

    __slots__ = ("_ends", "_raw")

    def __init__(self, texts: Iterable[str]) -> None:
        some = tuple(texts)
        self._raw = "\n".join((*some, "") if some else ()).encode("utf-8", "surrogatepass")
        ends = np.flatnonzero(np.frombuffer(self._raw, np.uint8) == ord("\n"))
        if len(ends) != len(some):
            raise ValueError("a text holds a line feed")
        self._ends: AnyArray = np.concatenate([[-1], ends]).astype(_index_type(len(self._raw)))

    @classmethod
    def join(cls, parts: Iterable["Texts"]) -> "Texts":
        """Texts of one sequence after another, each whole (no slice of one)."""
        parts = list(parts)
        sizes = [len(part._raw) for part in parts]
        ends: list[AnyArray] = [np.array([-1])]
        ends += [
            part._ends[1:] + np.int64(before)
            for part, before in zip(parts, np.cumsum([0, *sizes]), strict=False)
        ]
        made = cls(())
        made._raw = b"".join(part._raw for part in parts)
        made._ends = np.concatenate(ends).astype(_index_type(len(made._raw)))
        return made

    def __len__(self) -> int:
        return len(self._ends) - 1

    @overload
    def __getitem__(self, index: int) -> str: ...
    @overload
    def __getitem__(self, index: slice) -> "Texts": ...
    def __getitem__(self, index: int | slice) -> "str | Texts":
        at = range(len(self))[index]
        if isinstance(at, int):
            return self._cut(at, at + 1)
        if at.step != 1:
            return Texts(self[each] for each in at)
        made = Texts(())
        made._raw, made._ends = self._raw, self._ends[at.start : max(at.start, at.stop) + 1]
        return made

    def __iter__(self) -> Iterator[str]:
        return chain.from_iterable(
            self._cut(start, min(start + _AT_ONCE, len(self))).split("\n")
            for start in range(0, len(self), _AT_ONCE)
        )

    def _cut(self, start: int, stop: int) -> str:
        raw = self._raw[int(self._ends[start]) + 1 : int(self._ends[stop])]
        return raw.decode("utf-8", "surrogatepass")

    def strip(self) -> "Texts":
        """Return the texts without blanks at their ends."""
        is_bare = self._raw.isascii() and not self._raw.translate(None, _INK)
        return self if is_bare else Texts(map(str.strip, self))


def hold_texts(texts: Iterable[str]) -> Sequence[str]:
    """Hold texts as a tuple, or in one piece where they are many."""
    if isinstance(texts, Texts):
        return texts
    held = tuple(texts)
    return Texts(held) if len(held) > MANY else held


def _index_type(size: int) -> type[np.signedinteger]:
    return np.int32 if size <= np.iinfo(np.int32).max else np.int64
