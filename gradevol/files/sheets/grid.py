"""Field sheets as cells: labels above and beside, a reading where they cross."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from gradevol.files.tables.cells import parse_number
from gradevol.files.tables.headings import MEANINGS, read_depth_heading, read_heading, read_letters
from gradevol.files.tables.labels import are_labels
from gradevol.files.tables.notation import Hand, Notation, settle_hand
from gradevol.files.tables.table import Table
from gradevol.files.tables.text import is_number_like
from gradevol.ground.errors import InputError
from gradevol.ground.words import show

_ANY_NUMBER = re.compile(r"\d+(?:[.,]\d+)?")
_DECIMALS = re.compile(r"\d[.,]\d+")
#: Distance of lines whose labels are none, in the file's unit; only their order matters.
_APART = 10.0
#: Rows in which the labels must stand, below titles.
_TITLES = 10
#: Share of the cells that hold numbers, of those that hold anything, in a sheet.
_MOSTLY = 0.8


@dataclass(frozen=True, slots=True)
class Grid:
    """
    A field sheet as cells.

    Attributes
    ----------
    corner : str
        What stands above the row labels.
    columns : tuple of str
        Label of each column of readings.
    at : tuple of int
        Where each stands among the cells of a row.
    rows : tuple of sequences of str
        Rows below the labels; the first cell is the row's label.
    lines : tuple of int
        The line of each, from 1.
    setup_at : int or None
        Where the setup of each row stands.
    """

    table: Table
    corner: str
    columns: tuple[str, ...]
    at: tuple[int, ...]
    rows: tuple[Sequence[str], ...]
    lines: tuple[int, ...]
    setup_at: int | None

    @property
    def row_labels(self) -> tuple[str, ...]:
        """Label of each row."""
        return tuple(row[0].strip() for row in self.rows)

    def places(self, labels: Sequence[str]) -> list[float]:
        """Where lines lie by their labels as distances; else by their order, evenly."""
        try:
            return [parse_number(label, decimal=self.table.decimal, unit="m") for label in labels]
        except ValueError:
            return [at * _APART for at in range(len(labels))]


@dataclass(frozen=True, slots=True)
class Reading:
    """One cell that holds a number: which row and column, its id, its text, its value, m."""

    row: int
    column: int
    name: str
    text: str
    value: float
    setup: str
    line: int


def part_sheet(table: Table, *, has_setups: bool = True) -> Grid:
    """
    Part a sheet's labels from its cells.

    Parameters
    ----------
    table : Table
    has_setups : bool
        Whether a column headed ``setup`` names the setup of each row.

    Raises
    ------
    InputError
        If its columns can't be told apart, or a row has no label, or more cells than labels.
    """
    first, begin = _find_first(table)
    if _names_places([cell for cell in first if len(cell.strip()) > 1]):  # E and N may be labels
        raise InputError(
            f"it is a list of points ({', '.join(first)[:80]}), and no field sheet",
            remedy="Name it as base.shots, or give the sheet with a row and a column of labels",
            path=table.path,
        )
    rows, lines = list(table.rows[begin:]), list(table.lines[begin:])
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
                remedy="Give each column a label; decimal commas need a semicolon or a tab between "
                "the cells",
                path=table.path,
                line=line,
            )
    setup_at = _find_setup(labels) if has_setups else None
    at = tuple(place for place in range(1, len(labels)) if place != setup_at)
    columns = tuple(labels[place] for place in at)
    told = _tell_titles(table, first, begin)
    return Grid(told, labels[0], columns, at, tuple(rows), tuple(lines), setup_at)


def _tell_titles(table: Table, first: Sequence[str], begin: int) -> Table:
    """Return a table whose header is its row of labels, and what stands above it no row of it."""
    lines, above = list(table.lines[: max(begin - 1, 0)]), list(table.rows[: max(begin - 1, 0)])
    if begin and table.header:
        lines, above = [table.lines[0] - 1, *lines], [table.header, *above]
    titles = [(line, " ".join(cells).strip()) for line, cells in zip(lines, above, strict=True)]
    return replace(table, header=tuple(first), passed=(*titles, *table.passed))


def _find_first(table: Table) -> tuple[Sequence[str], int]:
    """Row of labels, and how many rows it and titles of one or two cells above it take."""
    above = [] if table.header is None else [table.header]
    most, are_titles = 0, True  # which begin with a word: a blank corner begins a row of labels
    for at, row in enumerate([*above, *table.rows[:_TITLES]]):
        held = [cell for cell in row if cell.strip()]
        is_blank, are_numbers = not row[0].strip(), all(map(is_number_like, held))
        are_distances = are_titles and is_blank and len(held) > 1 and are_numbers
        if at and (are_distances or (len(held) >= most + 2 and not is_number_like(row[0]))):
            return row, at + 1 - len(above)
        if len(held) > 2 or any(map(is_number_like, held)):
            break
        most, are_titles = max(most, len(held)), are_titles and not is_blank
    return (above[0], 0) if above else (table.rows[0] if table.rows else (), 1)


def _find_setup(labels: Sequence[str]) -> int | None:
    """Which column names setups; a lone S is a label where the others are not numbers."""
    for at, label in enumerate(labels[1:], start=1):
        others = [other for other in labels[1:] if other != label]
        if read_heading(label).letter == "S" and (
            len(label) > 1 or all(map(is_number_like, others))
        ):
            return at
    return None


def find_sheet(table: Table) -> Grid | None:
    """Labels and cells of a table that is a field sheet; None of one that is a list of points."""
    first = list(_find_first(table)[0])
    if len(first) < 3 or is_number_like(first[0]) or _names_places(first):
        return None
    try:
        grid = part_sheet(table)
    except InputError:
        return None
    are_rows = are_labels(grid.row_labels) or not first[0].strip() or "\\" in first[0]
    if len(grid.at) < 2 or len(grid.rows) < 2 or not are_labels(grid.columns) or not are_rows:
        return None
    held = [cell for row in grid.rows for at in grid.at if (cell := _cell(row, at))]
    if not held and first[0].strip():
        return None
    return grid if sum(map(is_number_like, held)) >= _MOSTLY * len(held) else None


def _names_places(first: Sequence[str]) -> bool:
    """Whether a first row names northing and easting, as that of a list of points does."""
    if not {"south", "west"}.isdisjoint(cell.strip().lower() for cell in first):  # of four walls
        return False
    try:
        return {"N", "E"} <= set(read_letters([read_depth_heading(cell) for cell in first]))
    except ValueError:
        return False


def _cell(row: Sequence[str], at: int | None) -> str:
    """A cell, blank where the row ends before it."""
    return row[at].strip() if at is not None and at < len(row) else ""


def read_cells(
    grid: Grid, *, unit: str, letter: str, notation: Notation | None = None
) -> tuple[list[Reading], list[InputError]]:
    """
    Read the cells that are not blank, row by row.

    Parameters
    ----------
    grid : Grid
    unit : str
        Unit of bare readings, a key of `units.METRES`.
    letter : str
        What the readings are: R or T of `headings.MEANINGS`.
    notation : Notation, optional
        What the source says of how its lengths are written.

    Returns
    -------
    readings : list of Reading
    faults : list of InputError
        What is wrong with the other cells, each as who wants all of them refuses it.
    """
    held = (_cell(row, at) for row in grid.rows for at in grid.at)
    hand = settle_hand(filter(None, held), unit=unit, notation=notation, is_level=True)
    readings: list[Reading] = []
    faults: list[InputError] = []
    for up, (cells, line) in enumerate(zip(grid.rows, grid.lines, strict=True)):
        setup = _cell(cells, grid.setup_at)
        for across, at in enumerate(grid.at):
            if not (text := _cell(cells, at)):
                continue
            name = _name_shot(cells[0].strip(), grid.columns[across])
            try:
                value = _read_cell(grid.table, text, hand, letter=letter, name=name, line=line)
            except InputError as error:
                faults.append(error)
                continue
            readings.append(Reading(up, across, name, text, value, setup, line))
    return readings, faults


def _read_cell(table: Table, cell: str, hand: Hand, *, letter: str, name: str, line: int) -> float:
    """Reading in a cell, m; or what is wrong with it, for a person who can look at the place."""
    problem, remedy = "", "Write one number, or leave the cell blank"
    if hand.example:
        remedy = f"Write it as the others are, such as {show(hand.example)!r}, or leave it blank"
    try:
        value = parse_number(cell, decimal=table.decimal, unit=hand.unit, hand=hand)
    except ValueError as error:
        value, problem = 0.0, f"{cell!r} {error}"
        if "notation" in str(error):
            remedy = f'Such as notation = "{"feet-inches" if "-" in cell else "inches"}"'
        elif cell[-1] in "?*!":
            problem = f"{cell!r} carries a mark"
            remedy = "Keep the number if it counts, or leave the cell blank as not shot"
        elif len(_DECIMALS.findall(cell)) > 1 or (
            str(error) == "is not a number" and len(_ANY_NUMBER.findall(cell)) > 1
        ):
            problem, remedy = f"{cell!r} is more than one reading", "Keep the one that counts"
    if letter == "R" and value < 0:
        problem = f"{cell!r}, is negative"
        remedy = "Correct it: a rod stands on the base and is read upwards"
    if problem:
        raise InputError(
            f"the {MEANINGS[letter]} at {name}, {problem}",
            remedy=remedy,
            path=table.path,
            line=line,
        )
    return value


def _name_shot(row: str, column: str) -> str:
    """Id of a shot: ``B3`` for a letter and a number, else row and column."""
    for letters, number in ((row, column), (column, row)):
        if letters.isalpha() and number.isdigit():
            return f"{letters}{number}"
    return f"{row}/{column}"
