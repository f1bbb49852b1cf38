"""Times of tickets: days that rise by their dates, hours that rise from load to load."""

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from gradevol.files.tickets.columns import TIMES
from gradevol.files.tickets.loads import Load
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import first_of, show

#: Hours that a time may stand before the one ahead of it.
_BACK = 6.0
_DAY = 24
#: So many loads may each be of another day.
_FEW = 3
_DATE = re.compile(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}")
_CLOCK = re.compile(r"\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?\s*(?:[ap]\.?m\.?)?", re.IGNORECASE)


def name_day(cell: str, times: Sequence[str]) -> str:
    """What tells the day of a row from others: its date, or that before the first of its times."""
    if re.search(r"\w", cell):  # no dash, and no mark for the same as above
        found = _DATE.search(cell)
        return found[0] if found else " ".join(_CLOCK.sub(" ", cell).casefold().split())
    dated = (_DATE.match(time) for time in times if time)
    first = next(dated, None)
    return first[0] if first else ""


def number_days(names: Sequence[str]) -> tuple[tuple[int, ...], list[Note]]:
    """
    Number the days of loads in their order, from 0.

    Parameters
    ----------
    names : sequence of str
        The day of each; blank where no date tells it.

    Returns
    -------
    days : tuple of int
        All 0 where the dates can't be those of the loads.
    notes : list of Note
    """
    runs = [name for name, _ in groupby(names)]
    own = [name for name in runs if name]
    is_counted_up = len(own) == len(names) > _FEW  # as a spreadsheet does that fills a column
    if len(set(own)) < len(own) or is_counted_up:
        text = (
            "The dates of the tickets are not looked at: "
            + ("each load has another" if is_counted_up else "a day comes back after another")
            + f", {first_of([show(name) for name in own])}."
        )
        return (0,) * len(names), [Note("tickets-dates", escape(text))]
    starts = list(dict.fromkeys(own))
    return tuple(starts.index(name) if name else 0 for name in names), []


def let_times_rise(
    loads: Sequence[Load], days: Sequence[int]
) -> tuple[tuple[Load, ...], list[Note]]:
    """
    Let times rise over midnight, or by a 12-hour clock over noon, from load to load.

    Parameters
    ----------
    loads : sequence of Load
        With times of day, in their order.
    days : sequence of int
        The day of each, from 0, rising.
    """
    written = [[getattr(load, kind) for kind in TIMES] for load in loads]
    # no 0:05 and no 13:10: then 1:10 that follows 12:50 is of the afternoon, not of the next day
    held = [time for times in written for time in times if time is not None]
    turn = 12 if all(1 <= time < 13 for time in held) else _DAY
    made = []
    notes: list[Note] = []
    last: float | None = None
    today, begins = 0, 0  # the day by date, and the hours after the first midnight that it begins
    for load, day, before in zip(loads, days, written, strict=True):
        if day != today:
            today, begins, last = day, begins + _DAY, None
        times = unroll(before, last, turn, begins=begins)
        if last is None and (first := _first_of(times)) is not None:
            begins = _DAY * int(first // _DAY)
        last = _first_of(times, last)
        made.append(_with_times(load, times, day))
        is_later = any(time - begins >= 13 for time in times if time is not None)
        if turn == 12 and is_later and not notes:
            text = (
                "The times of the tickets are taken to be of a 12-hour clock, and those of "
                f"{escape(load.name)} to have passed 12:59. Write pm behind them if that is so."
            )
            notes.append(Note("tickets-by-12-hours", text))
    return count_hours(made), notes


def unroll(
    times: Sequence[float | None], start: float | None, turn: int, *, begins: float = 0.0
) -> tuple[float | None, ...]:
    """
    Let times of day rise over midnight, or over noon where the clock has 12 hours.

    Parameters
    ----------
    times : sequence of float or None
        Hours after midnight, in the order in which they were.
    start : float or None
        What went before, hours after the first midnight.
    turn : int
        Hours of the clock, 24 or 12.
    begins : float
        When their day begins, hours after the first midnight.

    Returns
    -------
    tuple of (float or None)
        Hours after the first midnight. A time may stand up to 6 hours before the one ahead of it,
        as of trucks that were booked out of turn; else it is of the clock's next turn.
    """
    made: list[float | None] = []
    last = start
    for time in times:
        if time is not None:
            own = begins + time
            if last is not None:
                own += turn * max(0, math.ceil((last - _BACK - own) / turn))
            made.append(own)
            last = own
        else:
            made.append(None)
    return tuple(made)


def count_hours(loads: Sequence[Load]) -> tuple[Load, ...]:
    """Count the hours of loads from the midnight before the first of their last day, by date."""
    own = [load for load in loads if load.day == loads[-1].day]
    first = next((at for load in own if (at := _first_of(_times_of(load))) is not None), 0.0)
    before = _DAY * math.floor(first / _DAY)
    if not before:
        return tuple(loads)
    return tuple(
        _with_times(load, [None if at is None else at - before for at in _times_of(load)], load.day)
        for load in loads
    )


def _times_of(load: Load) -> list[float | None]:
    return [getattr(load, kind) for kind in TIMES]


def _with_times(load: Load, times: Sequence[float | None], day: int) -> Load:
    batched, arrived, started, finished = times
    return replace(
        load, batched=batched, arrived=arrived, started=started, finished=finished, day=day
    )


def _first_of(times: Sequence[float | None], other: float | None = None) -> float | None:
    return next((time for time in times if time is not None), other)
