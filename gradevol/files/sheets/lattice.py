"""Field sheets put in plan: readings on a lattice."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gradevol.files.sheet_sources import Lattice
from gradevol.files.sheets.grid import Grid, part_sheet, read_cells
from gradevol.files.tables.broken_rows import find_cut_reading
from gradevol.files.tables.cells import parse_number
from gradevol.files.tables.labels import count_steps, find_worked_out
from gradevol.files.tables.marks import is_marked
from gradevol.files.tables.notation import Hand, Notation, settle_hand
from gradevol.files.tables.table import Table
from gradevol.files.tables.text import is_number_like
from gradevol.files.tables.unit_asides import check_said
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of

#: Words in a sheet's corner, for the labels below it and, behind a backslash, beside it.
_AXES = {
    **dict.fromkeys(("n", "north", "northing", "south", "y"), "north"),
    **dict.fromkeys(("e", "east", "easting", "west", "x"), "east"),
}


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
    ids: Sequence[str]
    readings: Sequence[str]
    setups: Sequence[str]
    lines: tuple[int, ...]


def read_sheet(
    table: Table,
    lattice: Lattice,
    *,
    unit: str,
    letter: str,
    ignores_unit: bool = False,
    notation: str | None = None,
) -> Sheet:
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
    ignores_unit : bool
        Whether what the sheet says of its own unit is passed over.
    notation : str, optional
        How readings and labels are written, one of `lengths.NOTATIONS`.

    Returns
    -------
    Sheet
        Row by row as written.

    Raises
    ------
    InputError
        If a label or a reading cannot be used, fewer than three places were shot, or a line says
        that they are in another unit.
    """
    grid = part_sheet(table, has_setups=letter == "R")
    if label := find_worked_out([*grid.columns, *grid.row_labels]):
        raise InputError(
            f"a line of the sheet is labelled {label!r}: it was worked out, not shot",
            remedy="Take it off the sheet",
            path=table.path,
        )
    _refuse_turned(grid, lattice)
    said = Notation(notation)
    across = _offsets(grid, grid.columns, lattice, axis=0, notation=said)
    up = _offsets(grid, grid.row_labels, lattice, axis=1, notation=said)
    readings, faults = read_cells(grid, unit=unit, letter=letter, notation=said)
    if faults:
        raise faults[0]
    if why := find_cut_reading([reading.text for reading in readings], is_ended=table.is_ended):
        raise InputError(
            f"the sheet was cut short: {why}",
            remedy="Copy or export it again, or end its last line if it is whole",
            path=table.path,
            line=readings[-1].line,
        )
    if len(readings) < 3:
        raise InputError(
            f"{count_of(len(readings), 'reading')} cannot make a surface: it takes at least three",
            remedy="Check that this is the right file",
            path=table.path,
        )
    # marks in the cells, or how the job says they are written, go before a line about them
    if not (ignores_unit or notation or any(is_marked(reading.text) for reading in readings)):
        check_said(grid.table, unit)
    offsets = np.array([(across[reading.column], up[reading.row]) for reading in readings])
    return Sheet(
        table.path,
        place_offsets(offsets, lattice),
        np.array([reading.value for reading in readings]),
        tuple([reading.name for reading in readings]),
        tuple([reading.text for reading in readings]),
        tuple([reading.setup for reading in readings]),
        tuple([reading.line for reading in readings]),
    )


def _refuse_turned(grid: Grid, lattice: Lattice) -> None:
    r"""Refuse a sheet whose corner, as ``east \ north``, says that its rows run the other way."""
    down, mark, across = (part.strip().casefold() for part in grid.corner.partition("\\"))
    axes = [_AXES.get(word) for word in (down, across)]
    is_north = abs(np.cos(np.radians(lattice.bearing))) > np.sqrt(0.5)
    told = ("north", "east") if is_north else ("east", "north")
    if mark and axes == [*reversed(told)]:
        raise InputError(
            f"the corner of the sheet, {grid.corner!r}, says that its row labels count {axes[0]}, "
            f"but by the job (bearing) they count {told[0]}, and the columns {told[1]}",
            remedy="Swap its rows and columns, or correct the corner",
            path=grid.table.path,
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


def _offsets(
    grid: Grid, labels: Sequence[str], lattice: Lattice, *, axis: int, notation: Notation
) -> list[float]:
    """How far each line of the lattice lies from the origin, m."""
    what = ("column", "row")[axis]

    def refuse(problem: str, remedy: str) -> InputError:
        return InputError(problem, remedy=remedy, path=grid.table.path)

    if blank := [at for at, label in enumerate(labels, start=1) if not label]:
        raise refuse(f"column {blank[0]} of the sheet has no label", "Give each column a label")
    if len(set(labels)) < len(labels):
        twice = next(label for label in labels if labels.count(label) > 1)
        raise refuse(f"two {what}s are labelled {twice!r}", f"Label each {what} once")
    if lattice.spacing is None:
        hand = settle_hand(labels, unit=lattice.unit, notation=notation)
        remedy = "Give the spacing, or label the lines by their distance from the origin"
        if any(map(is_number_like, labels)):
            remedy = (
                f"Take the {what} off the sheet if it holds no shots of the base, such as a bench "
                "mark's, or label it by its distance from the origin"
            )
        return [_offset(grid.table, label, hand, what, remedy) for label in labels]
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


def _offset(table: Table, label: str, hand: Hand, what: str, remedy: str) -> float:
    try:
        return parse_number(label, decimal=table.decimal, unit=hand.unit, hand=hand)
    except ValueError as error:
        raise InputError(
            f"the {what} label {label!r} {error}, so it is no distance from the origin, and no "
            "spacing is given",
            remedy=remedy,
            path=table.path,
        ) from error
