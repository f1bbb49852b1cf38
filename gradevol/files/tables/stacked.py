"""Rows of a large table, held column by column."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import overload

from gradevol.ground.texts import Texts


class Stacked(Sequence[tuple[str, ...]]):
    """
    Rows of as many cells each; a row is made anew whenever it is asked for.

    Parameters
    ----------
    columns : sequence of Texts
        One or more, as long as one another.
    """

    __slots__ = ("columns",)

    def __init__(self, columns: Sequence[Texts]) -> None:
        self.columns = tuple(columns)

    def __len__(self) -> int:
        return len(self.columns[0])

    @overload
    def __getitem__(self, index: int) -> tuple[str, ...]: ...
    @overload
    def __getitem__(self, index: slice) -> "Stacked": ...
    def __getitem__(self, index: int | slice) -> "tuple[str, ...] | Stacked":
        if isinstance(index, slice):
            return Stacked([column[index] for column in self.columns])
        return tuple([column[index] for column in self.columns])

    def __iter__(self) -> Iterator[tuple[str, ...]]:
        return zip(*self.columns, strict=True)


def stack(batches: Iterable[list[tuple[str, ...]]]) -> Sequence[tuple[str, ...]]:
    """
    Stack rows that come so many at a time.

    Returns
    -------
    sequence of tuples of str
        `Stacked`, or a list where the rows are not all of one length.
    """
    held: list[list[Texts]] = []
    coming = iter(batches)
    for some in coming:
        if set(map(len, some)) != {len(held[0]) if held else len(some[0])} or not some[0]:
            before = chain.from_iterable(zip(*columns, strict=True) for columns in held)
            return [*before, *some, *chain.from_iterable(coming)]
        held.append([Texts(column) for column in zip(*some, strict=True)])
    return Stacked([Texts.join(parts) for parts in zip(*held, strict=True)]) if held else []
