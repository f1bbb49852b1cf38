"""Which column of a table is what."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from gradevol.files.setups import Setups
from gradevol.files.sources import Shots
from gradevol.files.tables.headings import (
    MEANINGS,
    contradicts,
    read_heading,
    read_letters,
    units_of,
)
from gradevol.files.tables.table import SAMPLE, Table
from gradevol.files.tables.text import is_number_like
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of

PLAIN = "PNEZD"
#: Code of the error where it can't be known what the columns are.
UNKNOWN = "columns-not-known"
#: A number whose thousands are parted by commas.
_PARTED = re.compile(r"[-+−]?[1-9][0-9]{0,2}(?:(?:,[0-9]{3})+\.[0-9]+|(?:,[0-9]{3}){2,})")
_FRACTION_OR_MINUS = re.compile(r"[-−].*|.*[.,][0-9]*[1-9][0-9]*")


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
            _check_plain(table, key)
        return Columns(letters or PLAIN, "stated" if letters else "usual")
    name = escape(table.path.name)
    try:
        named = _read_header(table, table.header, key, needed)
    except InputError:
        if letters is None:
            raise
        text = (
            f"The first row of {name}, {escape(table.quote(table.header))}, was left out as a "
            f"header; its columns were read as {letters}, as {key} says."
        )
        return Columns(letters, "stated", (Note("header-not-known", text),))
    if letters is None or letters.rstrip("-") == named.rstrip("-"):
        return Columns(named, "header")
    text = f"The header of {name} says {named}, {key} says {letters}; the header was followed."
    return Columns(named, "header", (Note("header-followed", text),))


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
    if table.header is not None and not shots.ignores_unit:
        check_units(table, table.header, shots.unit)
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
            remedy="List the instrument setups under [base.setups], each with its benchmark and "
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
    headings = [read_heading(cell) for cell in header]
    try:
        letters = read_letters(headings)
        split = len(letters.replace("-", "")) < sum(item.letter != "-" for item in headings)
        if table.delimiter == " " and (split or _usual_width(table.rows) < len(header) - 1):
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


def check_units(table: Table, header: Sequence[str], unit: str) -> None:
    """
    Refuse a header whose units differ from one another, or from the job's.

    Raises
    ------
    InputError
        It says both.
    """
    headings = [read_heading(cell) for cell in header]
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


def _usual_width(rows: Sequence[Sequence[str]]) -> int:
    widths = Counter(map(len, rows[:SAMPLE])).most_common(1)
    return widths[0][0] if widths else 0


def _check_plain(table: Table, key: str) -> None:
    """Refuse a table, with neither header nor stated columns, that is not like PNEZD."""
    rows = [[cell.strip() for cell in row] for row in table.rows[:SAMPLE]]
    for row in rows:
        while row and not row[-1]:
            row.pop()
    width = _usual_width(rows)
    fitting = [row for row in rows if len(row) >= 4 and all(map(is_number_like, row[1:4]))]
    parted = (cell for row in rows for cell in row[1:4] if _PARTED.fullmatch(cell))
    if len(fitting) <= len(rows) / 2 and (cell := next(parted, None)):
        raise InputError(
            f"{cell!r} has commas between its thousands",
            remedy="Write the numbers without commas"
            + f"; then say what the columns are in {key}" * bool(key),
            path=table.path,
            line=table.lines[0],
            quoted=table.quote(table.rows[0]),
            code=UNKNOWN,
        )
    first = [row[0] for row in fitting]
    numbered = all(map(is_number_like, first))
    fifth = [row[4] for row in fitting if len(row) > 4]
    if width <= 3:
        why = f"{count_of(width, 'column')}, whose order cannot be known"
    elif len(fitting) <= len(rows) / 2:
        why = "no numbers where PNEZD has northing, easting and elevation"
    elif numbered and any(map(_FRACTION_OR_MINUS.fullmatch, first)):
        why = "no point ids in its first column"
    elif numbered and not fifth and len(set(first)) < len(first):
        why = "numbers in its first column that repeat, so they are no point ids"
    elif all(map(is_number_like, fifth)) and any(map(_FRACTION_OR_MINUS.fullmatch, fifth)):
        why = "measured numbers where PNEZD has the description"
    elif all(len(row) > len(PLAIN) and all(map(is_number_like, row[4:])) for row in fitting):
        why = "more columns of numbers than PNEZD has"
    else:
        return
    say = f'Say what the columns are in {key}, for example "PNEZD", "ENZ" or "NEZ"; or give'
    raise InputError(
        f"it has no header row, and {why}",
        remedy=f"{say if key else 'Give'} the file a header row such as "
        "point,northing,easting,elevation,description",
        path=table.path,
        line=table.lines[0],
        quoted=table.quote(table.rows[0]),
        code=UNKNOWN,
    )
