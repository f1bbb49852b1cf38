"""Fronts on tickets: tapes along sides, and lines of points."""

import re

from gradevol.files.tables.cells import parse_number
from gradevol.files.tickets.cells import is_blank
from gradevol.files.tickets.columns import TicketColumn
from gradevol.files.tickets.grid import Rows
from gradevol.ground.units import METRES, Units

#: A front may be taped beyond the end of its side by so much, m, and this share of it.
_BEYOND, _BEYOND_SHARE = 0.15, 0.01


def find_slack(length: float) -> float:
    """How far beyond its end the tape along a side of a length may read, m."""
    return _BEYOND + _BEYOND_SHARE * length


def read_tapes(rows: Rows, index: int) -> tuple[tuple[int, float], ...]:
    """Tape along each side, m, from its end nearer to where placing began."""
    found = []
    for column in rows.fronts:
        text = rows.table.cell(index, column.at)
        if is_blank(text):
            continue
        unit = next((u for u, metres in METRES.items() if metres == column.factor), rows.unit)
        try:
            tape = parse_number(text, decimal=rows.table.decimal, unit=unit)
        except ValueError as error:
            raise rows.table.fault(
                index,
                f"the front {text!r} {str(error).partition(': say how')[0]}",
                "Write the tape along the side, feet and inches with marks (9' 6\"), or leave it "
                "blank where it was not read",
            ) from error
        found.append((column.side, _measure_from_start(rows, index, column, tape, text)))
    return tuple(found)


def _measure_from_start(
    rows: Rows, index: int, column: TicketColumn, tape: float, text: str
) -> float:
    """Tape from the end of a side nearer to where placing began, m."""
    if not rows.sides:
        if column.is_from_far:
            raise ValueError("a front from the far end needs the lengths of the sides")
        return tape
    if not 1 <= column.side <= len(rows.sides):
        raise rows.table.fault(
            index,
            f"{column.text!r} is of side {column.side}, but the slab has {len(rows.sides)} sides",
            "Side 1 runs from corner 1 to corner 2",
        )
    length = rows.sides[column.side - 1]
    slack = find_slack(length)
    if not -slack <= tape <= length + slack:
        said = Units.of_job(rows.unit).say_tape(length)
        raise rows.table.fault(
            index,
            f"the front {text!r} lies beyond the end of side {column.side}, which is {said} long",
            'Read the tape again; where it runs from the far end, say so by from = "far" in '
            "[[tickets.front]] of the job",
        )
    tape = min(max(tape, 0.0), length)
    return length - tape if column.is_from_far else tape


def read_points(rows: Rows, index: int) -> tuple[tuple[float, float], ...]:
    """Points of a front line in the job's coordinates, m."""
    text = rows.text(index, "points")
    made = []
    for part in re.split(r"\s*[;/|]\s*", text) if text else ():
        numbers = part.split() if " " in part else part.split(",")
        try:
            east, north = (
                parse_number(each.strip(","), decimal=".", unit=rows.unit) for each in numbers
            )
        except ValueError as error:
            raise rows.table.fault(
                index,
                f"the front line {text!r} is no line of points",
                "Write easting and northing of each, separated by /: 0 71 / 20 70.5 / 45 70",
            ) from error
        made.append((east, north))
    if len(made) == 1:
        raise rows.table.fault(
            index, "a front line of one point", "Give two or more, from side to side"
        )
    return tuple(made)
