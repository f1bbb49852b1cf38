"""A table of which it can't be known what its columns are: what each of them holds."""

from dataclasses import dataclass

import numpy as np

from gradevol.doubts.described.facts import Fact, Inventory, clean
from gradevol.doubts.finding import Finding
from gradevol.files.tables.cells import parse_numbers
from gradevol.files.tables.notation import Notation
from gradevol.files.tables.table import SAMPLE, Table
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of, show

#: A column of which so many cells are numbers holds numbers.
_MOSTLY = 0.8
#: Columns that are told.
_MOST_COLUMNS = 12
#: What could be stated, going by which columns hold numbers (n) and which text (t).
_CHOICES = {
    "nnn": ("NEZ", "ENZ"),
    "nnnt": ("NEZD", "ENZD"),
    "nnnn": ("PNEZ", "PENZ"),
    "tnnn": ("PNEZ", "PENZ"),
    "nnnnt": ("PNEZD", "PENZD"),
    "tnnnt": ("PNEZD", "PENZD"),
    "nn": ("NE", "EN"),
}


@dataclass(frozen=True, slots=True)
class _Column:
    """One column: its name or number, its cells, and the numbers among them."""

    name: str
    cells: tuple[str, ...]
    numbers: FloatArray

    @property
    def is_numeric(self) -> bool:
        held = sum(map(bool, self.cells))
        return held > 0 and len(self.numbers) >= _MOSTLY * held


def describe_table(table: Table, why: str, *, title: str) -> Inventory:
    """
    Describe a table's columns one by one.

    Parameters
    ----------
    table : Table
    why : str
        Why its columns can't be known.
    title : str
        What kind of text it is.

    Raises
    ------
    InputError
        If it has fewer than two columns of numbers.
    """
    columns = _part_columns(table)
    if table.rows and sum(column.is_numeric for column in columns) < 2:
        raise InputError(
            "it is text, but holds no columns of numbers",
            remedy="Check that this is the right file",
            path=table.path,
            line=table.lines[0],
            quoted=table.quote(table.rows[0]),
        )
    finding = Finding("no-rows", "It has a header row and nothing below it.")
    if table.rows:
        text = (
            f"What the columns are can't be known: {why}. {_say_choices(columns)} Ask whoever made "
            "the file: northing and easting mixed up turn the site over, and no check can see it."
        )
        finding = Finding("columns-not-known", text)
    return Inventory(
        name=table.path.name,
        kind="table",
        title=f"{count_of(len(table.rows), 'row')}, {title}",
        facts=_describe_columns(table, columns),
        findings=(finding,),
        looked_at="rows",
    )


def describe_level_page(table: Table, *, title: str) -> Inventory:
    """Describe level notes: their columns only; `gradevol levels` reads them."""
    text = f"gradevol levels {table.path.name} works out the elevations and the closure"
    return Inventory(
        name=table.path.name,
        kind="levels",
        title=f"level notes of {count_of(len(table.rows), 'row')}, {title}",
        facts=(
            *_describe_columns(table, _part_columns(table)),
            Fact("next", "Next", text, text),
        ),
        findings=(),
        looked_at="columns only",
    )


def _part_columns(table: Table) -> list[_Column]:
    names = list(table.header or ())
    width = max((len(row) for row in [names, *table.rows[:SAMPLE]]), default=0)
    columns = []
    for at in range(min(width, _MOST_COLUMNS)):
        cells = tuple(row[at].strip() if at < len(row) else "" for row in table.rows)
        open_ = Notation(is_open=True)
        numbers = parse_numbers(cells, decimal=table.decimal, unit="m", notation=open_)
        name = show(names[at]) if at < len(names) and names[at] else f"column {at + 1}"
        columns.append(_Column(name, cells, numbers[~np.isnan(numbers)]))
    return columns


def _describe_columns(table: Table, columns: list[_Column]) -> tuple[Fact, ...]:
    count = len(table.rows)
    rows = Fact("rows", "Rows", f"{count:,}", {"count": count})
    return (rows, *(_describe_column(column, at) for at, column in enumerate(columns, start=1)))


def _describe_column(column: _Column, at: int) -> Fact:
    held = [cell for cell in column.cells if cell]
    value: dict[str, object] = {"name": column.name, "blank": len(column.cells) - len(held)}
    if column.is_numeric:
        low, high = float(column.numbers.min()), float(column.numbers.max())
        distinct = len(np.unique(column.numbers))
        is_whole = bool((column.numbers == np.floor(column.numbers)).all())
        kind = "whole numbers" if is_whole else "numbers"
        repeats = "none twice" if distinct == len(column.numbers) else f"{distinct:,} different"
        text = f"{kind} from {low:.12g} to {high:.12g}, {repeats}"
        value |= {"low": clean(low), "high": clean(high), "different": distinct}
    else:
        words = list(dict.fromkeys(held))
        shown = ", ".join(show(word) for word in words[:4])
        others = f" and {count_of(len(words) - 4, 'other')}" if len(words) > 4 else ""
        text = f"{shown}{others}" or "blank"
        value |= {"different": len(words)}
    if blank := len(column.cells) - len(held):
        text += f"; {blank:,} blank"
    if odd := len(held) - len(column.numbers) if column.is_numeric else 0:
        text += f"; {odd:,} no number"
    return Fact(f"column_{at}", column.name, text, value)


def _say_choices(columns: list[_Column]) -> str:
    """What could be given by --columns, going by which columns hold numbers."""
    kinds = "".join("n" if column.is_numeric else "t" for column in columns)
    if kinds in _CHOICES:
        return f"Say it by --columns: {' or '.join(_CHOICES[kinds])}, whichever it is."
    return (
        "Say it by --columns, one letter a column: P point, N, E, Z, D description, S setup, "
        "R rod reading, - skip."
    )
