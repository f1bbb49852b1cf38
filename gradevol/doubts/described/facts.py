"""What is said of a file: facts, findings, and the words that several kinds of file share."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.doubts.written.neighbours import say_not_compared
from gradevol.doubts.written.points import Points
from gradevol.files.opened import Files
from gradevol.files.shots.written import MOST_FAULTS
from gradevol.files.sniff import File
from gradevol.files.tables.cells import Fault
from gradevol.files.tables.headings import MEANINGS
from gradevol.files.tables.marks import find_unit
from gradevol.files.tables.table import Table
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.progress import Progress
from gradevol.ground.words import count_of

#: What a place is told by.
AXES = ("easting", "northing", "elevation")


@dataclass(frozen=True, slots=True)
class Fact:
    """
    One thing that a file holds.

    Attributes
    ----------
    key : str
        Its name for scripts.
    label, text : str
        The same for people: a word or two, and what stands beside it.
    value : plain data
        For scripts: text, numbers, None, lists and dicts of them, in the file's own unit.
    """

    key: str
    label: str
    text: str
    value: Any


@dataclass(frozen=True, slots=True)
class Group:
    """Points of one description or class: how many, their lowest and highest elevation."""

    name: str
    count: int
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Inventory:
    """
    What a data file holds, and what looks wrong in it.

    Attributes
    ----------
    name : str
        The file's name.
    kind : str
        ``points``, ``sheet``, ``cloud``, ``surface``, ``outline``, ``cores``, ``levels``,
        ``tickets`` or ``table``.
    title : str
        What it is, in a few words.
    facts : tuple of Fact
        In the order in which they are told.
    findings : tuple of Finding
        What looks wrong; empty where nothing does.
    looked_at : str
        What was looked at, in words: what nothing wrong can mean.
    groups : tuple of Group
        Points by description or class; empty where there are none.
    grouped_by : str
        ``codes``, ``classes`` or ``setups``.
    digits : int
        Decimals with which elevations of groups are told.
    """

    name: str
    kind: str
    title: str
    facts: tuple[Fact, ...]
    findings: tuple[Finding, ...]
    looked_at: str
    groups: tuple[Group, ...] = ()
    grouped_by: str = "codes"
    digits: int = 2


@dataclass(frozen=True, slots=True)
class Asked:
    """A file, what was said about it, and whom to tell how far its reading is."""

    file: File
    files: Files
    unit: str | None
    columns: str | None
    progress: Progress
    notation: str | None = None

    def tell(self, done: float) -> None:
        """Tell which share of it is read."""
        self.progress(f"reading {self.file.path.name}", done)


def tell_bad_rows(lines: Sequence[int], faults: Sequence[Fault], letters: str) -> list[Finding]:
    """Tell of rows that are no points: the line of each, and what is wrong with the first few."""
    if not lines:
        return []
    told = faults[:MOST_FAULTS]
    quoted = "; ".join(f"line {fault.line}, {fault.quoted}: {fault.why}" for fault in told)
    more = f"; and {len(lines) - len(told):,} more" if len(lines) > len(told) else ""
    are = "is no point" if len(lines) == 1 else "are no points"
    text = (
        f"{count_of(len(lines), 'row')} {are} by the columns {letters}, and left out of all that "
        f"is said here: {quoted}{more}. Correct or delete them: a job stops at the first."
    )
    return [Finding("bad-rows", text, lines=tuple(lines))]


def settle_unit(
    told: str | None, where: str, stated: str | None
) -> tuple[str | None, Fact, list[Finding]]:
    """
    Settle the unit of a file: as it says itself, `told`, else as the user says; never a guess.

    Returns
    -------
    unit : str or None
        A key of `units.METRES`; None where nobody says.
    fact : Fact
        The unit, and who says so.
    findings : list of Finding
        Where the two differ.
    """
    if told is None or (told, stated) == ("ft", "us-ft"):  # plain feet may be survey feet
        text = f"{stated}, as you say" if stated else "not said by the file; tell it with --units"
        return stated, Fact("unit", "Unit", text, stated), []
    fact = Fact("unit", "Unit", f"{told}, by {where}", told)
    if stated in {None, told}:
        return told, fact, []
    text = f"You say {stated}, but by {where} its unit is {told}, which was followed: check which."
    return told, fact, [Finding("unit-contradicted", text)]


def settle_table(
    table: Table, columns: Sequence[Sequence[str]], stated: str | None
) -> tuple[str | None, Fact, list[Finding]]:
    """Settle the unit of a table whose coordinates are these columns of cells; `settle_unit`."""
    try:
        told, where = find_unit(table, columns)
    except InputError as error:
        unit, fact, _ = settle_unit(None, "", None)
        return unit, fact, [Finding(error.code, say_error(error))]
    return settle_unit(told, where, stated)


def describe_compared(points: Points) -> list[Fact]:
    """Say whether shots could not be compared with their neighbours, and why."""
    why = say_not_compared(points)
    return [Fact("neighbours", "Neighbours", why, why)] if why else []


def say_error(error: InputError) -> str:
    """What a reader refuses, as sentences of their own."""
    return f"{error.problem[0].upper()}{error.problem[1:]}. {error.remedy}."


def describe_extents(
    places: FloatArray,
    digits: Sequence[int],
    unit: str | None,
    level_unit: str | None,
    *,
    names: Sequence[str] = AXES,
) -> list[Fact]:
    """Tell from where to where each coordinate of places (n, 2 or 3) goes, and how far that is."""
    if level_unit != unit and len(names) > 2:
        flat = describe_extents(places[:, :2], digits[:2], unit, unit, names=names[:2])
        up = describe_extents(places[:, 2:], digits[2:], level_unit, level_unit, names=names[2:])
        return flat + up
    low, high = places.min(axis=0), places.max(axis=0)
    facts = []
    ends = zip([*low, *high], [*digits, *digits], strict=True)
    width = max(len(f"{value:.{digit}f}") for value, digit in ends)
    for name, least, most, digit in zip(names, low, high, digits, strict=True):
        span = f"{most - least:z.{digit}f}{f' {unit}' if unit else ''}"
        text = f"{least:z{width}.{digit}f} to {most:z{width}.{digit}f}   ({span})"
        value = {"low": clean(least), "high": clean(most)}
        facts.append(Fact(name.replace(" ", "_"), name.capitalize(), text, value))
    return facts


def describe_columns(letters: str, source: str) -> Fact:
    """Tell what the columns are, and who says so."""
    names = ", ".join(MEANINGS.get(letter, "(skipped)") for letter in letters)
    return Fact("columns", "Columns", f"{letters}, {source}: {names}", letters)


def say_text(table: Table) -> str:
    """What kind of text a table is."""
    mark = {"\t": "tab", "|": "bar", ";": "semicolon", ",": "comma"}.get(table.delimiter)
    encoding = {"cp1252": "Windows-1252 by guess", "utf-8": "", "utf-8-sig": "UTF-8 with a mark"}
    words = (
        f"{f'{mark}-separated' if mark else 'aligned'} text",
        "decimal commas" if table.decimal == "," else "",
        encoding.get(table.encoding, table.encoding.upper()),
    )
    return ", ".join(filter(None, words))


def clean(value: float) -> float:
    """A number for scripts: free of the last bits that arithmetic leaves."""
    return round(float(value), 9) + 0.0


def group_codes(codes: Sequence[str], level: FloatArray) -> tuple[Group, ...]:
    """Shots by description, the most frequent first; none where no shot has one."""
    if not codes:
        return ()
    names, inverse = np.unique(np.array(codes), return_inverse=True)
    counts = np.bincount(inverse)
    low, high = np.full(len(names), np.inf), np.full(len(names), -np.inf)
    np.minimum.at(low, inverse, level)
    np.maximum.at(high, inverse, level)
    order = sorted(range(len(names)), key=lambda index: (-counts[index], str(names[index])))
    return tuple(
        Group(str(names[at]), int(counts[at]), float(low[at]), float(high[at])) for at in order
    )
