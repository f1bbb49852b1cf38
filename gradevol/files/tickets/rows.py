"""Rows of delivery tickets, each read or named by its line."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from functools import partial

from gradevol.files.tickets.cells import (
    Amount,
    is_blank,
    parse_amount,
    parse_clock,
    plain_number,
    split_names,
)
from gradevol.files.tickets.columns import TIMES
from gradevol.files.tickets.fronts import read_points, read_tapes
from gradevol.files.tickets.grid import Rows
from gradevol.files.tickets.loads import Load
from gradevol.files.tickets.times import name_day
from gradevol.files.tickets.units import FAMILIES, UNITS
from gradevol.files.tickets.words import (
    ASTRAY,
    CALLED,
    CANCELLED,
    LOST,
    MENTIONED,
    RETURNED,
    SENT_BACK,
)
from gradevol.ground.errors import InputError
from gradevol.ground.lengths import LONGEST, tidy
from gradevol.ground.notes import Kind, Measure, Note, escape

_TOTAL = re.compile(r"\b(?:(?:sub)?totals?|sum)\b", re.IGNORECASE)
#: Sums that differ by no more are one, m³: tickets are printed to 0.01 of a yd³ or m³.
CLOSE = 0.02
#: Where concrete goes that is of the slab itself.
_SLAB = {"slab", "the slab", "main slab", "floor"}


@dataclass(frozen=True, slots=True)
class Row:
    """A row that was read: its load, the sum it states, its cells, what to tell of it, its day."""

    load: Load
    cumulative: float | None
    cells: tuple[str, ...]
    notes: tuple[Note, ...] = ()
    day: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """What no two loads may share: tickets, load numbers; without either a whole timed row."""
        of_day = f" of {self.day}" if self.day else ""  # numbers begin anew the next day
        parts = [
            *(f"ticket {plain_number(part)}" for part in split_names(self.load.ticket)),
            *(f"load {plain_number(part)}{of_day}" for part in split_names(self.load.number)),
        ]
        if not parts and any(getattr(self.load, kind) is not None for kind in TIMES):
            parts = [" ".join(self.cells)]
        return tuple(part.casefold() for part in parts)

    @property
    def count(self) -> int:
        """Trucks that it stands for."""
        load = self.load
        return max(len(split_names(load.ticket)), len(split_names(load.number)), 1)

    @property
    def order(self) -> float | None:
        """Its number, where that is one; a letter behind it comes after it."""
        match = re.fullmatch(r"(\d{1,15})\s*([a-z]?)\b.*", self.load.number.casefold())
        if match is None:
            return None
        return int(match[1]) + ((ord(match[2]) - 96) / 100 if match[2] else 0.0)

    def is_sum_of(self, rows: "Sequence[Row]") -> bool:
        """Whether it is no load, by all that its row leaves out, but the sum of those above it."""
        load = self.load
        times = any(getattr(load, kind) is not None for kind in TIMES)
        numbers = re.findall(r"\d", load.ticket + load.number)  # none in "all loads" or "Summe"
        held = (*numbers, *load.fronts, *load.points, *load.done)
        if times or held or len(rows) < 2 or not all(row.names for row in rows):
            return False
        return abs(load.volume - sum(row.load.volume for row in rows)) <= CLOSE

    def complete(self, other: "Row") -> "Row | None":
        """Join it with another row of the same load; None where they contradict each other."""
        values = {}
        for each in fields(self.load):
            mine, theirs = getattr(self.load, each.name), getattr(other.load, each.name)
            is_alike = mine == theirs or each.name == "line"
            if each.name in {"number", "ticket"}:
                is_alike = plain_number(mine) == plain_number(theirs)
            if mine in (None, "", ()):
                values[each.name] = theirs
            elif theirs in (None, "", ()) or is_alike:
                values[each.name] = mine
            else:
                return None
        return replace(self, load=replace(self.load, **values))


def is_total(rows: Rows, index: int) -> bool:
    """Whether a row is a sum of those above it."""
    held = [cell for cell in rows.table.rows[index] if cell.strip()]
    is_load = any(rows.text(index, kind).isdigit() for kind in ("load", "ticket"))
    return any(map(_TOTAL.search, held[:2])) and not is_load


def find_sum(rows: Rows, index: int) -> list["Row"]:
    """Read a row of totals; nothing where it states no volume."""
    try:
        volume = parse_cell(rows, index, "volume")
    except InputError:
        return []
    if volume is None:
        return []
    return [Row(Load(rows.table.lines[index], "", "", volume.value), None, ())]


def find_cancelled(rows: Rows, index: int) -> str:
    """Words by which a load was cancelled; empty where it was not."""
    kinds = ["status", "went_to", "volume"]
    # a note beside a front speaks of something else: the load was placed
    if not rows.text(index, "done") and not any(rows.table.cell(index, f.at) for f in rows.fronts):
        kinds.append("note")
    for kind in kinds:
        text = rows.text(index, kind)
        if CANCELLED.match(text):
            return text
    return ""


def read_row(rows: Rows, index: int) -> Row:
    """
    Read a load.

    Raises
    ------
    InputError
        If it can't be read.
    """
    width = len(rows.table.header or ())
    cells = rows.table.rows[index]
    if any(cell.strip() for cell in cells[width:]):
        raise rows.table.fault(
            index,
            f"a row of {len(cells)} cells is too long for {width} columns",
            "Put quotes around a cell that holds the delimiter",
        )
    volume = parse_cell(rows, index, "volume")
    if volume is None:
        raise rows.table.fault(
            index,
            "a load without its volume",
            "Write the ticket's volume; of a load that never came, write cancelled in its note; "
            f"what was called at the plant stands under {rows.heading('called')}",
        )
    read = partial(parse_cell, rows, index)
    returned, notes = _read_returned(rows, index, volume)
    cumulative = read("cumulative")
    load = Load(
        line=rows.table.lines[index],
        number=rows.text(index, "load"),
        ticket=rows.text(index, "ticket"),
        volume=volume.value,
        batched=_clock(rows, index, "batched"),
        arrived=_clock(rows, index, "arrived"),
        started=_clock(rows, index, "started"),
        finished=_clock(rows, index, "finished"),
        fronts=read_tapes(rows, index),
        points=read_points(rows, index),
        done=split_names(rows.text(index, "done")),
        went_to=list_places(rows.text(index, "went_to")),
        returned=returned,
        called=read("called"),
        water_added=read("water_added"),
        batch_weight=read("batch_weight"),
        unit_weight=read("unit_weight"),
    )
    day = name_day(rows.text(index, "date"), [rows.text(index, kind) for kind in TIMES])
    return Row(
        load,
        cumulative.value if cumulative else None,
        tuple(cells),
        (*notes, *_note_called(rows, index)),
        day,
    )


def _read_returned(rows: Rows, index: int, volume: Amount) -> tuple[Amount | None, list[Note]]:
    """What of a load went back, by its column or its note, and what to tell of that."""
    note, notes = rows.text(index, "note"), []
    returned = parse_cell(rows, index, "returned")
    if returned is None and (match := RETURNED.search(tidy(note[:LONGEST]))):
        amount = match["before"] or match["after"] or match["between"]
        returned = _returned_of(rows, amount, volume)
        text = (
            f"Line {rows.table.lines[index]}: that {{}} was returned is taken from its note, "
            f"{escape(repr(note))}."
        )
        if re.match(r"0\d", amount):
            text += " Its number begins with 0: has it lost its point?"
        measure = Measure(returned.value, Kind.VOLUME)
        notes.append(Note("ticket-returned-by-note", text, (measure,)))
    if returned is not None and returned.value > volume.value * (1 + 1e-9):
        raise rows.table.fault(
            index, "more was returned than the ticket says", "Correct one of the two"
        )
    said = f"{note} {rows.text(index, 'status')}"
    if MENTIONED.search(said) or (returned is None and SENT_BACK.search(said)):
        text = (
            f"Line {rows.table.lines[index]} of the tickets was counted, though it says "
            f"{said.strip()!r}: if the load never came, begin its note with cancelled; if "
            "a part of it went back, write that under returned."
        )
        notes.append(Note("ticket-maybe-cancelled", escape(text)))
    elif returned is None:
        notes += _note_astray(rows, index, note, volume)
    return returned, notes


def _note_astray(rows: Rows, index: int, note: str, volume: Amount) -> list[Note]:
    """Tell of a part of a load that by its note may have gone elsewhere: all of it is counted."""
    words = LOST if list_places(rows.text(index, "went_to")) else ASTRAY
    if (match := words.search(tidy(note[:LONGEST]))) is None:
        return []
    if _returned_of(rows, match["before"] or match["after"], volume).value > volume.value:
        return []
    text = (
        f"Line {rows.table.lines[index]}: all of the load is counted into the slab, though its "
        f"note says {note!r}. What filled a [[pour]] belongs under went_to; what else did not go "
        "into the slab, under returned."
    )
    return [Note("ticket-maybe-elsewhere", escape(text))]


def _note_called(rows: Rows, index: int) -> list[Note]:
    """Tell of what by its note was called at the plant, and does not count."""
    note = rows.text(index, "note")
    if rows.text(index, "called") or not CALLED.search(tidy(note[:LONGEST])):
        return []
    text = (
        f"Line {rows.table.lines[index]}: its note says {note!r}. What was called is on its way "
        f"only where it stands under {rows.heading('called')}."
    )
    return [Note("ticket-maybe-called", escape(text))]


def _returned_of(rows: Rows, text: str, volume: Amount) -> Amount:
    """What a note says went back: an estimate, but where it is all that came."""
    decimal = "," if re.search(r"\d,\d", text) else "."
    units = UNITS["volume"]
    amount = parse_amount(text, decimal=decimal, units=units, factor=rows.factor("volume")).value
    return Amount(amount, abs(amount - volume.value) > CLOSE)


def list_places(cell: str) -> tuple[str, ...]:
    """Where a load went: nothing where that is the slab alone."""
    names = tuple("slab" if each.casefold() in _SLAB else each for each in split_names(cell))
    return () if names == ("slab",) else names


def parse_cell(rows: Rows, index: int, kind: str) -> Amount | None:
    """Amount in a cell, None where it is blank; what is none is an error that names the row."""
    text = rows.text(index, kind)
    if is_blank(text):
        return None
    try:
        return parse_amount(
            text,
            decimal=rows.table.decimal,
            units=UNITS[FAMILIES[kind]],
            factor=rows.factor(kind),
            thousands=kind == "batch_weight",
        )
    except ValueError as error:
        raise rows.table.fault(
            index,
            f"{text!r} under {rows.columns[kind].text!r} {error}",
            "Write it as a number, such as 7.5 or 8 1/2, with ~ before it where it is a guess, and "
            "of a sum 7.5 + 2" + "; leave the cell blank where there is none" * (kind != "volume"),
        ) from error


def _clock(rows: Rows, index: int, kind: str) -> float | None:
    text = rows.text(index, kind)
    if is_blank(text):
        return None
    try:
        return parse_clock(text)
    except ValueError as error:
        raise rows.table.fault(
            index, f"the time {text!r} {error}", "Write it as 14:05, or leave it blank"
        ) from error
