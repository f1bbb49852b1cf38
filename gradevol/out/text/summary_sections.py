"""Sections of the summary: a label and its paragraphs, and what several of them share."""

from typing import TypeAlias

from gradevol.answer.result import Result
from gradevol.measures.spots import Spots

#: A label and its paragraphs.
Section: TypeAlias = tuple[str, list[str]]


def list_some(items: list[str], most: int, *, where: str) -> list[str]:
    """First `most` of a list, and how many more there are and in which file."""
    if len(items) <= most:
        return items
    more = f"{len(items) - most} more" if most else f"{len(items)}"
    return [*items[:most], f"{more}: see {where}"]


def points_of(result: Result) -> str:
    """Return what the points of the survey are called."""
    return "shots" if result.survey.ids else "points"


def count_spots(spots: Spots) -> str:
    """Say how many spots there are."""
    count = len(spots.listed) + spots.unlisted
    return f"{count} spot{'' if count == 1 else 's'}"
