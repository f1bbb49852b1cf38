"""Cells to numbers: text to metres."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.files.tables.headings import MEANINGS
from gradevol.files.tables.notation import Hand, Notation, settle_hand
from gradevol.files.tables.rows import Fitted
from gradevol.files.tables.text import join_thousands
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.lengths import LONGEST, quote
from gradevol.ground.units import METRES

_NUMBER = re.compile(r"[-+]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]+)?")
_PLAIN = re.compile(r"[-+.0-9eE\s]*")
_MAYBE_THOUSANDS = re.compile(r"[-+−]?[1-9][0-9]{0,2},[0-9]{3}")
#: ``12+50.25``: so many hundreds of feet, or kilometres, and what is over.
_STATION = re.compile(r"([0-9]+)\+([0-9]{2,3}(?:\.[0-9]*)?)")
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
#: ``8-Apr``, ``Apr-48``, ``2026-04-08``: what a spreadsheet makes of 4-8, 4-48 or 4/8.
_DATE = re.compile(
    rf"\d+[-. /]+{_MONTH}(?:[-. /]+\d+)?|{_MONTH}[-. /]+\d+|\d{{4}}-\d\d-\d\d(?:[ T].*)?"
    r"|\d{1,2}([./])\d{1,2}\1\d{2,4}",
    re.IGNORECASE,
)
#: Columns of heights and depths: no coordinates in plan.
_LEVELS = "ZRT"

_NOT_NUMBERS = re.compile(r"[-+]?(?:nan|inf(?:inity)?)", re.IGNORECASE)


def parse_number(cell: str, *, decimal: str, unit: str, hand: Hand | None = None) -> float:
    """
    Read one cell: a number, or a length that carries its unit.

    Parameters
    ----------
    cell : str
        The cell.
    decimal : str
        Its decimal mark; the other one is refused, as it may part thousands.
    unit : str
        Unit of a bare number, a key of `METRES`.
    hand : Hand, optional
        How the lengths of its column are written, which then knows the unit.

    Returns
    -------
    float
        The length, m.

    Raises
    ------
    ValueError
        If it is not such a number; the message is what follows the cell in a sentence.
    """
    text = cell.strip().replace("−", "-")
    if not text:
        raise ValueError("is blank")
    if len(text) > LONGEST:
        raise ValueError(f"is not a number: it has {len(text):,} characters")
    text = join_thousands(text, decimal)
    if "," in text and (decimal == "." or "." in text):
        raise ValueError("has a comma in it, which may be a thousands mark or a decimal comma")
    if decimal == "," and "." in text:
        raise ValueError("has a decimal point, but most numbers here have a decimal comma")
    if _NOT_NUMBERS.fullmatch(text):
        raise ValueError("is not a measured number")
    text = text.replace(",", ".")
    hand = hand or Hand(unit)
    number = _NUMBER.fullmatch(text)
    if not number and _DATE.fullmatch(text):
        why = "is a date: a spreadsheet makes one of 4-8 or 3/4 in cells that are not text"
        raise ValueError(why)
    try:
        is_plain = number and not hand.marked
        value = float(text) * METRES[hand.unit] if is_plain else hand.parse(text)
    except ValueError as error:
        why = str(error).removeprefix(f"{quote(text)} ")
        if match := _STATION.fullmatch(text):
            why = f"is a station: write it as a distance, {match[1]}{match[2]}"
        raise ValueError("is not a number" if why == "is not a length" else why) from error
    if not np.isfinite(value):
        raise ValueError("is too large a number")
    return value


def parse_numbers(
    cells: Sequence[str],
    *,
    decimal: str,
    unit: str,
    notation: Notation | None = None,
    is_level: bool = False,
) -> FloatArray:
    """
    Read a column of cells; `notation` and `is_level` as in `settle_hand`.

    Returns
    -------
    (n,) array of float
        Lengths, m; not-a-number where `parse_number` refuses the cell.
    """
    hand = None
    if is_level and notation and notation.name:
        hand = settle_hand(cells, unit=unit, notation=notation, is_level=is_level)
    # float() also takes nan and 1_000, and any number of digits
    is_short = max(map(len, cells), default=0) <= LONGEST
    is_plain = is_short and decimal == "." and not (hand and hand.marked)
    if is_plain and _PLAIN.fullmatch("\n".join(cells)):
        try:
            values = np.fromiter(map(float, cells), dtype=np.float64, count=len(cells))
        except ValueError:
            pass
        else:
            return np.where(np.isfinite(values), values * METRES[unit], np.nan)
    hand = hand or settle_hand(cells, unit=unit, notation=notation, is_level=is_level)
    read = np.full(len(cells), np.nan)
    for index, cell in enumerate(cells):
        try:
            read[index] = parse_number(cell, decimal=decimal, unit=unit, hand=hand)
        except ValueError:
            continue
    return read


@dataclass(frozen=True, slots=True)
class Fault:
    """A row or a cell that can't be read: its line from 1, what stands there, what is wrong."""

    line: int
    quoted: str
    why: str


def parse_coordinates(fitted: Fitted, wanted: str, *, unit: str) -> tuple[FloatArray, BoolArray]:
    """
    Parse the numbers of some columns, without a stop at what is none.

    Parameters
    ----------
    fitted : Fitted
        The rows.
    wanted : str
        The letters of the columns, k of them, in the order in which they are returned.
    unit : str
        Unit of bare numbers, a key of `METRES`.

    Returns
    -------
    values : (n, k) array of float
        The numbers, m; not-a-number where a cell is none.
    is_faulty : (n,) array of bool
        Rows that lack a number, or don't fit.
    """
    values = np.column_stack(
        [
            parse_numbers(
                fitted.column(letter),
                decimal=fitted.table.decimal,
                unit=unit,
                notation=fitted.notation,
                is_level=letter in _LEVELS,
            )
            for letter in wanted
        ]
    )
    is_faulty = np.zeros(len(values), bool)
    is_faulty |= np.isnan(values).any(axis=1)
    if fitted.faults:
        is_faulty |= np.isin(fitted.places, list(fitted.faults))
    return values, is_faulty


def explain_row(fitted: Fitted, row: int, wanted: str, *, unit: str) -> Fault | None:
    """Say what is wrong in a row; None where nothing is; parameters as `parse_coordinates`."""
    table, place = fitted.table, fitted.places[row]
    why = fitted.faults.get(place, "")
    for letter in "" if why else wanted:
        cell = fitted.rows[row][fitted.letters.index(letter)].strip()
        hand = settle_hand(
            fitted.column(letter),
            unit=unit,
            notation=fitted.notation,
            is_level=letter in _LEVELS,
        )
        try:
            parse_number(cell, decimal=table.decimal, unit=unit, hand=hand)
        except ValueError as error:
            why = f"the {MEANINGS[letter]}{f' {cell[:40]!r}' if cell else ''} {error}"
            break
    return Fault(table.lines[place], table.quote(table.rows[place]), why) if why else None


def read_coordinates(fitted: Fitted, wanted: str, *, unit: str) -> FloatArray:
    """
    Read the numbers of some columns, (n, k), m; parameters as `parse_coordinates`.

    Raises
    ------
    InputError
        If a row does not fit or a cell is no number: the first, and how many there are.
    """
    numbers, is_faulty = parse_coordinates(fitted, wanted, unit=unit)
    if is_faulty.any():
        count = int(is_faulty.sum())
        fault = explain_row(fitted, int(np.argmax(is_faulty)), wanted, unit=unit)
        if fault is None:
            raise AssertionError("no fault in a faulty row")
        raise InputError(
            f"{fault.why}, in {fault.quoted}" + f"; {count} rows have faults in all" * (count > 1),
            remedy=f"Correct the row, or delete it if it is no point; columns were read as "
            f"{fitted.letters}",
            path=fitted.table.path,
            line=fault.line,
        )
    if fitted.table.decimal == "," and unit in {"mm", "in"}:
        _refuse_thousands(fitted, [fitted.column(letter) for letter in wanted])
    return numbers


def _refuse_thousands(fitted: Fitted, columns: Sequence[Sequence[str]]) -> None:
    """Refuse small units whose commas may all part thousands: 12,345 mm may be 12 m."""
    cells = [cell for column in columns for cell in column if "," in cell]
    if cells and all(map(_MAYBE_THOUSANDS.fullmatch, cells)):
        raise InputError(
            f"the comma in {cells[0]!r} may be a thousands mark or a decimal comma",
            remedy="Write the numbers without commas, or with a decimal point",
            path=fitted.table.path,
        )
