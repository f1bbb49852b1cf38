"""Declarations: what keys a job file may have, each said once."""

import difflib
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any


@dataclass(frozen=True, slots=True)
class Kind:
    """
    How a value is written.

    Attributes
    ----------
    read : callable
        Takes a `table.Value`; returns what it stands for, in metres, or raises InputError.
    example : str
        What may be written.
    limits : str
        What it must be within, in words; empty where nothing worth saying bounds it.
    choices : tuple of str
        What may be written, where those are a few.
    """

    read: Callable[[Any], Any]
    example: str
    limits: str = ""
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Key:
    """
    A key of a table.

    Attributes
    ----------
    name : str
        As it stands in the file.
    kind : Kind
    default : object
        What holds where it is left out, as one would write it, or a function of the `table.Table`
        that returns that; None where the description that it fills knows.
    beside : tuple of str
        Keys of which one must stand beside it; empty: it needs none.
    required : bool
        Whether it must be there.
    remedy : str
        What to do where it is missing; empty: to write it as in its kind's example.
    field : str
        Of the description that it fills; empty: it is named as the key.
    words : str
        What it means, in Markdown; `{default}` and `{limits}` stand for what is declared.
    """

    name: str
    kind: Kind
    default: object = None
    beside: tuple[str, ...] = ()
    required: bool = False
    remedy: str = ""
    field: str = ""
    words: str = ""

    def means(self, words: str) -> "Key":
        """Return the key with its words, however they are broken into lines."""
        return replace(self, words=" ".join(words.split()))

    def tell(self) -> str:
        """Say what it means, with what it goes with, its limits and its default."""
        told, limits = self.words, self.kind.limits
        if limits and "{limits}" not in told:
            told += f" {limits[0].upper()}{limits[1:]}."
        told = told.replace("{limits}", limits).replace("{default}", str(self.default))
        if self.beside:
            first = told[0] if told[1:2].isupper() else told[0].lower()
            told = f"With {join_names(self.beside)}: {first}{told[1:]}"
        return f"{told} Required." if self.required else told


@dataclass(frozen=True, slots=True)
class TableKeys:
    """
    The keys of one kind of table.

    Attributes
    ----------
    heading : str
        What such a table is called: ``[base]``, ``base.rechecks``, ``a ring``.
    one_of : tuple of str
        Keys of which exactly one is given.
    """

    heading: str
    keys: tuple[Key, ...]
    one_of: tuple[str, ...] = ()

    def __contains__(self, name: str) -> bool:
        return any(key.name == name for key in self.keys)

    def __getitem__(self, name: str) -> Key:
        for key in self.keys:
            if key.name == name:
                return key
        raise KeyError(f"{name} is not declared in {self.heading}")

    def suggest(self, name: str, tables: Sequence["TableKeys"]) -> str:
        """Say which of its keys was probably meant by a name, or to which table that belongs."""
        known = [key.name for key in self.keys]
        nearest = difflib.get_close_matches(name.lower(), known, n=1, cutoff=0.0)[0]
        said = f"The nearest key known there is {nearest!r}"
        main = [key.name for key in self.keys if key.required or key.name in self.one_of]
        if main and not difflib.get_close_matches(name.lower(), known, n=1):
            said += f", the main ones are {', '.join(main)}"
        # In TOML a key belongs to the last [table] above it, which is easily forgotten.
        others = [other.heading for other in tables if name in other]
        return f"{said}; {name!r} belongs in {' or '.join(others)}" if others else said


def declare_table(heading: str, *keys: Key, one_of: tuple[str, ...] = ()) -> TableKeys:
    """Declare a table."""
    return TableKeys(heading, keys, one_of)


def join_names(names: Sequence[str]) -> str:
    """Names in a sentence, in Markdown: `a`, `b` or `c`."""
    *first, last = (f"`{name}`" for name in names)
    return f"{', '.join(first)} or {last}" if first else last


def declare_alike(
    heading: str, keys: Sequence[Key], *, but: str = "", is_bound: bool = True
) -> tuple[Key, ...]:
    """
    Declare keys that mean what they mean in another table.

    Parameters
    ----------
    heading : str
        Of the table where they are explained.
    keys : sequence of Key
    but : str
        What is otherwise here, from the comma on.
    is_bound : bool
        Whether they need the same keys beside them.
    """
    words = f"As in `{heading}`{but}."
    return tuple(
        replace(
            key,
            kind=replace(key.kind, limits=""),
            words=words,
            beside=key.beside if is_bound else (),
        )
        for key in keys
    )
