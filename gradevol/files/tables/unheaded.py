"""Tables without a header: whether they can be taken for PNEZD."""

import re
from collections import Counter
from collections.abc import Sequence

from gradevol.files.tables.table import SAMPLE, TITLES, Table, names_places
from gradevol.files.tables.text import is_number_like
from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of

PLAIN = "PNEZD"
#: Code of the error where it can't be known what the columns are.
UNKNOWN = "columns-not-known"
_FRACTION_OR_MINUS = re.compile(r"[-−].*|.*[.,][0-9]*[1-9][0-9]*")


def check_plain(table: Table, key: str) -> None:
    """
    Refuse a table, with neither header nor stated columns, that is not like PNEZD.

    Raises
    ------
    InputError
        Its code is ``columns-not-known``.
    """
    for at, row in enumerate(table.rows[:TITLES]):
        if names_places(row):
            raise InputError(
                "it names its columns below rows with numbers",
                remedy="Take out the rows above, or put the names above all shots",
                path=table.path,
                line=table.lines[at],
                quoted=table.quote(row),
                code=UNKNOWN,
            )
    rows = [[cell.strip() for cell in row] for row in table.rows[:SAMPLE]]
    for row in rows:
        while row and not row[-1]:
            row.pop()
    width = usual_width(rows)
    fitting = [row for row in rows if len(row) >= 4 and all(map(is_number_like, row[1:4]))]
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
    corner = table.rows[0][0].strip()
    sheet = "" if corner and "\\" not in corner else "; a field sheet is base.rods or base.depths"
    raise InputError(
        f"it has no header row, and {why}",
        remedy=f"{say if key else 'Give'} the file a header row such as "
        f"point,northing,easting,elevation,description{sheet}",
        path=table.path,
        line=table.lines[0],
        quoted=table.quote(table.rows[0]),
        code=UNKNOWN,
    )


def refuse_other_order(table: Table, of_base: str, key: str) -> None:
    """
    Refuse to take a table for PNEZD that lies beside a base in another order.

    Parameters
    ----------
    table : Table
        It has no header.
    of_base : str
        Letters of the base's columns.
    key : str
        Where the table's own can be stated.

    Raises
    ------
    InputError
        If the base's columns stand in another order than PNEZD.
    """
    letters = of_base.rstrip("-")
    if letters not in {PLAIN, PLAIN[:-1]}:
        raise InputError(
            f"it has no header row and {key} is not given, while base.columns is {letters!r}: "
            "whether its columns stand as the base's do cannot be known",
            remedy=f'Write {key} = "{letters}" where they do, else such as "{PLAIN}"',
            path=table.path,
            line=table.lines[0],
            quoted=table.quote(table.rows[0]),
        )


def usual_width(rows: Sequence[Sequence[str]]) -> int:
    """How many cells most rows have."""
    widths = Counter(map(len, rows[:SAMPLE])).most_common(1)
    return widths[0][0] if widths else 0
