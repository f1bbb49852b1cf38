"""A table of which it can't be known what its columns are: what each of them holds."""

import re
from dataclasses import dataclass

import numpy as np

from gradevol.doubts.described.facts import Fact, Finding, Inventory, clean, say_count, show
from gradevol.files.cells import parse_numbers
from gradevol.files.table import Table
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError

#: A column of which so many cells are numbers holds numbers.
_MOSTLY = 0.8
#: Columns that are told.
_MOST_COLUMNS = 12
_WORDS = re.compile(r"[^\W_]+")


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
        The table.
    why : str
        Why its columns can't be known.
    title : str
        What kind of text it is.

    Raises
    ------
    InputError
        If it has fewer than two columns of numbers.
    """
    columns = _read_columns(table)
    if table.rows and sum(column.is_numeric for column in columns) < 2:
        raise InputError(
            f"it is text, but holds no columns of numbers: {table.quote(table.rows[0])}",
            remedy="Check that this is the right file",
            path=table.path,
            line=table.lines[0],
        )
    facts = [Fact("rows", "Rows", f"{len(table.rows):,}", {"count": len(table.rows)})]
    facts += [_describe_column(column, at) for at, column in enumerate(columns, start=1)]
    if table.rows:
        text = (
            f"What the columns are can't be known: {why}. {_say_choices(columns)} Ask whoever made "
            "the file: northing and easting mixed up turn the site over, and no check can see it."
        )
        finding = Finding("columns-not-known", text)
    else:
        finding = Finding("no-rows", "It has a header row and nothing below it.")
    return Inventory(
        name=table.path.name,
        kind="table",
        title=f"{say_count(len(table.rows), 'row')}, {title}",
        facts=tuple(facts),
        findings=(finding,),
        looked_at="rows",
    )


def is_level_page(table: Table) -> bool:
    """Whether a table's header names backsights and foresights, as level notes do."""
    words = [_WORDS.findall(name.lower()) for name in table.header or ()]
    starts = {"".join(part)[:2] for part in words if part}  # bs, b.s., BS_ft; back sight
    return {"bs", "fs"} <= starts or {"ba", "fo"} <= starts


def describe_level_page(table: Table, *, title: str) -> Inventory:
    """Describe level notes: their columns only; `gradevol levels` reads them."""
    columns = _read_columns(table)
    count = len(table.rows)
    facts = [Fact("rows", "Rows", f"{count:,}", {"count": count})]
    facts += [_describe_column(column, at) for at, column in enumerate(columns, start=1)]
    text = f"gradevol levels {table.path.name} works out the elevations and the closure"
    facts.append(Fact("next", "Next", text, text))
    return Inventory(
        name=table.path.name,
        kind="levels",
        title=f"level notes of {say_count(count, 'row')}, {title}",
        facts=tuple(facts),
        findings=(),
        looked_at="columns only",
    )


def _read_columns(table: Table) -> list[_Column]:
    width = max((len(row) for row in [table.header or (), *table.rows[:1000]]), default=0)
    names = list(table.header or ())
    columns = []
    for at in range(min(width, _MOST_COLUMNS)):
        cells = tuple(row[at].strip() if at < len(row) else "" for row in table.rows)
        numbers = parse_numbers(cells, decimal=table.decimal, unit="m")
        name = show(names[at]) if at < len(names) and names[at] else f"column {at + 1}"
        columns.append(_Column(name, cells, numbers[~np.isnan(numbers)]))
    return columns


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
        text = f"{shown}{f' and {len(words) - 4:,} others' if len(words) > 4 else ''}" or "blank"
        value |= {"different": len(words)}
    if blank := len(column.cells) - len(held):
        text += f"; {blank:,} blank"
    if odd := len(held) - len(column.numbers) if column.is_numeric else 0:
        text += f"; {odd:,} no number"
    return Fact(f"column_{at}", column.name, text, value)


def _say_choices(columns: list[_Column]) -> str:
    """What could be given by --columns, going by which columns hold numbers."""
    kinds = "".join("n" if column.is_numeric else "t" for column in columns)
    choices = {
        "nnn": ("NEZ", "ENZ"),
        "nnnt": ("NEZD", "ENZD"),
        "nnnn": ("PNEZ", "PENZ"),
        "tnnn": ("PNEZ", "PENZ"),
        "nnnnt": ("PNEZD", "PENZD"),
        "tnnnt": ("PNEZD", "PENZD"),
        "nn": ("NE", "EN"),
    }.get(kinds)
    if choices is None:
        return (
            "Say it by --columns, one letter a column: P point, N, E, Z, D description, S setup, "
            "R rod reading, - skip."
        )
    return f"Say it by --columns: {choices[0]} or {choices[1]}, whichever it is."
