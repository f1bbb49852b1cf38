"""Labels of a field sheet's rows and columns."""

import re
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from gradevol.files.tables.cells import parse_number
from gradevol.files.tables.text import is_number_like

_NUMBERED = re.compile(r"(?P<stem>\D*)(?P<number>\d+)")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
#: Labels of lines that were worked out of the others.
_WORKED_OUT = {"mean", "average", "avg", "total", "sum", "min", "max", "minimum", "maximum"}


def are_labels(labels: Sequence[str]) -> bool:
    """Whether labels are distances that all go one way, or count lines one by one."""
    if all(map(is_number_like, labels)):
        try:
            steps = np.diff([parse_number(label, decimal=".", unit="ft") for label in labels])
        except ValueError:
            return "," in "".join(labels)  # decimal commas: the cells decide
        return bool((steps > 0).all() or (steps < 0).all())
    return count_steps(labels) is not None and all(len(label) <= 3 for label in labels)


def count_steps(labels: Sequence[str]) -> list[int] | None:
    """
    Count of lines from the first to each; None where labels do not count them.

    Numbers may leave lines out (1, 2, 4) as long as some follow one another; letters may only
    leave out I and O, which drawings do.
    """
    matches = [_NUMBERED.fullmatch(label) for label in labels]
    numbers = [int(match["number"]) for match in matches if match]
    if len(numbers) == len(labels) and len({match["stem"] for match in matches if match}) == 1:
        gaps = [after - before for before, after in pairwise(numbers)]
        if gaps and (min(gaps) < 1 or 1 not in gaps):
            return None
        return [number - numbers[0] for number in numbers]
    if any(map(is_number_like, labels)):
        return None
    if all(len(label) == 1 and label.upper() in _LETTERS for label in labels):
        for before, after in pairwise(_LETTERS.index(label.upper()) for label in labels):
            between = _LETTERS[before + 1 : after] if after > before else "?"
            if between not in {"", "I", "O"}:
                return None
    return list(range(len(labels)))


def find_worked_out(labels: Sequence[str]) -> str:
    """Find the name of a line of means or sums, which was not shot; empty where none is."""
    return next((label for label in labels if label.casefold().rstrip(".:") in _WORKED_OUT), "")
