"""Which column of a table is what."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from gradevol.files.setups import Setups
from gradevol.files.sources import Shots
from gradevol.files.tables.headings import (
    MEANINGS,
    contradicts,
    read_headings,
    read_letters,
    units_of,
)
from gradevol.files.tables.table import Table
from gradevol.files.tables.unheaded import (
    PLAIN,
    UNKNOWN,
    check_plain,
    refuse_other_order,
    usual_width,
)
from gradevol.files.tables.unit_asides import check_said
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import first_of, noun_of


@dataclass(frozen=True, slots=True)
class Columns:
    """
    What a table's columns are.

    Attributes
    ----------
    letters : str
        One a column, as in `base.columns`.
    source : str
        Who says so: ``header``, ``stated``, or ``usual`` where nobody does and PNEZD fits.
    notes : tuple of Note
        Where the header and what was stated differ.
    """

    letters: str
    source: str
    notes: tuple[Note, ...] = ()


def check_letters(columns: str, *, key: str = "base.columns", of_depths: bool = False) -> str:
    """
    Letters as they are stated, in capitals, with E and N for X and Y.

    Parameters
    ----------
    columns : str
        As stated.
    key : str
        Where that is, for errors.
    of_depths : bool
        Whether a column may be depths, T, and none elevations or rod readings.

    Raises
    ------
    InputError
        If a letter is not known, or stands twice.
    """
    letters = columns.upper().replace("X", "E").replace("Y", "N")
    for letter in letters:
        if letter not in ("PENTD-" if of_depths else "PENZDSR-"):
            raise InputError(
                f"{key} is {columns!r}, but {letter!r} names no column",
                remedy="Write one letter a column: P point, N or Y northing, E or X easting, "
                + ("T depth" if of_depths else "Z elevation, S setup, R rod reading")
                + ", D description, - skip",
            )
        if letter != "-" and letters.count(letter) > 1:
            raise InputError(
                f"{key} is {columns!r}, which names the {MEANINGS[letter]} twice",
                remedy="Write - for a column to skip",
            )
    return letters


def name_columns(
    table: Table, stated: str | None, *, key: str = "base.columns", needed: str = "NEZ"
) -> Columns:
    """
    Name a table's columns: as its header does, else as stated, else PNEZD if that fits.

    Parameters
    ----------
    table : Table
    stated : str or None
        One letter a column.
    key : str
        Where they are stated, for messages; empty where they can't be.
    needed : str
        What a header must name, or it is left aside; rod readings will do for elevations.

    Raises
    ------
    InputError
        If the columns cannot be known without a guess; its code is ``columns-not-known``.
    """
    letters = check_letters(stated, key=key) if stated else None
    if table.header is None:
        if letters is None:
            check_plain(table, key)
        return Columns(letters or PLAIN, "stated" if letters else "usual")
    name = escape(table.path.name)
    again = _note_again(table)
    try:
        named = _read_header(table, table.header, key, needed)
    except InputError:
        if letters is None:
            raise
        text = (
            f"The first row of {name}, {escape(table.quote(table.header))}, was left out as a "
            f"header; its columns were read as {letters}, as {key} says."
        )
        return Columns(letters, "stated", (Note("header-not-known", text), *again))
    if letters is None:
        return Columns(named, "header", again)
    both = _join_letters(named, letters)
    if both is not None:
        return Columns(both, "header", again)
    text = (
        f"The header of {name} says {named} and was followed, {key} says {letters}: take the "
        "wrong one out."
    )
    return Columns(named, "header", (Note("header-followed", text), *again))


def _join_letters(named: str, stated: str) -> str | None:
    """Letters of a header, and of what is stated where it knows none; None where they differ."""
    if len(stated.rstrip("-")) > len(named):
        return None
    pairs = list(zip(named, stated.ljust(len(named), "-"), strict=False))
    if any(ours not in {"-", theirs} for ours, theirs in pairs):
        return None
    return "".join(theirs for _, theirs in pairs)


def _note_again(table: Table) -> tuple[Note, ...]:
    """Note that the header stands in a table again: two tables may stand in one file."""
    if not table.again:
        return ()
    lines = first_of([str(line) for line in table.again], 6)
    text = (
        f"The header of {escape(table.path.name)} stands in it again "
        f"({noun_of(len(table.again), 'line')} {lines}), and what follows was read on: is it one "
        "survey?"
    )
    return (Note("header-again", text),)


def find_columns(table: Table, shots: Shots, *, key: str = "") -> tuple[str, list[Note]]:
    """
    Letters of a table's columns as shots have them; see `name_columns`.

    Parameters
    ----------
    table : Table
    shots : Shots
    key : str
        Where the columns are stated, for messages; that of the shots' table, if left out.

    Returns
    -------
    letters : str
        One a column, with at least N, E and Z; or N, E and R where there are setups.
    notes : list of Note
        Where the header and the job differ.

    Raises
    ------
    InputError
        If the columns cannot be known without a guess, the header's units are not the job's, or
        rod readings and setups are not both there.
    """
    if not key and not shots.key.startswith("--"):  # an option has no table to state them in
        key = f"{shots.key}.columns"
    columns = name_columns(table, shots.columns, key=key)
    letters = columns.letters
    if columns.source == "usual" and shots.columns_of_base is not None:
        refuse_other_order(table, check_letters(shots.columns_of_base), key)
    if not shots.ignores_unit:
        check_units(table, table.header or (), shots.unit)
    _check_rods(table, letters, shots.setups, key)
    needed = "NE" if "R" in letters else "NEZ"
    if missing := [MEANINGS[letter] for letter in needed if letter not in letters]:
        raise InputError(
            f"{key} is {shots.columns!r}, which names no {' and no '.join(missing)}",
            remedy="Every shot needs N, E and Z (or Y, X and Z)",
            path=table.path,
        )
    return letters, list(columns.notes)


def _check_rods(table: Table, letters: str, setups: Setups | None, key: str) -> None:
    """Refuse rod readings without setups, and setups without rod readings."""
    if "R" in letters and "Z" not in letters and setups is None:
        raise InputError(
            "its columns hold rod readings (R) but no elevations (Z)",
            remedy="List the instrument setups under [base.setups], each with its bench mark and "
            "backsight or its height; or add a column of elevations",
            path=table.path,
        )
    if "R" not in letters and setups is not None and setups.is_stated:
        raise InputError(
            f"{setups.key} is given, but the columns {letters} hold no rod readings (R)",
            remedy=f"Mark them with R in {key}, or leave {setups.key} out",
            path=table.path,
        )


def _read_header(table: Table, header: Sequence[str], key: str, needed: str) -> str:
    """Letters that a header names; refused where it does not name all that is needed."""
    headings = read_headings(header)
    try:
        letters = read_letters(headings)
        split = len(letters.replace("-", "")) < sum(item.letter != "-" for item in headings)
        if table.delimiter == " " and (split or usual_width(table.rows) < len(header) - 1):
            raise ValueError("blanks split names of several words")
    except ValueError as error:
        raise InputError(
            f"in its header {table.quote(header)}, {error}",
            remedy="Give each column one name, of one word"
            + f"; or leave the header out and say what the columns are in {key}" * bool(key),
            path=table.path,
            code=UNKNOWN,
        ) from error
    held = {*letters, *("Z" * ("R" in letters))}
    if missing := [MEANINGS[letter] for letter in needed if letter not in held]:
        words = {word for cell in header for word in re.findall("[a-z]+", cell.lower())}
        is_on_globe = not words.isdisjoint(("lat", "latitude", "lon", "long", "lng", "longitude"))
        raise InputError(
            f"its header {table.quote(header)} names no {' and no '.join(missing)}",
            remedy="Latitude and longitude are no distances: export the shots in the coordinates "
            "of the job, projected or local"
            if is_on_globe
            else "Use names such as point, northing, easting, elevation, description"
            + f'; or say what the columns are in {key}, for example "PNEZD"' * bool(key),
            path=table.path,
            code=UNKNOWN,
        )
    return letters


def check_units(table: Table, header: Sequence[str], unit: str, *, own: str = "") -> None:
    """
    Refuse a table whose header or lines say units that differ from one another, or from the job's.

    A column may have a unit of its `own`: a line may say that one.

    Raises
    ------
    InputError
        It says both.
    """
    headings = read_headings(header)
    stated = units_of(headings)
    if len(stated) > 1 and set(stated) != {"ft", "us-ft"}:  # plain feet may be survey feet
        one, other = list(stated.values())[:2]
        raise InputError(
            f"its header says {one!r} and {other!r}: two units in one file",
            remedy="Export all columns in one unit, or correct the header",
            path=table.path,
        )
    for heading in headings:
        if contradicts(heading, unit):
            raise InputError(
                f"its header says {heading.text!r}, in {heading.unit}, but the job says that its "
                f"numbers are in {unit}"
                + (
                    ": the international foot (ft) and the US survey foot (us-ft) are two units"
                    if {heading.unit, unit} == {"ft", "us-ft"}
                    else ""
                ),
                remedy="Set the file's own unit in the job (units in the table that names the "
                "file), correct the header, or write ignore_file_unit = true beside units where "
                "the header is wrong",
                path=table.path,
            )
    check_said(table, unit, own=own)
