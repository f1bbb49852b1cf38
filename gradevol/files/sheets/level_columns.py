"""Columns of level notes: what each is, and the unit of them all."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gradevol.files.tables.headings import read_heading, read_unit
from gradevol.files.tables.table import Table
from gradevol.files.tables.text import count_decimals
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

#: Names that people write above a column of level notes; common practice, no source.
_NAMES = {
    name: kind
    for kind, names in {
        "BS": "bs|b s|backsight|back sight",
        "IS": "is|i s|ifs|intermediate|intermediate sight|inter sight|side shot",
        "FS": "fs|f s|foresight|fore sight",
        "HI": "hi|h i|height of instrument|instrument height|hpc|hoc|height of collimation",
        "known": "known|known elevation|known elev|known level|bm|bm elevation|bm elev"
        "|benchmark|benchmark elevation|fixed",
        "BS distance": "bs distance|bs dist|bs length|backsight distance|backsight length"
        "|distance bs|dist bs|length bs",
        "FS distance": "fs distance|fs dist|fs length|foresight distance|foresight length"
        "|distance fs|dist fs|length fs",
        "point": "station|sta|stn",
        "distance": "distance|dist|length|sight|sight length|sight distance",
    }.items()
    for name in names.split("|")
}
#: What the letters of other columns are called here.
_LETTERS = {"P": "point", "Z": "elevation", "D": "description", "E": "easting", "N": "northing"}
ELEVATIONS = ("BS", "IS", "FS", "HI", "known", "elevation")
_WORDS = re.compile(r"[^\W_]+")


@dataclass(frozen=True, slots=True)
class Column:
    """A column: what it is, the unit its heading carries, where it stands."""

    kind: str
    text: str
    unit: str | None
    at: int


def _understand(cell: str, at: int) -> Column:
    """Understand ``BS``, ``F.S. (ft)``, ``known_m``; others as in any table of points."""
    words = _WORDS.findall(cell.lower())
    for count in range(min(len(words), 3), 0, -1):
        if kind := _NAMES.get(" ".join(words[:count])):
            unit, known = read_unit(words[count:])
            if known:
                return Column(kind, cell.strip(), unit, at)
    heading = read_heading(cell)
    return Column(_LETTERS.get(heading.letter, ""), cell.strip(), heading.unit, at)


def is_level_page(table: Table) -> bool:
    """Whether a table's header names backsights and foresights, as level notes do."""
    return {"BS", "FS"} <= {_understand(cell, 0).kind for cell in table.header or ()}


def find_columns(table: Table) -> tuple[dict[str, Column], list[str]]:
    """Columns by what they are, and the headings of those that are left out."""
    header = table.require_header(
        for_what="which reading is a BS, IS or FS",
        remedy="Save it as CSV with a header row such as point,BS,IS,FS,known,description",
    )
    columns: dict[str, Column] = {}
    left_out = []
    for at, cell in enumerate(header):
        column = _understand(cell, at)
        if column.kind == "distance":
            raise InputError(
                f"its column {column.text!r} can be the sight back, the sight ahead, or the line "
                "so far",
                remedy="Name the lengths of sight 'BS distance' and 'FS distance'",
                path=table.path,
            )
        if column.kind in columns and column.kind not in {"description", "point", ""}:
            raise InputError(
                f"{columns[column.kind].text!r} and {column.text!r} both name the {column.kind}",
                remedy="Give each column one name",
                path=table.path,
            )
        if column.kind and column.kind not in columns:
            columns[column.kind] = column
        elif column.text:
            left_out.append(column.text)
    if missing := [kind for kind in ("point", "BS", "FS") if kind not in columns]:
        raise InputError(
            f"its header {table.quote(header)} names no {' and no '.join(missing)}",
            remedy="Use point,BS,IS,FS; and known for the elevations of bench marks",
            path=table.path,
        )
    return columns, left_out


def find_unit(table: Table, columns: Mapping[str, Column], stated: str | None) -> str:
    """Unit of the page: as stated, or as its headings say; never guessed."""
    unit, says = stated, f"--units {stated}"
    for column in (columns[kind] for kind in ELEVATIONS if kind in columns):
        if column.unit is None:
            continue
        if column.unit not in METRES:
            raise InputError(
                f"its heading {column.text!r} is in {column.unit}",
                remedy=f"Use one of {', '.join(METRES)}",
                path=table.path,
            )
        if unit is not None and column.unit != unit and (column.unit, unit) != ("ft", "us-ft"):
            raise InputError(
                f"its heading {column.text!r} says {column.unit}, but {says} says {unit}",
                remedy="Readings and elevations are in one unit; correct one of the two",
                path=table.path,
            )
        if unit is None:
            unit, says = column.unit, f"heading {column.text!r}"
    if unit is None:
        raise InputError(
            "neither its headings nor --units say which unit its numbers are in",
            remedy=f"Give --units with one of {', '.join(METRES)}, or a heading such as BS_ft",
            path=table.path,
        )
    return unit


def find_rounding(table: Table, columns: Mapping[str, Column], unit: str) -> float:
    """How far a booked height of instrument or elevation may be off by its rounding, m."""
    fewest = min(list_decimals(table, columns, ("HI", "elevation")), default=6)
    return 0.5 * 10.0**-fewest * METRES[unit]


def list_decimals(table: Table, columns: Mapping[str, Column], kinds: Sequence[str]) -> list[int]:
    """Decimals of each number in some columns; a length in feet and inches counts as 3."""
    cells = [
        row[columns[kind].at].strip()
        for row in table.rows
        for kind in kinds
        if kind in columns and columns[kind].at < len(row)
    ]
    counts = [count_decimals(cell) for cell in cells if cell]
    return [3 if count is None else count for count in counts]
