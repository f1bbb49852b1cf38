"""Numbers of loads: the order that they tell, from day to day, and what is left out of them."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from gradevol.files.tickets.cells import plain_number, split_names
from gradevol.files.tickets.rows import Row
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import list_of, noun_of, verb_of

#: Of more numbers that are left out they are not those of this pour alone. A judgement, no source.
_MOST_GAPS = 2
_NUMBER = re.compile(r"[0-9]{1,9}")
#: ``11/03/2026`` and ``11/3`` are one day: hands leave out noughts, and the year after the first.
_PARTS, _YEAR = re.compile(r"[^\W_]+"), re.compile(r"20[0-9]{2}")


def date_all(rows: Sequence[Row]) -> list[Row]:
    """Give a row without a date that of the row above it, and one day one spelling."""
    made: list[Row] = []
    spelt: dict[tuple[str, ...], str] = {}
    for row in rows:
        day = row.day or (made[-1].day if made else "")
        parts = (part for part in _PARTS.findall(day) if not _YEAR.fullmatch(part))
        made.append(replace(row, day=spelt.setdefault(tuple(map(plain_number, parts)), day)))
    return made


def sort_loads(rows: list[Row]) -> list[Row]:
    """Put loads in the order of their numbers, where all have one; day by day if these recur."""
    orders = [row.order for row in rows]
    if None in orders:
        return rows
    days = list(dict.fromkeys(row.day for row in rows))
    if len(set(orders)) == len(rows) or len(days) == 1:
        return sorted(rows, key=lambda row: row.order or 0.0)
    told = (
        replace(row, load=replace(row.load, number=f"{row.load.number} of {row.day}"))
        for row in rows
    )
    return sorted(told, key=lambda row: (days.index(row.day), row.order or 0.0))


def note_gaps_by_day(rows: Sequence[Row], others: Sequence[str]) -> Iterator[Note]:
    """Tell of loads that are left out: of each day's where their numbers begin anew."""
    anew: dict[str, list[Row]] = {}
    for row in rows:
        number = row.load.number.removesuffix(f" of {row.day}")
        if number == row.load.number:
            yield from note_gaps(rows, others)
            return
        own = replace(row, load=replace(row.load, number=number))
        anew.setdefault(row.day, []).append(own)
    for day, of_day in anew.items():
        yield from note_gaps(of_day, others, day)


def note_gaps(rows: Sequence[Row], others: Sequence[str], day: str = "") -> Iterator[Note]:
    """
    Tell of one or two loads that are left out of the numbers of all.

    Parameters
    ----------
    rows : sequence of Row
        Those that count.
    others : sequence of str
        Numbers of loads that are told of and don't count.
    day : str
        Theirs, where other days have loads of the same numbers.
    """
    names = [part for row in rows for part in split_names(row.load.number)]
    if not names or not all(map(_NUMBER.fullmatch, names)) or len(names) < len(rows):
        return
    first, last = min(map(int, names)), max(map(int, names))
    held = {int(name) for name in (*names, *others) if _NUMBER.fullmatch(name)}
    count = last + 1 - first - sum(first <= number <= last for number in held)
    if not 0 < count <= _MOST_GAPS:
        return
    left_out = [str(number) for number in range(first, last) if number not in held]
    text = (
        f"{noun_of(count, 'Load')} {list_of(left_out)}{escape(day and f' of {day}')} "
        f"{verb_of(count, 'are')} not among the tickets, by the numbers of the others: left out?"
    )
    yield Note("tickets-gap", text)
