"""Field sheets: readings on a lattice, with a row of labels above and a column of labels beside."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from gradevol.files.cells import parse_number
from gradevol.files.headings import MEANINGS, read_heading
from gradevol.files.sources import Lattice
from gradevol.files.table import Table
from gradevol.files.text import is_number_like
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError

_NUMBERED = re.compile(r"(?P<stem>\D*)(?P<number>\d+)")
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
_ANY_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_DECIMALS = re.compile(r"\d[.,]\d+")
_EXAMPLE = "Give the spacing, or label the lines by their distance from the origin"


@dataclass(frozen=True, slots=True)
class Sheet:
    """
    A field sheet, read.

    Attributes
    ----------
    path : Path
        The file.
    places : (n, 2) array of float
        Easting and northing of each reading, m.
    values : (n,) array of float
        The readings, m.
    ids : tuple of str
        Labels of row and column: ``15/1.5``, ``B3``.
    readings : tuple of str
        As written.
    setups : tuple of str
        The setup of each, as its row has it; blank where the sheet has no such column.
    lines : tuple of int
        The line of each, from 1.
    """

    path: Path
    places: FloatArray
    values: FloatArray
    ids: tuple[str, ...]
    readings: tuple[str, ...]
    setups: tuple[str, ...]
    lines: tuple[int, ...]


def read_sheet(table: Table, lattice: Lattice, *, unit: str, letter: str) -> Sheet:
    """
    Read a field sheet.

    Parameters
    ----------
    table : Table
        Its cells: a row of labels, and below it rows that begin with a label. A blank cell is no
        shot. A column headed ``setup`` names the setup of each row.
    lattice : Lattice
        Where its rows and columns lie.
    unit : str
        Unit of bare readings, a key of `units.METRES`.
    letter : str
        What the readings are: R or T of `headings.MEANINGS`.

    Returns
    -------
    Sheet
        Row by row as written.

    Raises
    ------
    InputError
        If a label or a reading cannot be used, or fewer than three places were shot.
    """
    labels, rows, lines = part_labels(table)
    setup_at = find_setup(labels) if letter == "R" else None
    columns = [at for at in range(1, len(labels)) if at != setup_at]
    across = _offsets(table, [labels[at] for at in columns], lattice, axis=0)
    up = _offsets(table, [row[0].strip() for row in rows], lattice, axis=1)
    offsets, values = [], []
    ids, readings, setups, on = [], [], [], []
    for row, line, row_offset in zip(rows, lines, up, strict=True):
        for at, column_offset in zip(columns, across, strict=True):
            cell = row[at].strip() if at < len(row) else ""
            if not cell:
                continue
            name = name_shot(row[0].strip(), labels[at])
            values.append(read_cell(table, cell, unit=unit, letter=letter, name=name, line=line))
            offsets.append((column_offset, row_offset))
            ids.append(name)
            readings.append(cell)
            setups.append(row[setup_at].strip() if setup_at and setup_at < len(row) else "")
            on.append(line)
    if len(values) < 3:
        raise InputError(
            f"{len(values)} readings cannot make a surface: three are the least",
            remedy="Check that this is the right file",
            path=table.path,
        )
    return Sheet(
        table.path,
        place_offsets(np.array(offsets), lattice),
        np.array(values),
        tuple(ids),
        tuple(readings),
        tuple(setups),
        tuple(on),
    )


def place_offsets(offsets: FloatArray, lattice: Lattice) -> FloatArray:
    """
    Put offsets in plan.

    Parameters
    ----------
    offsets : (n, 2) array of float
        Across (to the right of the bearing) and along the bearing, m.
    lattice : Lattice

    Returns
    -------
    (n, 2) array of float
        Easting and northing, m.
    """
    azimuth = np.radians(lattice.bearing)
    # rounded, so that a lattice along the axes has them exactly
    sine, cosine = np.round(np.sin(azimuth), 15), np.round(np.cos(azimuth), 15)
    across, along = offsets.T
    turned = np.column_stack([across * cosine + along * sine, along * cosine - across * sine])
    return turned + np.asarray(lattice.origin)


def part_labels(table: Table) -> tuple[list[str], list[Sequence[str]], list[int]]:
    """Labels of the columns, and the rows below them."""
    rows, lines = list(table.rows), list(table.lines)
    first: Sequence[str]
    if table.header is not None:
        first = table.header
    else:
        first, rows, lines = rows[0], rows[1:], lines[1:]
    labels = [cell.strip() for cell in first]
    while len(labels) > 1 and not labels[-1]:
        labels.pop()
    if table.delimiter == " ":
        if len({*map(len, rows), len(labels)}) > 1:
            raise InputError(
                "its rows are aligned by blanks and differ in length, so that it cannot be known "
                "where no shot was taken",
                remedy="Save it with commas or tabs between the cells",
                path=table.path,
            )
    elif is_number_like(labels[0]):
        raise InputError(
            f"a field sheet has a row of labels whose first cell is empty, but this one begins "
            f"with {labels[0]!r}",
            remedy="Leave the corner above the row labels empty; points in rows need a header",
            path=table.path,
        )
    for row, line in zip(rows, lines, strict=True):
        if not row[0].strip():
            raise InputError(
                f"the row {table.quote(row)} has no label",
                remedy="Begin each row with its label",
                path=table.path,
                line=line,
            )
        if any(cell.strip() for cell in row[len(labels) :]):
            raise InputError(
                f"the row {table.quote(row)} is longer than the row of labels",
                remedy="Give each column a label",
                path=table.path,
                line=line,
            )
    return labels, rows, lines


def find_setup(labels: Sequence[str]) -> int | None:
    """Which column names setups; a lone S is a label where the others are not numbers."""
    for at, label in enumerate(labels[1:], start=1):
        others = [other for other in labels[1:] if other != label]
        if read_heading(label).letter == "S" and (
            len(label) > 1 or all(map(is_number_like, others))
        ):
            return at
    return None


def _offsets(table: Table, labels: Sequence[str], lattice: Lattice, *, axis: int) -> list[float]:
    """How far each line of the lattice lies from the origin, m."""
    what = ("column", "row")[axis]

    def refuse(problem: str, remedy: str) -> InputError:
        return InputError(problem, remedy=remedy, path=table.path)

    if blank := [at for at, label in enumerate(labels, start=1) if not label]:
        raise refuse(f"column {blank[0]} of the sheet has no label", "Give each column a label")
    if len(set(labels)) < len(labels):
        twice = next(label for label in labels if labels.count(label) > 1)
        raise refuse(f"two {what}s are labelled {twice!r}", f"Label each {what} once")
    if lattice.spacing is None:
        return [_offset(table, label, lattice.unit, what) for label in labels]
    steps = count_steps(labels)
    if steps is None:
        raise refuse(
            f"the {what} labels {', '.join(labels[:3])} ... do not count the lines one by one from "
            "the first",
            "With a spacing, label the lines 1, 2, 3 or A, B, C from the origin on, and leave a "
            "line that was not shot on the sheet with its cells blank; without it, label them by "
            "their distance from the origin",
        )
    return [step * lattice.spacing[axis] for step in steps]


def _offset(table: Table, label: str, unit: str, what: str) -> float:
    try:
        return parse_number(label, decimal=table.decimal, unit=unit)
    except ValueError as error:
        raise InputError(
            f"the {what} label {label!r} {error}, so it is no distance from the origin, and no "
            "spacing is given",
            remedy=_EXAMPLE,
            path=table.path,
        ) from error


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


def name_shot(row: str, column: str) -> str:
    """Id of a shot: ``B3`` for a letter and a number, else row and column."""
    for letters, number in ((row, column), (column, row)):
        if letters.isalpha() and number.isdigit():
            return f"{letters}{number}"
    return f"{row}/{column}"


def read_cell(table: Table, cell: str, *, unit: str, letter: str, name: str, line: int) -> float:
    """Reading in a cell, m; or what is wrong with it, for a person who can look at the place."""
    what = MEANINGS[letter]
    try:
        value = parse_number(cell, decimal=table.decimal, unit=unit)
    except ValueError as error:
        problem, remedy = f"{cell!r} {error}", "Write one number, or leave the cell blank"
        if cell[-1] in "?*!":
            problem = f"{cell!r} carries a mark"
            remedy = "Keep the number if it counts, or leave the cell blank as not shot"
        elif len(_DECIMALS.findall(cell)) > 1 or (
            str(error) == "is not a number" and len(_ANY_NUMBER.findall(cell)) > 1
        ):
            problem = f"{cell!r} is more than one reading"
            remedy = "Keep the one that counts"
        raise InputError(
            f"the {what} at {name}, {problem}", remedy=remedy, path=table.path, line=line
        ) from error
    if letter == "R" and value < 0:
        raise InputError(
            f"the {what} at {name}, {cell!r}, is negative",
            remedy="Correct it: a rod stands on the base and is read upwards",
            path=table.path,
            line=line,
        )
    return value
