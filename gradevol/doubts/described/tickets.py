"""What a file of delivery tickets holds."""

from collections.abc import Iterator, Sequence

from gradevol.doubts.described.facts import Fact, Inventory
from gradevol.doubts.finding import Finding
from gradevol.files.tables.table import Table
from gradevol.files.tickets.columns import TicketLayout, find_ticket_columns
from gradevol.files.tickets.table import make_tickets
from gradevol.files.tickets.units import UNITS
from gradevol.ground.notes import Note
from gradevol.ground.units import Units
from gradevol.ground.words import count_of, list_of, show


def describe_tickets(table: Table, *, unit: str | None, title: str) -> Inventory:
    """
    Describe delivery tickets.

    Parameters
    ----------
    table : Table
    unit : str or None
        Of bare numbers, a key of `METRES`; without it the headings must carry that of the volume.
    title : str
        What kind of text it is.

    Raises
    ------
    InputError
        If a row can't be read, as a pour would say it.
    """
    columns, fronts, left_out = find_ticket_columns(table, TicketLayout())
    own = columns["volume"].factor
    is_metric = own == 1.0 if own is not None else unit is not None and Units.of_job(unit).is_metric
    tickets = make_tickets(table, unit=unit or ("m" if is_metric else "ft"))
    units = Units.of_job("m" if is_metric else "ft")
    total = sum(load.volume for load in tickets.loads)
    is_known = own is not None or unit is not None
    factor = own or UNITS["volume"]["m3" if is_metric else "yd3"]
    said = (
        units.say_volume(total) if is_known else f"{total / factor:.10g}, in no unit that is told"
    )
    facts = [
        Fact("loads", "Loads", count_of(len(tickets.loads), "load"), len(tickets.loads)),
        Fact("ticketed", "Ticketed", said, round(total / factor, 6)),
    ]
    if tickets.called:
        called = tickets.called / factor
        text = units.say_volume(tickets.called) if is_known else f"{called:.10g}"
        facts.append(Fact("called", "Called", text, round(called, 6)))
    times = [time for load in tickets.loads for time in (load.batched, load.finished) if time]
    if times:
        first, last = (_say_clock(time) for time in (min(times), max(times)))
        days = 1 + max(load.day for load in tickets.loads)
        over = f", on {days} days" if days > 1 else ""
        facts.append(Fact("times", "Times", f"{first} to {last}{over}", [first, last]))
    sides = [column.side for column in fronts]
    told = ["done"] * ("done" in columns) + ["points"] * ("points" in columns)
    words = [*(f"side {side}" for side in sides), *told]
    facts.append(Fact("fronts", "Fronts", list_of(words) or "none that is understood", words))
    names = [show(column.text) for column in columns.values()]
    facts.append(Fact("columns", "Columns", list_of(names, most=20), names))
    unread = list_of(list(map(show, left_out)))
    if left_out:
        facts.append(Fact("left_out", "Not read", unread, left_out))
    notes = [note for note in tickets.notes if note.code != "tickets-columns-left-out"]
    return Inventory(
        name=table.path.name,
        kind="tickets",
        title=f"delivery tickets of {count_of(len(tickets.loads), 'load')}, {title}",
        facts=tuple(facts),
        findings=tuple(_find(notes, units, unread="" if words else unread, has_unit=is_known)),
        looked_at="rows, sums, cancelled and repeated tickets",
    )


def _find(notes: Sequence[Note], units: Units, *, unread: str, has_unit: bool) -> Iterator[Finding]:
    """Tell what its reader noticed, and what a pour asks for besides."""
    if not has_unit:
        text = "The heading of the volume names no unit: a job reads it as its own."
        yield Finding("no-unit", text)
    for note in notes:
        yield Finding(note.code, note.say(units))
    if unread:
        text = (
            f"No column tells how far the concrete reached: map {unread} in the job by "
            "[[tickets.front]], or head two columns front 2 and front 4 by the sides of the slab "
            "along which the tape lies."
        )
        yield Finding("no-fronts", text)


def _say_clock(hours: float) -> str:
    minutes = round(hours * 60)
    return f"{minutes // 60 % 24}:{minutes % 60:02d}"
