"""A field sheet: readings by row and column, and what looks wrong in them."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from gradevol.doubts.described.columns import find_unit
from gradevol.doubts.described.facts import (
    Fact,
    Finding,
    Group,
    Inventory,
    clean,
    describe_unit,
    say_count,
    say_list,
    show,
)
from gradevol.doubts.described.levels import check_digits, check_levels, describe_compared
from gradevol.doubts.described.sheet_checks import (
    check_neighbours,
    describe_apart,
    find_apart,
    take_some,
)
from gradevol.doubts.described.shots import Points
from gradevol.doubts.suspects import NEIGHBOURS
from gradevol.files.cells import parse_number
from gradevol.files.headings import read_depth_heading, read_letters
from gradevol.files.lattice import count_steps, find_setup, name_shot, part_labels, read_cell
from gradevol.files.table import Table
from gradevol.files.text import is_number_like
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES

#: Share of the cells that hold numbers, of those that hold anything, in a sheet.
_MOSTLY = 0.8
#: Bad cells, and readings that stick out, that are told one by one.
_QUOTED = 5
#: Distance of lines whose labels are none, in the file's unit; only their order matters.
_APART = 10.0


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Labels, and rows of cells with the line of each; where the setups stand, if anywhere."""

    table: Table
    columns: tuple[str, ...]
    at: tuple[int, ...]
    rows: tuple[Sequence[str], ...]
    lines: tuple[int, ...]
    setup_at: int | None

    @property
    def row_labels(self) -> tuple[str, ...]:
        return tuple(row[0].strip() for row in self.rows)

    def cell(self, row: Sequence[str], at: int | None) -> str:
        """A cell, blank where the row ends before it."""
        return row[at].strip() if at is not None and at < len(row) else ""


def find_sheet(table: Table) -> _Sheet | None:
    """Labels and cells of a table that is a field sheet; None of one that is a list of points."""
    first = list(table.header or (table.rows[0] if table.rows else ()))
    if len(first) < 3 or is_number_like(first[0]) or _names_places(first):
        return None
    try:
        labels, rows, lines = part_labels(table)
    except InputError:
        return None
    setup_at = find_setup(labels)
    at = tuple(place for place in range(1, len(labels)) if place != setup_at)
    sheet = _Sheet(table, tuple(labels[p] for p in at), at, tuple(rows), tuple(lines), setup_at)
    if len(at) < 2 or len(rows) < 2 or not _are_labels(sheet.columns):
        return None
    if first[0].strip() and not _are_labels(sheet.row_labels):
        return None
    held = [cell for row in rows for place in at if (cell := sheet.cell(row, place))]
    if not held and first[0].strip():
        return None
    return sheet if sum(map(is_number_like, held)) >= _MOSTLY * len(held) else None


def _names_places(first: Sequence[str]) -> bool:
    """Whether a first row names northing and easting, as that of a list of points does."""
    try:
        return {"N", "E"} <= set(read_letters([read_depth_heading(cell) for cell in first]))
    except ValueError:
        return False


def _are_labels(labels: Sequence[str]) -> bool:
    """Whether labels are distances that all go one way, or count lines one by one."""
    if all(map(is_number_like, labels)):
        try:
            steps = np.diff([parse_number(label, decimal=".", unit="ft") for label in labels])
        except ValueError:
            return "," in "".join(labels)  # decimal commas: the cells decide
        return bool((steps > 0).all() or (steps < 0).all())
    return count_steps(labels) is not None and all(len(label) <= 3 for label in labels)


def describe_sheet(sheet: _Sheet, *, unit: str | None, title: str) -> Inventory:
    """
    Describe a field sheet.

    Raises
    ------
    InputError
        If no cell of it is a reading.
    """
    table = sheet.table
    cells = [[sheet.cell(row, at) for row in sheet.rows] for at in sheet.at]
    unit, source, findings = find_unit(table, cells, unit)
    points, bad = _read(sheet, unit)
    if bad:
        findings = [*findings, _tell_bad(bad)]
    if len(points.places) == 0:
        raise InputError(
            f"it is a field sheet without a reading: {bad[0] if bad else 'all cells are blank'}",
            remedy="Check that this is the right file",
            path=table.path,
        )
    parts = _part_setups(points)
    is_placed = all(map(is_number_like, (*sheet.columns, *sheet.row_labels)))
    labels = {
        "row": dict(zip(_places(sheet, sheet.row_labels), sheet.row_labels, strict=True)),
        "column": dict(zip(_places(sheet, sheet.columns), sheet.columns, strict=True)),
    }
    apart = {name: find_apart(part, labels) for name, part in parts.items()}
    for part in parts.values():
        found = check_levels(part)
        findings += [each for each in found if each.code != "steep-elevations" or is_placed]
    findings += [*check_digits(points), *_check_labels(sheet), *check_neighbours(parts, apart)]
    total = len(sheet.rows) * len(sheet.at)
    blank = total - len(points.places) - len(bad)
    text = f"{len(points.places):,} in {total:,} cells" + (f", {blank:,} blank" if blank else "")
    value = {"count": len(points.places), "blank": blank, "bad": len(bad)}
    level = points.places[:, 2]
    span = f"{points.say(level.min())} to {points.say(level.max())}"
    facts = [
        describe_unit(unit, source),
        *_describe_lines(sheet),
        Fact("readings", "Readings", text, value),
        Fact("range", "Range", span, {"low": clean(level.min()), "high": clean(level.max())}),
        *describe_compared(replace(points, level="elevation")),
        *describe_apart(apart.values(), points),
        _say_use(sheet, parts, is_placed=is_placed),
    ]
    is_compared = unit and max(len(part.places) for part in parts.values()) >= NEIGHBOURS + 2
    return Inventory(
        name=table.path.name,
        kind="sheet",
        title=f"a field sheet of {say_count(len(points.places), 'reading')}, {title}",
        facts=tuple(facts),
        findings=tuple(findings),
        looked_at="labels, readings, their digits" + (", neighbours" if is_compared else ""),
        groups=_group(parts) if sheet.setup_at is not None else (),
        grouped_by="setups",
        digits=points.digits[2],
    )


def _read(sheet: _Sheet, unit: str | None) -> tuple[Points, list[str]]:
    """Readings at the places of their labels, as bare numbers; and what is wrong in cells."""
    across, along = _places(sheet, sheet.columns), _places(sheet, sheet.row_labels)
    own = unit or "m"
    places, lines, ids, setups, readings, bad = [], [], [], [], [], []
    for row, line, up in zip(sheet.rows, sheet.lines, along, strict=True):
        for column, at, east in zip(sheet.columns, sheet.at, across, strict=True):
            if not (cell := sheet.cell(row, at)):
                continue
            name = name_shot(row[0].strip(), column)
            try:
                value = read_cell(sheet.table, cell, unit=own, letter="R", name=name, line=line)
            except InputError as error:
                said = str(error).removeprefix(f"{sheet.table.path}, ").removeprefix(f"line {line}")
                bad.append(f"line {line}{_say_error(said)}")
                continue
            places.append((east, up, round(value / METRES[own], 9)))
            lines.append(line)
            ids.append(name)
            readings.append(cell)
            setups.append(sheet.cell(row, sheet.setup_at))
    decimals = [len(cell.partition(sheet.table.decimal)[2]) for cell in readings]
    digits = min(int(np.quantile(decimals, 0.9, method="higher")), 4) if decimals else 2
    if any(not cell.isascii() or set(cell) & set("'\"/") for cell in readings):
        digits = 3  # fractions of an inch
    points = Points(
        places=np.array(places, float).reshape(-1, 3),
        lines=tuple(lines),
        ids=tuple(ids),
        codes=(),
        setups=tuple(setups),
        readings=tuple(readings),
        level="reading",
        digits=(2, 2, digits),
        unit=unit,
    )
    return points, bad


def _say_error(text: str) -> str:
    """The first sentence of an error, without what steers a terminal."""
    clean_text = "".join(letter if letter.isprintable() else "·" for letter in text)
    return clean_text.partition(". ")[0]


def _places(sheet: _Sheet, labels: Sequence[str]) -> list[float]:
    """Where lines lie: their labels as distances; else `_APART`, enough to compare neighbours."""
    try:
        found = [parse_number(label, decimal=sheet.table.decimal, unit="m") for label in labels]
    except ValueError:
        found = [at * _APART for at in range(len(labels))]
    return found


def _tell_bad(bad: Sequence[str]) -> Finding:
    more = f"; and {len(bad) - _QUOTED:,} more" if len(bad) > _QUOTED else ""
    are = "is no reading" if len(bad) == 1 else "are no readings"
    text = (
        f"{say_count(len(bad), 'cell')} {are}, and left out of all that is said here: "
        f"{'; '.join(bad[:_QUOTED])}{more}. Write one number, or leave the cell blank: a job stops "
        "at the first."
    )
    return Finding("bad-cells", text)


def _part_setups(points: Points) -> dict[str, Points]:
    """Readings by setup, which alone can be compared with one another."""
    rows: defaultdict[str, list[int]] = defaultdict(list)
    for row, name in enumerate(points.setups):
        rows[name].append(row)
    return {name: take_some(points, at) for name, at in rows.items()}


def _check_labels(sheet: _Sheet) -> list[Finding]:
    """Labels that stand twice, or do not go one way."""
    findings = []
    for what, labels in (("column", sheet.columns), ("row", sheet.row_labels)):
        twice = sorted({show(label) for label in labels if labels.count(label) > 1})
        if twice:
            text = f"More than one {what} is labelled {say_list(twice)}. Label each {what} once."
            findings.append(Finding("labels-twice", text))
        elif not _are_labels(labels):
            places = _places(sheet, labels)
            if not (np.diff(places) > 0).all() and not (np.diff(places) < 0).all():
                text = (
                    f"The {what} labels do not go one way: {say_list(list(map(show, labels)))}. "
                    "Look for a wrong digit: each reading lies where its labels say."
                )
                findings.append(Finding("labels-not-in-order", text))
    return findings


def _describe_lines(sheet: _Sheet) -> list[Fact]:
    facts = []
    for key, what, labels in (
        ("rows", "row", sheet.row_labels),
        ("columns", "column", sheet.columns),
    ):
        text = f"{len(labels):,}, labelled {show(labels[0])} to {show(labels[-1])}"
        value = {"count": len(labels), "first": labels[0], "last": labels[-1]}
        facts.append(Fact(key, f"{what.capitalize()}s", text, value))
    return facts


def _say_use(sheet: _Sheet, parts: dict[str, Points], *, is_placed: bool) -> Fact:
    """How a job takes it."""
    name = sheet.table.path.name
    if sheet.setup_at is not None:
        taken = f"[base.setups] for {say_list([show(setup) or '(none)' for setup in parts])}"
    else:
        taken = "base.instrument_height, or base.benchmark and base.backsight"
    where = "labels are distances from base.origin" if is_placed else "give base.spacing"
    text = (
        f'base.rods = "{show(name)}" where these are rod readings, with {taken}; '
        f'base.depths = "{show(name)}" where they are depths below the string. Place: {where}, '
        "and base.bearing"
    )
    return Fact("next", "In a job", text, text)


def _group(parts: dict[str, Points]) -> tuple[Group, ...]:
    return tuple(
        Group(
            name,
            len(part.places),
            float(part.places[:, 2].min()),
            float(part.places[:, 2].max()),
        )
        for name, part in parts.items()
    )
