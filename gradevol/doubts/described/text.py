"""What a text file holds: points, corners, depths, a field sheet, level notes, tickets, a cloud."""

from collections import Counter
from collections.abc import Sequence

from gradevol.doubts.described.cores import describe_cores
from gradevol.doubts.described.facts import (
    AXES,
    Asked,
    Fact,
    Inventory,
    describe_columns,
    describe_compared,
    describe_extents,
    group_codes,
    say_text,
    settle_table,
    tell_bad_rows,
)
from gradevol.doubts.described.outline import describe_rings
from gradevol.doubts.described.plain_cloud import describe_text_cloud
from gradevol.doubts.described.sheet import describe_sheet
from gradevol.doubts.described.spacing import describe_spacing
from gradevol.doubts.described.table import describe_level_page, describe_table
from gradevol.doubts.finding import Finding
from gradevol.doubts.written.checks import check_points, say_looked_at
from gradevol.doubts.written.points import Points
from gradevol.files.clouds.kind import find_cloud
from gradevol.files.cores import is_core_table
from gradevol.files.sheets.depths import name_depths
from gradevol.files.sheets.grid import find_sheet
from gradevol.files.sheets.level_columns import is_level_page
from gradevol.files.shots.written import WrittenShots, is_fraction, read_as_written
from gradevol.files.tables.columns import Columns, name_columns
from gradevol.files.tables.headings import MEANINGS, read_depth_heading
from gradevol.files.tables.notation import Notation
from gradevol.files.tables.rows import fit_rows
from gradevol.files.tables.table import SAMPLE, Table, read_table
from gradevol.files.tables.unheaded import UNKNOWN
from gradevol.files.tickets.columns import is_ticket_table
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, list_of, show

#: Who says what the columns are, in words.
_SOURCES = {
    "header": "by the header",
    "stated": "as you say",
    "usual": "no header: the usual order was assumed",
}


def describe_text(asked: Asked) -> Inventory:
    """
    Describe a text file.

    Raises
    ------
    InputError
        If it is no text file, or no table of numbers.
    """
    if (cloud := find_cloud(asked.file, unit=asked.unit, columns=asked.columns)) is not None:
        return describe_text_cloud(asked, cloud)
    table = asked.files.parse(asked.file.path, read_table)
    title = say_text(table)
    if (pages := _describe_book(table, asked, title)) is not None:
        return pages
    if asked.columns is None and (grid := find_sheet(table)) is not None:
        return describe_sheet(grid, unit=asked.unit, title=title, notation=asked.notation)
    try:
        columns = name_columns(table, asked.columns, key="--columns", needed="NE")
    except InputError as error:
        if error.code != UNKNOWN:
            raise
        return describe_table(table, error.problem, title=title)
    if not {"N", "E"} <= set(columns.letters):
        raise InputError(
            f"--columns is {asked.columns!r}, which names no northing and easting",
            remedy="Name both, as in PNEZD",
        )
    if not table.rows:
        return describe_table(table, "", title=title)
    return _describe_places(table, columns, asked, title)


def _describe_book(table: Table, asked: Asked, title: str) -> Inventory | None:
    """Describe what is no table of points by its header: level notes, tickets."""
    if is_level_page(table):
        return describe_level_page(table, title=title)
    if asked.columns is not None or not is_ticket_table(table):
        return None
    from gradevol.doubts.described.tickets import describe_tickets  # noqa: PLC0415

    return describe_tickets(table, unit=asked.unit, title=title)


def _describe_places(table: Table, columns: Columns, asked: Asked, title: str) -> Inventory:
    letters, third = _find_third(table, columns.letters)
    wanted = "EN" + third
    fitted = fit_rows(table, letters, notation=Notation(asked.notation, "--notation"))
    sample = [fitted.column(letter)[:SAMPLE] for letter in wanted]
    unit, fact, findings = settle_table(table, sample, asked.unit)
    findings = [*(Finding(note.code, note.text.format()) for note in columns.notes), *findings]
    shots = read_as_written(fitted, wanted, unit)
    places, digits, bad = shots.places, shots.digits, shots.bad
    findings += tell_bad_rows(bad, shots.faults, letters)
    if len(places) == 0:
        first = shots.faults[0]
        raise InputError(
            f"none of its {count_of(len(table.rows), 'row')} is a point by the columns {letters}",
            remedy=f"The first, {first.quoted}: {first.why}. Give the columns by --columns",
            path=table.path,
            line=first.line,
        )
    said = f"{len(table.rows):,}" + (f", of which {len(bad):,} bad" if bad else ", all good")
    facts = [
        fact,
        describe_columns(letters, _SOURCES[columns.source]),
        Fact("rows", "Rows", said, {"count": len(table.rows), "bad": len(bad)}),
    ]
    if not third and asked.columns is None and is_core_table(table):
        return describe_cores(
            asked,
            table,
            places,
            unit=unit,
            digits=digits,
            head=facts[:1],
            findings=findings,
            title=title,
        )
    if not third:
        return describe_rings(
            table.path.name,
            [places],
            unit,
            facts,
            words=title,
            digits=max(digits),
            findings=findings,
        )
    level_unit = unit
    if third == "T":
        own = read_depth_heading((table.header or ())[letters.index("T")]).unit
        level_unit = own if own in METRES else unit
    points = _gather(shots, third, level_unit)
    axes = (*AXES[:2], MEANINGS[third])
    facts += describe_extents(places, digits, unit, level_unit, names=axes)
    if not any(map(is_fraction, points.readings)):
        facts.append(_describe_digits(digits, third))
    facts += [*describe_spacing(points, unit), *_describe_setups(points)]
    facts += describe_compared(points)
    noun = {"Z": "shot", "R": "rod reading", "T": "depth"}[third]
    return Inventory(
        name=table.path.name,
        kind="points",
        title=f"{count_of(len(places), noun)}, {title}",
        facts=tuple(facts),
        findings=(*findings, *check_points(points)),
        looked_at=say_looked_at(points),
        groups=group_codes(points.codes, places[:, 2]),
        digits=digits[2],
    )


def _find_third(table: Table, letters: str) -> tuple[str, str]:
    """Letters of the columns, and which of them is measured: Z, R or T; empty where none is."""
    if third := next((letter for letter in "ZR" if letter in letters), ""):
        return letters, third
    depths = name_depths(table)
    return (depths, "T") if "T" in depths else (letters, "")


def _gather(shots: WrittenShots, third: str, unit: str | None) -> Points:
    fitted = shots.fitted

    def held(column: Sequence[str]) -> Sequence[str]:
        return column if any(column) else ()

    return Points(
        places=shots.places,
        lines=tuple(fitted.lines),
        ids=held(fitted.column("P")),
        codes=held(fitted.descriptions),
        setups=held(fitted.column("S")),
        readings=fitted.column(third),
        level=MEANINGS[third],
        digits=(shots.digits[0], shots.digits[1], shots.digits[2]),
        unit=unit,
    )


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
    return [Fact("setups", "Setups", f"{len(counts)}: {list_of(said)}", dict(counts))]
