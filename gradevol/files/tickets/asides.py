"""Rows among delivery tickets that are no loads: what was called at the plant, and footers."""

import re

from gradevol.files.tables.text import is_number_like
from gradevol.files.tickets.cells import is_blank
from gradevol.files.tickets.columns import TIMES
from gradevol.files.tickets.grid import Rows
from gradevol.files.tickets.loads import Called
from gradevol.files.tickets.rows import list_places, parse_cell

#: With what a form is closed below its rows, by whom and else; common practice, no source.
_SIGNED = re.compile(
    r"\W*(?:sign(?:ed|ature)?|checked|approved|received|accepted|witness(?:ed)?)\b", re.IGNORECASE
)
_FOOTER = re.compile(
    r"\W*(?:printed|page|date|foreman|driver|plant|weather|remarks?|notes?)\b", re.IGNORECASE
)
#: What tells of a load: a row that has any of it, and no volume, is one that lost its volume.
_OF_LOADS = ("load", "ticket", "volume", "done", "returned", "batch_weight", "points")


def is_footer(rows: Rows, index: int) -> bool:
    """Whether a row has no number and no load's entry: ``Signed: J. Doe``."""
    held = [cell.strip() for cell in rows.table.rows[index] if cell.strip()]
    if any(map(is_number_like, held)):
        return False
    if _SIGNED.match(held[0]) and len(held) <= 2:
        return True
    if len(held) > 1:
        return False
    is_words = not re.search(r"\d", held[0]) and bool(re.search(r"[\s:]", held[0]))
    return is_words or bool(_FOOTER.match(held[0]))


def is_unfilled(rows: Rows, index: int) -> bool:
    """Whether a row of a form has its number, perhaps its date, and nothing else yet."""
    if not re.fullmatch(r"\W*\d{1,3}\W*", rows.text(index, "load")):
        return False
    own = {rows.columns[kind].at for kind in ("load", "date", "job") if kind in rows.columns}
    cells = rows.table.rows[index]
    return all(is_blank(cell.strip()) for at, cell in enumerate(cells) if at not in own)


def find_call(rows: Rows, index: int) -> Called | None:
    """Find what a row of its own says was called at the plant; None where it is a load's."""
    held = {kind for kind in _OF_LOADS if not is_blank(rows.text(index, kind))}
    if held - {"load"} or rows.text(index, "load").isdigit():
        return None
    if any(not is_blank(rows.table.cell(index, front.at)) for front in rows.fronts):
        return None
    if any(not is_blank(rows.text(index, kind)) for kind in set(TIMES) - {"finished"}):
        return None
    called = parse_cell(rows, index, "called")
    if called is None:
        return None
    places = list_places(rows.text(index, "went_to"))
    return Called(called.value, places)
