"""Which columns a table has, as far as it can be known, and in which unit it is."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from gradevol.doubts.described.facts import Finding, show
from gradevol.files.columns import PLAIN, check_letters, find_columns
from gradevol.files.headings import MEANINGS, Heading, read_heading, read_letters
from gradevol.files.sources import Shots
from gradevol.files.table import Table
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

_MARKED = re.compile(r"\d.*(?:['\"′″’”]|[a-zA-Z])")
#: Signs of a unit within a cell, in the order in which they are looked for.
_SIGNS = (
    ("mm", re.compile(r"mm\b")),
    ("ft", re.compile(r"['′’]|\bft\b|\dft\b|feet")),
    ("in", re.compile(r"[\"″”]|\bin\b|\din\b")),
    ("m", re.compile(r"\bm\b|\dm\b")),
)


@dataclass(frozen=True, slots=True)
class Columns:
    """
    How the columns of a table are understood.

    Attributes
    ----------
    letters : str or None
        One a column as in `base.columns`; None where their order can't be known.
    source : str
        Who says so, in words.
    why_not : str
        Why they can't be known; empty where they are.
    findings : tuple of Finding
        What looks wrong in that.
    """

    letters: str | None
    source: str = ""
    why_not: str = ""
    findings: tuple[Finding, ...] = ()


def understand_columns(table: Table, stated: str | None) -> Columns:
    """
    Understand the columns by the header, else as stated, else as PNEZD if that fits.

    Raises
    ------
    InputError
        If the letters stated are none, or lack a northing or an easting.
    """
    said = check_letters(stated) if stated else None
    if said and not {"N", "E"} <= set(said):
        raise InputError(
            f"--columns is {stated!r}, which names no northing and easting",
            remedy="Name both, as in PNEZD",
        )
    if table.header is None:
        return Columns(said, "as you say") if said else _understand_plain(table)
    letters, why = _read_names(table, table.header)
    if letters is None:
        if said is None:
            return Columns(None, why_not=why)
        text = f"{why[0].upper()}{why[1:]}, so it was left aside; the columns were read as {said}."
        return Columns(said, "as you say", findings=(Finding("header-not-known", text),))
    findings: tuple[Finding, ...] = ()
    if said and said.rstrip("-") != letters.rstrip("-"):
        text = f"The header says {letters}, --columns {said}. The header was followed."
        findings = (Finding("header-followed", text),)
    return Columns(letters, "by the header", findings=findings)


def _understand_plain(table: Table) -> Columns:
    try:
        find_columns(table, Shots((table.path,), "m"))
    except InputError as error:
        # the reader's own words between what it always says and the row that it quotes
        found = re.search(r"it has no header row, and (.*?): ['\"]", str(error))
        why = found[1] if found else "the order of its columns cannot be known"
        return Columns(None, why_not=f"it has no header row, and {why}")
    return Columns(PLAIN, "no header: the usual order was assumed")


def _read_names(table: Table, header: Sequence[str]) -> tuple[str | None, str]:
    """Letters of a header row; or None, and why."""
    headings = [read_heading(cell) for cell in header]
    try:
        letters = read_letters(headings)
    except ValueError as error:
        return None, f"in the header row {error}"
    if missing := [MEANINGS[letter] for letter in "NE" if letter not in letters]:
        return None, f"the header row names no {' and no '.join(missing)}"
    if "Z" in letters:
        bare = tuple(_without_unit(heading) for heading in headings)
        plain = Table(
            table.path, bare, table.rows, table.lines, table.delimiter, table.encoding, "."
        )
        try:
            find_columns(plain, Shots((table.path,), "m"))
        except InputError:
            return None, "blanks part names of several words in the header row"
    return letters, ""


def _without_unit(heading: Heading) -> str:
    """A heading without its unit: the shortest beginning that still means the same."""
    if heading.unit is None:
        return heading.text
    beginnings = (heading.text[:end] for end in range(1, len(heading.text)))
    alike = (
        text
        for text in beginnings
        if (read := read_heading(text)).unit is None
        and (read.letter, read.rank) == (heading.letter, heading.rank)
    )
    return next(alike, heading.text)


def find_unit(
    table: Table, columns: Sequence[Sequence[str]], stated: str | None
) -> tuple[str | None, str, list[Finding]]:
    """
    Find the unit of a table: its header's, else its cells', else the one stated.

    Parameters
    ----------
    table : Table
        The table.
    columns : sequence of sequences of str
        Cells of its coordinates, column by column, or enough of them.
    stated : str or None
        What the user says.

    Returns
    -------
    unit : str or None
        A key of `units.METRES`; None where nobody says.
    source : str
        Who says so, in words.
    findings : list of Finding
        Where they differ.
    """
    headings = [read_heading(cell) for cell in table.header or ()]
    named = {heading.unit: heading.text for heading in headings if heading.letter in set("NEZR")}
    named.pop(None, None)
    if len(named) > 1 or "cm" in named:
        shown = " and ".join(repr(show(text)) for text in named.values())
        why = "names two units" if len(named) > 1 else "is in cm, which is not read"
        text = f"The header, {shown}, {why}. Write all coordinates in one of {', '.join(METRES)}."
        return None, "", [Finding("units-mixed", text)]
    if named:
        ((unit, heading),) = named.items()
        return _settle(str(unit), "by the header", f"the header {show(heading)!r} says", stated)
    if unit := next(filter(None, map(_unit_of_cells, columns)), None):
        return _settle(unit, "by the marks in its numbers", "the marks in its numbers say", stated)
    return stated, "as you say", []


def _settle(
    unit: str, source: str, who: str, stated: str | None
) -> tuple[str | None, str, list[Finding]]:
    if (unit, stated) == ("ft", "us-ft"):  # plain feet may be survey feet
        return stated, "as you say", []
    if stated in {None, unit}:
        return unit, source, []
    text = f"You say {stated}, but {who} {unit}. Its own unit was followed: check which."
    return unit, source, [Finding("unit-contradicted", text)]


def is_marked(cell: str) -> bool:
    """Whether a cell carries a unit of its own, as ``5'-6 1/2"`` does."""
    return _MARKED.search(cell) is not None and not re.fullmatch(r"[-+.,\deE]*", cell)


def _unit_of_cells(cells: Sequence[str]) -> str | None:
    marked = [cell for cell in cells if is_marked(cell)]
    if len(marked) <= len(cells) / 2:
        return None
    return next((unit for unit, sign in _SIGNS if sign.search(marked[0].lower())), None)
