"""Ids and descriptions of shots, whatever format they are in."""

import fnmatch
from collections import Counter
from collections.abc import Sequence

from gradevol.ground.notes import Note, escape
from gradevol.ground.words import first_of

#: Beginnings of what shots on forms are called; common practice, no source.
FORMS = ("form", "screed")


def is_wanted(code: str, wanted: Sequence[str]) -> bool:
    """Whether a description matches one of the shell-style patterns; any does of none."""
    word = code.lower()
    return not wanted or any(fnmatch.fnmatchcase(word, each.strip().lower()) for each in wanted)


def is_of_forms(code: str) -> bool:
    """Whether a description is that of shots on the forms."""
    return code.strip().casefold().startswith(FORMS)


def say_held(codes: Counter[str]) -> str:
    """Which descriptions there are and how often, the most frequent first."""
    said = first_of([f"{code or '(blank)'} ({count})" for code, count in codes.most_common()])
    return said or "none"


def note_duplicates(ids: Sequence[str]) -> list[Note]:
    """Note point ids that stand for more than one shot, code ``duplicate-ids``."""
    if len(set(ids)) == len(ids):
        return []
    twice = {name: count for name, count in Counter(ids).items() if count > 1}
    shown = first_of([f"{name} ({count} times)" for name, count in twice.items()])
    text = f"Point ids stand for more than one shot, and all were kept: {shown}."
    return [Note("duplicate-ids", escape(text), points=tuple(twice))]
