"""Delivery tickets: one row a load, what it brought, when, where it went, how far it reached."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from gradevol.files.opened import Files
from gradevol.files.tables.broken_rows import remark_on_commented, remark_on_cut
from gradevol.files.tables.table import Table, read_table
from gradevol.files.tickets.asides import find_call, is_footer, is_unfilled
from gradevol.files.tickets.cells import Amount
from gradevol.files.tickets.columns import TicketColumn, TicketLayout, find_ticket_columns
from gradevol.files.tickets.grid import Rows
from gradevol.files.tickets.loads import Called, Load
from gradevol.files.tickets.numbers import date_all, note_gaps_by_day, sort_loads
from gradevol.files.tickets.rows import CLOSE, Row, find_cancelled, find_sum, is_total, read_row
from gradevol.files.tickets.times import let_times_rise, number_days
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import first_of, list_of, noun_of, show, verb_of

__all__ = ["Amount", "Load", "TicketLayout", "Tickets", "make_tickets", "read_tickets"]

#: No truck brings more, m³: mixers hold 6 to 12; common practice, no source.
_MOST = 16.0


@dataclass(frozen=True, slots=True)
class Tickets:
    """
    The tickets of a pour.

    Attributes
    ----------
    loads : tuple of Load
        In the order of their numbers where all have one, else in that of the file; without those
        that were cancelled or written twice.
    notes : tuple of Note
        What was left out, joined or assumed.
    left_out : tuple of str
        Headings of columns that were not read.
    has_fronts : bool
        Whether a column tells how far the concrete has reached, even if its cells are blank.
    calls : tuple of Called
        What was called at the plant, of rows that are no loads.
    """

    path: Path
    loads: tuple[Load, ...]
    notes: tuple[Note, ...] = field(default=())
    left_out: tuple[str, ...] = ()
    has_fronts: bool = False
    calls: tuple[Called, ...] = ()

    @property
    def called(self) -> float:
        """What was called at the plant beside what was released at once, m³."""
        own = sum(load.called.value for load in self.loads if load.called is not None)
        return own + sum(each.volume for each in self.calls)


def read_tickets(
    path: Path,
    files: Files | None = None,
    *,
    unit: str,
    layout: TicketLayout | None = None,
    sides: Sequence[float] = (),
) -> Tickets:
    """
    Read the tickets of a pour from delimited text.

    Parameters
    ----------
    path : Path
    files : Files, optional
        What the run has opened.
    unit : str
        The job's, a key of `METRES`: of bare lengths; bare volumes are yd³ beside feet, m³ beside
        metres, and so with gallons or litres, pounds or kilograms.
    layout : TicketLayout, optional
        What the job says of the headings.
    sides : sequence of float
        Length of each side of the slab, m: for fronts that were taped from the far end, and to
        refuse a front beyond its side.

    Raises
    ------
    InputError
        If it is no such file, a row can't be read, or it can't be told whether two rows are one
        load.
    """
    table = (files or Files()).parse(path, read_table)
    return make_tickets(table, unit=unit, layout=layout, sides=sides)


def make_tickets(
    table: Table,
    *,
    unit: str,
    layout: TicketLayout | None = None,
    sides: Sequence[float] = (),
) -> Tickets:
    """Make tickets of a table's cells; parameters and errors as of `read_tickets`."""
    columns, fronts, left_out = find_ticket_columns(table, layout or TicketLayout())
    rows = Rows(table, columns, fronts, unit=unit, sides=sides)
    notes = [*_note_columns(left_out), *rows.note_bare()]
    notes += [*remark_on_cut(table), *remark_on_commented(table)]
    read: list[Row] = []
    stated: list[Row] = []
    calls: list[Called] = []
    unfilled: list[int] = []
    others: list[str] = []  # numbers of loads that are told of and don't count
    for index in range(len(table.rows)):
        if is_unfilled(rows, index):
            unfilled.append(table.lines[index])
            others.append(rows.text(index, "load"))
        elif is_total(rows, index):
            stated += find_sum(rows, index)
        elif why := find_cancelled(rows, index):
            said = _say_passed(rows, index, f"it says {why!r}")
            notes.append(Note("ticket-cancelled", said))
            others.append(rows.text(index, "load"))
        elif (called := find_call(rows, index)) is not None:
            calls.append(called)
        elif is_footer(rows, index):
            notes.append(Note("ticket-footer", _say_passed(rows, index, "it tells of no load")))
        elif (row := read_row(rows, index)).is_sum_of(read):
            stated.append(row)
            notes.append(_note_sum(row))
        else:
            read.append(row)
    notes += [*_note_unfilled(unfilled, read), *_note_jobs(rows, read)]
    kept, repeated = _keep_once(table, date_all(read))
    kept = sort_loads(kept)
    days, dates = number_days([row.day for row in kept])
    loads, clock = let_times_rise([row.load for row in kept], days)
    notes += [*dates, *clock, *repeated, *note_gaps_by_day(kept, others)]
    notes += [*_note_doubts(kept, columns), *_compare_sums(loads, stated)]
    return Tickets(
        table.path,
        loads,
        tuple(notes),
        tuple(left_out),
        has_fronts=bool(fronts) or not columns.keys().isdisjoint({"done", "points"}),
        calls=tuple(calls),
    )


def _keep_once(table: Table, rows: Sequence[Row]) -> tuple[list[Row], list[Note]]:
    """Leave out loads that are written twice; ask where that can't be told."""
    kept: dict[str, Row] = {}
    made: list[Row] = []
    notes = []
    for row in rows:
        names = row.names
        before = next((kept[name] for name in names if name in kept), None)
        if before is not None:
            whole = before.complete(row)
            if whole is None:
                raise _ask(table, before, row)
            made[made.index(before)] = whole
            kept.update(dict.fromkeys([*before.names, *names], whole))
            notes.append(
                Note(
                    "ticket-repeated",
                    f"Lines {before.load.line} and {row.load.line} are one load, "
                    f"{escape(row.load.name)}: counted once.",
                )
            )
            continue
        made.append(row)
        kept.update(dict.fromkeys(names, row))
    return made, notes


def _ask(table: Table, before: Row, row: Row) -> InputError:
    """Ask whether two rows that share a ticket are one load."""
    shared = next(name for name in row.names if name in before.names)
    return InputError(
        f"{shared} stands in line {before.load.line} and, with other entries, here: "
        f"{table.quote(row.cells)}",
        remedy="If it is one load, keep the row that is right; if one ticket was split over two "
        "rows, or two loads have one number, tell them apart: 8a and 8b",
        path=table.path,
        line=row.load.line,
    )


def _note_columns(left_out: Sequence[str]) -> list[Note]:
    if not left_out:
        return []
    text = (
        f"Columns of the tickets left out, as their headings are not known: {', '.join(left_out)}."
    )
    return [Note("tickets-columns-left-out", escape(text))]


def _note_unfilled(lines: Sequence[int], read: Sequence[Row]) -> list[Note]:
    """Tell of rows with a number alone that loads come after: the rest of a form is blank yet."""
    last = max((row.load.line for row in read), default=0)
    blank = [str(line) for line in lines if line < last]
    if not blank:
        return []
    lines_hold = noun_of(len(blank), "Line"), verb_of(len(blank), "hold")
    text = (
        f"{lines_hold[0]} {first_of(blank)} of the tickets {lines_hold[1]} a number and nothing "
        "else: not counted."
    )
    return [Note("ticket-unfilled", text)]


def _note_jobs(rows: Rows, read: Sequence[Row]) -> Iterator[Note]:
    """Ask where a column says of loads that they are of several jobs."""
    at = {line: index for index, line in enumerate(rows.table.lines)}
    names: dict[str, str] = {}
    for row in read:
        if name := rows.text(at[row.load.line], "job"):
            names.setdefault(" ".join(name.casefold().split()), name)
    if len(names) > 1:
        text = (
            f"By their column {show(rows.columns['job'].text)} the tickets are of "
            f"{list_of(list(map(show, names.values())))}: none is left out for that. Take out "
            "what is of another job."
        )
        yield Note("tickets-of-several-jobs", escape(text))


def _note_sum(row: Row) -> Note:
    text = (
        f"Line {row.load.line} of the tickets was not counted: it is no load's by its cells, and "
        "the sum of those above it."
    )
    return Note("ticket-is-sum", text)


def _say_passed(rows: Rows, index: int, why: str) -> str:
    line, row = rows.table.lines[index], rows.table.quote(rows.table.rows[index])
    return escape(f"Line {line} of the tickets was not counted: {why} ({row}).")


def _note_doubts(rows: Sequence[Row], columns: dict[str, TicketColumn]) -> list[Note]:
    """What was understood from words, and what looks wrong but was counted."""
    notes = [note for row in rows for note in row.notes]
    total = 0.0
    for row in rows:
        load = row.load
        total += load.volume
        if load.volume > _MOST * row.count:
            text = f"{escape(load.name).capitalize()} is ticketed {{}}, more than a truck holds."
            measure = Measure(load.volume, Kind.VOLUME)
            notes.append(Note("ticket-large", f"{text} A sum, or another unit?", (measure,)))
        if row.cumulative is not None and abs(row.cumulative - total) > CLOSE + 1e-3 * total:
            text = (
                f"Up to {escape(load.name)} the tickets add up to {{}}, but its column "
                f"{escape(columns['cumulative'].text)!r} says {{}}: is a ticket missing or "
                "written twice?"
            )
            sums = (Measure(total, Kind.VOLUME), Measure(row.cumulative, Kind.VOLUME))
            notes.append(Note("tickets-sum-differs", text, sums))
            break
    return notes


def _compare_sums(loads: Sequence[Load], stated: Sequence[Row]) -> Iterator[Note]:
    """Compare rows of totals with all loads, those above them, and those since the last total."""
    last = 0
    for row in (each.load for each in stated):
        above = [load for load in loads if load.line < row.line]
        since = [load for load in above if load.line > last]
        total, *others = (sum(load.volume for load in of) for of in (above or loads, since, loads))
        last = row.line
        if any(abs(row.volume - each) <= CLOSE + 1e-3 * each for each in (total, *others)):
            continue
        text = (
            f"The total in line {row.line} of the tickets is {{}}, but their loads add up to "
            "{}: is one missing or counted twice?"
        )
        sums = (Measure(row.volume, Kind.VOLUME), Measure(total, Kind.VOLUME))
        yield Note("tickets-sum-differs", text, sums)
