"""The unit that a table says it is in: by its header, or by the marks in its numbers."""

import re
from collections.abc import Sequence

from gradevol.files.tables.headings import read_heading, units_of
from gradevol.files.tables.table import Table
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

_MARKED = re.compile(r"\d.*(?:['\"′″’”]|[a-zA-Z])")
_BARE = re.compile(r"[-+.,\deE]*")
#: Signs of a unit within a cell, in the order in which they are looked for.
_SIGNS = (
    ("mm", re.compile(r"mm\b")),
    ("ft", re.compile(r"['′’]|\bft\b|\dft\b|feet")),
    ("in", re.compile(r"[\"″”]|\bin\b|\din\b")),
    ("m", re.compile(r"\bm\b|\dm\b")),
)


def is_marked(cell: str) -> bool:
    """Whether a cell carries a unit of its own, as ``5'-6 1/2"`` does."""
    return _MARKED.search(cell) is not None and not _BARE.fullmatch(cell)


def find_unit(table: Table, columns: Sequence[Sequence[str]]) -> tuple[str | None, str]:
    """
    Find the unit that a table itself says.

    Parameters
    ----------
    table : Table
    columns : sequence of sequences of str
        Cells of its coordinates, column by column, or enough of them.

    Returns
    -------
    unit : str or None
        A key of `units.METRES`; None where it says nothing.
    where : str
        Where it says so, in words.

    Raises
    ------
    InputError
        If its header says two, or one that is not read.
    """
    named = units_of(map(read_heading, table.header or ()))
    if len(named) > 1 or "cm" in named:
        shown = " and ".join(map(repr, named.values()))
        why = "names two units" if len(named) > 1 else "is in cm, which is not read"
        raise InputError(
            f"the header, {shown}, {why}",
            remedy=f"Write all coordinates in one of {', '.join(METRES)}",
            path=table.path,
            code="units-mixed",
        )
    if named:
        return next(iter(named)), "the header"
    for cells in columns:
        marked = [cell.lower() for cell in cells if is_marked(cell)]
        if len(marked) > len(cells) / 2:
            found = (unit for unit, sign in _SIGNS if sign.search(marked[0]))
            if unit_of_marks := next(found, None):
                return unit_of_marks, "the marks in its numbers"
    return None, ""
