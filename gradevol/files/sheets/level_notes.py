"""Level notes as a table: BS, IS, FS, one point a row."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from gradevol.files.sheets.known_elevations import note_unread, parse_known
from gradevol.files.sheets.level_columns import (
    ELEVATIONS,
    Column,
    find_columns,
    find_rounding,
    find_unit,
    list_decimals,
)
from gradevol.files.sheets.side_shots import part_side_shots
from gradevol.files.sniff import open_file
from gradevol.files.tables.broken_rows import remark_on_commented, remark_on_cut
from gradevol.files.tables.cells import parse_number
from gradevol.files.tables.labels import find_worked_out
from gradevol.files.tables.notation import Hand, Notation, settle_hand
from gradevol.files.tables.table import Table, read_table
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.units import METRES
from gradevol.site.levelling.book import LevelNotes, LevelRow, same_name

#: No levelling staff is as long, m: those of the trade reach 25 ft (7.6 m); common practice, no
#: source. A longer reading is in another unit, or an elevation in the wrong column.
_LONGEST_STAFF = 10.0
_SIGHTS = ("BS", "IS", "FS")
#: Two known elevations nearer than this are one, m.
_SAME = 1e-6


@dataclass(frozen=True, slots=True)
class LevelPage:
    """
    A page of level notes, with what goes along with the levels.

    Attributes
    ----------
    notes : LevelNotes
        The readings, m.
    unit : str
        Unit of the page, a key of `METRES`.
    decimals : int
        Most decimals that a reading on it has.
    places : tuple of ((float, float) or None)
        Easting and northing of each row, m.
    descriptions : tuple of str
        One a row.
    remarks : tuple of Note
        What the reader noticed.
    """

    notes: LevelNotes
    unit: str
    decimals: int
    places: tuple[tuple[float, float] | None, ...]
    descriptions: tuple[str, ...]
    remarks: tuple[Note, ...]


def read_level_notes(
    path: Path, *, unit: str | None = None, known: Sequence[str] = (), notation: str | None = None
) -> LevelPage:
    """
    Read level notes from delimited text with a header row.

    Parameters
    ----------
    path : Path
        The file.
    unit : str, optional
        Unit of bare numbers, a key of `METRES`; None: a heading such as ``BS_ft`` says it.
    known : sequence of str
        Known elevations beside those in the file: ``BM2=105.263``.
    notation : str, optional
        How lengths without marks are written, one of `lengths.NOTATIONS`.

    Raises
    ------
    InputError
        At the first fault: no such columns, no unit, a cell that is no number, rows that make no
        setups.
    """
    table = read_table(open_file(path))
    columns, left_out = find_columns(table)
    unit = find_unit(table, columns, unit)
    hands = _settle_hands(table, columns, unit, Notation(notation, "--notation"))
    rows = [_read_row(table, index, columns, hands) for index in range(len(table.rows))]
    remarks = [*remark_on_cut(table), *remark_on_commented(table)]
    remarks += [_note_left_out(left_out)] if left_out else []
    elevations, remark = _find_known(table, rows)
    remarks += [remark] if remark else []
    points = [row.row.point for row in rows]
    elevations |= parse_known(known, unit, points, path=path, notation=notation)
    unread = [row.row for row in rows if not row.is_read]
    rows = [row for row in rows if row.is_read]
    if not rows:
        raise InputError("it has no readings", remedy="Check its columns BS, IS, FS", path=path)
    remarks += note_unread(unread, {same_name(row.row.point) for row in rows})
    parted, told = part_side_shots([row.row for row in rows])
    remarks += told
    notes = LevelNotes(
        tuple(parted),
        elevations,
        rounding=find_rounding(table, columns, unit),
        unit=unit,
        path=path,
    )
    return LevelPage(
        notes,
        unit,
        max(list_decimals(table, columns, ("BS", "IS", "FS"))),
        tuple(row.place for row in rows),
        tuple(row.description for row in rows),
        tuple(remarks),
    )


@dataclass(frozen=True, slots=True)
class _Row:
    """One row of the file."""

    row: LevelRow
    known: float | None
    place: tuple[float, float] | None
    description: str

    @property
    def is_read(self) -> bool:
        """Whether anything was read on its point."""
        return (self.row.backsight, self.row.intermediate, self.row.foresight) != (None,) * 3


def _settle_hands(
    table: Table, columns: Mapping[str, Column], unit: str, notation: Notation
) -> dict[str, Hand]:
    """How each column of numbers is written; readings of all sights are written alike."""
    hands = {}
    for kind, column in columns.items():
        own = unit if kind in ELEVATIONS else column.unit or unit
        alike = _SIGHTS if kind in _SIGHTS else (kind,)
        places = [columns[each].at for each in alike if each in columns]
        cells = (row[at].strip() for row in table.rows for at in places if at < len(row))
        hands[kind] = settle_hand(
            filter(None, cells), unit=own, notation=notation, is_level=kind in ELEVATIONS
        )
    return hands


def _read_row(
    table: Table, index: int, columns: Mapping[str, Column], hands: Mapping[str, Hand]
) -> _Row:
    cells, line = table.rows[index], table.lines[index]
    width = len(table.header or ())
    if any(cell.strip() for cell in cells[width:]):
        raise InputError(
            f"a row of {len(cells)} cells is too long for {width} columns: {table.quote(cells)}",
            remedy="Put quotes around a cell that holds the delimiter",
            path=table.path,
            line=line,
        )

    def text(kind: str) -> str:
        return table.cell(index, columns[kind].at) if kind in columns else ""

    def number(kind: str) -> float | None:
        if not text(kind):
            return None
        hand = hands[kind]
        try:
            return parse_number(text(kind), decimal=table.decimal, unit=hand.unit, hand=hand)
        except ValueError as error:
            raise table.fault(
                index,
                f"the {kind} {text(kind)!r} {error}",
                "Correct the cell, or leave it blank if nothing was read; remarks go into "
                "a column 'description'",
            ) from error

    row = LevelRow(
        point=text("point") or f"line {line}",
        backsight=number("BS"),
        intermediate=number("IS"),
        foresight=number("FS"),
        backsight_length=number("BS distance"),
        foresight_length=number("FS distance"),
        booked_instrument=number("HI"),
        booked_elevation=number("elevation"),
        line=line,
    )
    easting, northing = number("easting"), number("northing")
    place = None if easting is None or northing is None else (easting, northing)
    read = _Row(row, number("known"), place, text("description"))
    _refuse_row(table, read, text, hands)
    return read


def _refuse_row(
    table: Table, read: _Row, text: Callable[[str], str], hands: Mapping[str, Hand]
) -> None:
    """Refuse what no row of level notes can be."""
    row = read.row
    fault = None
    for kind, reading in (("BS", row.backsight), ("IS", row.intermediate), ("FS", row.foresight)):
        if reading is not None and abs(reading) > _LONGEST_STAFF:
            unit = hands[kind].unit
            long = f"{abs(reading) / METRES[unit]:.4g} {unit}"
            fault = (
                f"the {kind} {text(kind)!r} is {long}, longer than any staff",
                "See whether it is an elevation in the wrong column, or in another unit",
            )
    for kind, length in (("BS", row.backsight_length), ("FS", row.foresight_length)):
        if length is not None and length <= 0:
            fault = (
                f"the {kind} distance {text(f'{kind} distance')!r} is not above 0",
                "Leave it blank where it was not measured",
            )
    if find_worked_out([row.point]):
        fault = (f"the row {row.point!r} was worked out, not read", "Take it out")
    elif not read.is_read and row.booked_elevation is None and read.known is None:
        fault = (
            f"{row.point!r} has neither BS, IS, FS nor a known elevation",
            "Book an HI in the row of its BS; begin a line that is only a remark with #",
        )
    if fault:
        raise InputError(fault[0], remedy=fault[1], path=table.path, line=row.line)


def _find_known(table: Table, rows: Sequence[_Row]) -> tuple[dict[str, float], Note | None]:
    """
    Known elevations that the file holds, by point.

    A column of plain elevations may hold benchmarks only, or all results of the field book. If it
    is filled in most of three or more rows, it is taken for results: then only the first is known.
    """
    filled = [row for row in rows if row.row.booked_elevation is not None]
    are_results = len(rows) >= 3 and 2 * len(filled) > len(rows)
    found: dict[str, tuple[float, LevelRow]] = {}
    for row in rows:
        known = row.known
        if known is None and (not are_results or row is rows[0] or not row.is_read):
            known = row.row.booked_elevation
        if known is None:
            continue
        name = same_name(row.row.point)
        before = found.setdefault(name, (known, row.row))
        if abs(before[0] - known) > _SAME:
            raise InputError(
                f"{row.row.point!r} is given two known elevations, here and in line "
                f"{before[1].line}",
                remedy="Give one; an elevation that was only observed is no known one",
                path=table.path,
                line=row.row.line,
            )
    elevations = {name: known for name, (known, _) in found.items()}
    if not are_results:
        return elevations, None
    text = (
        "Elevations stand in most rows, so they were taken for what the field book made of the "
        f"readings, and only compared; that of {rows[0].row.point} alone was taken as known. Give "
        "other bench marks in a column 'known' or by --known."
    )
    return elevations, Note("elevations-compared", escape(text))


def _note_left_out(headings: Sequence[str]) -> Note:
    text = f"Columns left out, as their headings are not known: {', '.join(headings)}."
    return Note("columns-left-out", escape(text))
