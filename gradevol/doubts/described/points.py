"""What a text file of points holds: every row is tried, and those that fail are counted."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from gradevol.doubts.described.checks import check_points, say_looked_at
from gradevol.doubts.described.columns import Columns, find_unit, is_marked, understand_columns
from gradevol.doubts.described.facts import (
    Fact,
    Finding,
    Group,
    Inventory,
    describe_box,
    describe_unit,
    say_count,
    say_list,
    show,
)
from gradevol.doubts.described.levels import describe_compared
from gradevol.doubts.described.outline import describe_rings
from gradevol.doubts.described.sheet import describe_sheet, find_sheet
from gradevol.doubts.described.shots import Points
from gradevol.doubts.described.spacing import describe_spacing
from gradevol.doubts.described.table import describe_level_page, describe_table, is_level_page
from gradevol.files.cells import Fitted, fit_rows, parse_number, parse_numbers
from gradevol.files.headings import MEANINGS, read_depth_heading, read_letters
from gradevol.files.table import Table, read_table
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

#: Bad rows that are quoted.
_QUOTED = 3
#: Decimals with which coordinates are told at most.
_MOST_DIGITS = 6
#: No coordinate in any unit is as large: 2.5 times round the Earth, mm.
_FARTHEST = 1e11


@dataclass(frozen=True, slots=True)
class _Bad:
    """Rows that are no points: the line of each, what is wrong, and the row."""

    lines: tuple[int, ...]
    reasons: tuple[str, ...]
    rows: tuple[str, ...]


def describe_text(path: Path, *, unit: str | None, columns: str | None) -> Inventory:
    """
    Describe a text file of points, or of the corners of an outline.

    Parameters
    ----------
    path : Path
        The file.
    unit : str or None
        Its unit, where it carries none.
    columns : str or None
        One letter a column, where it has no header.

    Raises
    ------
    InputError
        If it is no text file, or no table of numbers.
    """
    table = read_table(path)
    if is_level_page(table):
        return describe_level_page(table, title=_say_text(table))
    if columns is None and (sheet := find_sheet(table)) is not None:
        return describe_sheet(sheet, unit=unit, title=_say_text(table))
    understood = understand_columns(table, columns)
    if understood.letters is None or not table.rows:
        return describe_table(table, understood.why_not, title=_say_text(table))
    letters = understood.letters
    third = next((letter for letter in "ZR" if letter in letters), "")
    depths = _find_depths(table) if not third else None
    if depths is not None:
        letters, third = depths[0], "T"
    fitted = fit_rows(table, letters)
    sample = [fitted.column(letter)[:1000] for letter in "EN" + third]
    unit, source, findings = find_unit(table, sample, unit)
    places, good, bad = _read_places(fitted, "EN" + third, unit)
    findings = [*understood.findings, *findings, *_tell_bad(bad, letters)]
    facts = [
        describe_unit(unit, source),
        _describe_columns(understood, letters),
        _describe_rows(len(table.rows), bad),
    ]
    if len(places) == 0:
        raise InputError(
            f"none of its {say_count(len(table.rows), 'row')} is a point by the columns {letters}",
            remedy=f"The first, {bad.rows[0]}: {bad.reasons[0]}. Give the columns by --columns",
            path=path,
            line=bad.lines[0],
        )
    kept = fitted.keep(good)
    digits = _find_digits(kept, "EN" + third, table.decimal)
    if not third:
        return describe_rings(
            path.name,
            [places],
            unit,
            facts,
            words=_say_text(table),
            digits=max(digits),
            findings=findings,
        )
    points = _gather(kept, places, digits, unit)
    level_unit = unit if depths is None else depths[1] or unit
    names = ["easting", "northing", MEANINGS[third]]
    facts += describe_box(places, digits, unit, level_unit, names=names)
    if not any(is_marked(cell) or "/" in cell for cell in points.readings):
        facts.append(_describe_digits(digits, third))
    facts += describe_spacing(points)
    facts += [*_describe_setups(points), *describe_compared(points)]
    noun = {"Z": "shot", "R": "rod reading", "T": "depth"}[third]
    points = replace(points, unit=level_unit)
    return Inventory(
        name=path.name,
        kind="points",
        title=f"{say_count(len(places), noun)}, {_say_text(table)}",
        facts=tuple(facts),
        findings=(*findings, *check_points(points)),
        looked_at=say_looked_at(points),
        groups=_group_codes(points),
        digits=digits[2],
    )


def _find_depths(table: Table) -> tuple[str, str | None] | None:
    """Letters of a header that names depths, and their own unit; None where it names none."""
    headings = [read_depth_heading(cell) for cell in table.header or ()]
    try:
        letters = read_letters(headings)
    except ValueError:
        return None
    if not {"N", "E", "T"} <= set(letters):
        return None
    unit = headings[letters.index("T")].unit
    return letters, unit if unit in METRES else None


def _say_text(table: Table) -> str:
    parted = {"\t": "tab-separated", ";": "semicolon-separated", ",": "comma-separated"}
    words = [f"{parted.get(table.delimiter, 'aligned')} text"]
    if table.decimal == ",":
        words.append("decimal commas")
    encoding = {"cp1252": "Windows-1252 by guess", "utf-8": "", "utf-8-sig": "UTF-8 with a mark"}
    words.append(encoding.get(table.encoding, table.encoding.upper()))
    return ", ".join(filter(None, words))


def _describe_columns(understood: Columns, letters: str) -> Fact:
    names = [MEANINGS.get(letter, "(skipped)") for letter in letters]
    text = f"{letters}, {understood.source}: {', '.join(names)}"
    return Fact("columns", "Columns", text, letters)


def _describe_rows(count: int, bad: _Bad) -> Fact:
    text = f"{count:,}" + (f", of which {len(bad.lines):,} bad" if bad.lines else ", all good")
    return Fact("rows", "Rows", text, {"count": count, "bad": len(bad.lines)})


def _read_places(
    fitted: Fitted, wanted: str, unit: str | None
) -> tuple[FloatArray, list[int], _Bad]:
    """Coordinates in the file's own numbers, the rows they stand in, and the bad rows."""
    decimal = fitted.table.decimal
    columns = [fitted.column(letter) for letter in wanted]
    marked = {cell for cells in columns for cell in cells if is_marked(cell)}
    own = unit if marked and unit else "m"  # bare numbers come through a metre unchanged
    read = np.column_stack([parse_numbers(cells, decimal=decimal, unit=own) for cells in columns])
    numbers = read / METRES[own]
    numbers[~(np.abs(numbers) < _FARTHEST)] = np.nan
    if own != "m":
        numbers = np.round(numbers, 9)
    if marked and not unit:
        for column, cells in enumerate(columns):
            numbers[[cell in marked for cell in cells], column] = np.nan
    is_bad = np.isnan(numbers).any(axis=1)
    if fitted.faults:
        is_bad |= np.isin(fitted.places, list(fitted.faults))
    worst = [int(row) for row in np.flatnonzero(is_bad)]
    reasons = [
        fitted.faults.get(fitted.places[row])
        or _explain({letter: cells[row] for letter, cells in zip(wanted, columns, strict=True)},
                    decimal, own, knows_unit=unit is not None)
        for row in worst[:_QUOTED]
    ]  # fmt: skip
    table = fitted.table
    places = [fitted.places[row] for row in worst]
    bad = _Bad(
        tuple(table.lines[place] for place in places),
        tuple(reasons),
        tuple(table.quote(table.rows[place]) for place in places[:_QUOTED]),
    )
    return numbers[~is_bad], [int(row) for row in np.flatnonzero(~is_bad)], bad


def _explain(cells: dict[str, str], decimal: str, unit: str, *, knows_unit: bool) -> str:
    """What is wrong in a row's coordinates."""
    for letter, cell in cells.items():
        named = f"the {MEANINGS[letter]}{f' {show(cell)!r}' if cell else ''}"
        if is_marked(cell) and not knows_unit:
            return f"{named} carries a unit, or is no number, while the others carry none"
        try:
            parse_number(cell, decimal=decimal, unit=unit)
        except ValueError as error:
            return f"{named} {error}"
    return "a coordinate is off the Earth"


def _tell_bad(bad: _Bad, letters: str) -> list[Finding]:
    if not bad.lines:
        return []
    quoted = [
        f"line {line}, {row}: {reason}"
        for line, row, reason in zip(bad.lines, bad.rows, bad.reasons, strict=False)
    ]
    more = f"; and {len(bad.lines) - _QUOTED:,} more" if len(bad.lines) > _QUOTED else ""
    are = "is no point" if len(bad.lines) == 1 else "are no points"
    text = (
        f"{say_count(len(bad.lines), 'row')} {are} by the columns {letters}, and left out of all "
        f"that is said here: {'; '.join(quoted)}{more}. Correct or delete them: a job stops at "
        "the first."
    )
    return [Finding("bad-rows", text, lines=bad.lines)]


def _gather(fitted: Fitted, places: FloatArray, digits: Sequence[int], unit: str | None) -> Points:
    lines = tuple(fitted.table.lines[place] for place in fitted.places)
    ids = fitted.column("P")
    codes = fitted.column("D")
    if fitted.table.delimiter == " ":
        codes = tuple(code.strip('"') for code in codes)
    third = next(letter for letter in "ZRT" if letter in fitted.letters)
    return Points(
        places=places,
        lines=lines,
        ids=ids if any(ids) else (),
        codes=codes if any(codes) else (),
        setups=fitted.column("S") if any(fitted.column("S")) else (),
        readings=fitted.column(third),
        level=MEANINGS[third],
        digits=(digits[0], digits[1], digits[2]),
        unit=unit,
    )


def _find_digits(fitted: Fitted, wanted: str, decimal: str) -> list[int]:
    """Decimals written in each column: those that all but a tenth of its cells keep to."""
    found = []
    for letter in wanted:
        cells = fitted.column(letter)
        if any(is_marked(cell) or "/" in cell for cell in cells):  # fractions of an inch
            found.append(3)
            continue
        counts = [len(cell) - 1 - cell.find(decimal) if decimal in cell else 0 for cell in cells]
        found.append(min(int(np.quantile(counts, 0.9, method="higher")), _MOST_DIGITS))
    return found


def _describe_digits(digits: Sequence[int], third: str) -> Fact:
    east, north, up = digits
    plan = str(east) if east == north else f"{east} and {north}"
    text = f"{plan} in plan, {up} in {MEANINGS[third]}"
    return Fact("decimals", "Decimals", text, {"plan": max(east, north), "elevation": up})


def _describe_setups(points: Points) -> list[Fact]:
    if not points.setups:
        return []
    counts = Counter(points.setups)
    said = [f"{show(name) or '(none)'} ({count:,})" for name, count in counts.items()]
    text = f"{len(counts)}: {say_list(said)}"
    return [Fact("setups", "Setups", text, dict(counts))]


def _group_codes(points: Points) -> tuple[Group, ...]:
    """Shots by description, the most frequent first."""
    if not points.codes:
        return ()
    codes = np.array(points.codes)
    names, inverse = np.unique(codes, return_inverse=True)
    level = points.places[:, 2]
    counts = np.bincount(inverse)
    low, high = np.full(len(names), np.inf), np.full(len(names), -np.inf)
    np.minimum.at(low, inverse, level)
    np.maximum.at(high, inverse, level)
    order = sorted(range(len(names)), key=lambda index: (-counts[index], str(names[index])))
    return tuple(
        Group(str(names[at]), int(counts[at]), float(low[at]), float(high[at])) for at in order
    )
