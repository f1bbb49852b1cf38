"""The points of a table in its own numbers: every row is tried, and those that fail are told."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gradevol.files.globe import FARTHEST
from gradevol.files.tables.cells import Fault, explain_row, parse_coordinates
from gradevol.files.tables.headings import MEANINGS
from gradevol.files.tables.marks import is_marked
from gradevol.files.tables.rows import Fitted
from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES

#: Faults that are explained.
MOST_FAULTS = 3
#: Decimals with which coordinates are told at most.
_MOST_DIGITS = 6


@dataclass(frozen=True, slots=True)
class WrittenShots:
    """
    The points of a table, as they are written.

    Attributes
    ----------
    fitted : Fitted
        The good rows.
    places : (n, k) array of float
        Their coordinates, in the file's own unit.
    digits : tuple of int
        Decimals of each coordinate, as all but a tenth of the rows have them.
    bad : tuple of int
        Lines of the other rows.
    faults : tuple of Fault
        What is wrong with the first of them.
    """

    fitted: Fitted
    places: FloatArray
    digits: tuple[int, ...]
    bad: tuple[int, ...]
    faults: tuple[Fault, ...]


def read_as_written(fitted: Fitted, wanted: str, unit: str | None) -> WrittenShots:
    """
    Read the coordinates of rows, without a stop at the first fault.

    Parameters
    ----------
    fitted : Fitted
    wanted : str
        The letters of the columns, k of them.
    unit : str or None
        The unit of bare numbers, where it is known; else a cell that carries one is a fault.
    """
    columns = [fitted.column(letter) for letter in wanted]
    marked = {cell for cells in columns for cell in cells if is_marked(cell)}
    own = unit if marked and unit else "m"  # bare numbers come through a metre unchanged
    if own == "m" != unit:
        fitted = replace(fitted, notation=replace(fitted.notation, is_open=True))
    values, is_bad = parse_coordinates(fitted, wanted, unit=own)
    numbers = values / METRES[own]
    if own != "m":
        numbers = np.round(numbers, 9)
    is_bad |= ~(np.abs(numbers) < FARTHEST / METRES["mm"]).all(axis=1)
    odd = set() if unit else marked
    if odd:
        is_bad |= np.any([[cell in odd for cell in cells] for cells in columns], axis=0)
    rows = np.flatnonzero(is_bad).tolist()
    kept = fitted.keep(np.flatnonzero(~is_bad).tolist())
    return WrittenShots(
        kept,
        numbers[~is_bad],
        tuple(count_digits(kept.column(each), kept.table.decimal) for each in wanted),
        tuple(fitted.table.lines[fitted.places[row]] for row in rows),
        tuple(_explain(fitted, row, wanted, own, odd) for row in rows[:MOST_FAULTS]),
    )


def _explain(fitted: Fitted, row: int, wanted: str, unit: str, odd: set[str]) -> Fault:
    table, place = fitted.table, fitted.places[row]
    line, quoted = table.lines[place], table.quote(table.rows[place])
    for letter in "" if place in fitted.faults else wanted:
        cell = fitted.column(letter)[row]
        if cell in odd:
            why = f"the {MEANINGS[letter]} {cell[:40]!r} carries a unit, or is no number, while "
            return Fault(line, quoted, f"{why}the others carry none")
    known = explain_row(fitted, row, wanted, unit=unit)
    return known or Fault(line, quoted, "a coordinate is off the Earth")


def is_fraction(cell: str) -> bool:
    """Whether a cell is a length in fractions or dashes, or carries a unit."""
    return is_marked(cell) or "/" in cell or "-" in cell[1:]


def count_digits(cells: Sequence[str], decimal: str) -> int:
    """Decimals that most cells have; of fractions of an inch, what tells them apart."""
    if any(map(is_fraction, cells)):
        return 3
    counts = [len(cell) - 1 - cell.find(decimal) if decimal in cell else 0 for cell in cells]
    most = int(np.quantile(counts, 0.9, method="higher")) if counts else 0
    return min(most, _MOST_DIGITS)
