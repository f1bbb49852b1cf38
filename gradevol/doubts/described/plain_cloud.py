"""Point clouds that carry no classes: text (XYZ, PTS, ASC, CSV) and PLY without faces."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from gradevol.doubts.described.cloud_facts import (
    check_spread,
    describe_density,
    describe_most,
)
from gradevol.doubts.described.columns import find_unit
from gradevol.doubts.described.facts import (
    Fact,
    Finding,
    Inventory,
    Progress,
    describe_box,
    describe_unit,
    say_count,
    show,
)
from gradevol.doubts.described.surface import check_steps
from gradevol.doubts.described.tally import Tally
from gradevol.files.columns import check_letters
from gradevol.files.headings import MEANINGS, read_heading, read_letters
from gradevol.files.polygons import Polygons
from gradevol.files.sources import Cloud
from gradevol.files.table import Table
from gradevol.files.text_cloud import (
    PLAIN,
    Fault,
    TextCloud,
    open_text_cloud,
    read_sample,
)
from gradevol.ground.errors import InputError

#: Endings by which text is a cloud, whatever its size; others are where they are as large as this,
#: bytes: a crew with a rod or a rover books some thousand shots at most. Ours, no source.
_ENDINGS = frozenset({".xyz", ".pts", ".asc", ".xyzrgb", ".xyzi"})
_LARGE = 4_000_000
#: Points of a PLY that are counted at once.
_CHUNK = 1_000_000
#: Bad rows that are quoted, and decimals that are told at most.
_QUOTED, _MOST_DIGITS = 3, 6
#: Decimals of degrees that are worth a metre on the ground.
_FINE = 5
_REMEDY = "A job takes them away where they rise abruptly; else cut them out."


def find_cloud(path: Path, columns: str | None) -> Table | None:
    """
    First rows of a text file that is a cloud; None where it is a list of shots, or no cloud.

    Parameters
    ----------
    path : Path
        The file.
    columns : str or None
        One letter a column, as the user says.
    """
    if path.suffix.lower() not in _ENDINGS and path.stat().st_size < _LARGE:
        return None
    try:
        table, _ = read_sample(path)
        letters = check_letters(columns) if columns else _read_names(table)
        open_text_cloud(
            path, Cloud((path,), _find_unit(table, "", None)[0] or "m", columns=columns)
        )
    except InputError:
        return None  # whoever describes tables tells why
    return None if set(letters) & set("PDSR") else table


def _open(path: Path, table: Table, unit: str | None, columns: str | None) -> TextCloud:
    own = _find_unit(table, "", None)[0] or unit or "m"
    return open_text_cloud(path, Cloud((path,), own, columns=columns))


def _read_names(table: Table) -> str:
    """Letters of the header, where it has one that is understood; else as XYZ."""
    if table.header is None:
        return PLAIN
    try:
        return read_letters([read_heading(cell) for cell in table.header])
    except ValueError:
        return PLAIN


def _find_unit(
    table: Table, letters: str, stated: str | None
) -> tuple[str | None, str, list[Finding]]:
    cells = [
        [row[at].strip() for row in table.rows if len(row) > at]
        for at, letter in enumerate(letters)
        if letter in "ENZ"
    ]
    return find_unit(table, cells, stated)


def describe_text_cloud(
    path: Path, table: Table, *, unit: str | None, columns: str | None, progress: Progress
) -> Inventory:
    """
    Describe a text file of points without ids, of any size; its first rows are `table`.

    Raises
    ------
    InputError
        If it holds fewer points than it declares, was cut short, or holds none.
    """
    opened = _open(path, table, unit, columns)
    width = max(opened.columns) + 1
    named = {at: letter for at, letter in zip(opened.columns, "ENZ", strict=True)}
    letters = "".join(named.get(at, "-") for at in range(width))
    unit, source, findings = _find_unit(opened.table, letters, unit)
    faults: list[Fault] = []
    tally = Tally()
    for points, done in opened.read_blocks(faults):
        tally.add(points)
        progress(f"reading {path.name}", done)
    if tally.count == 0:
        line, row, why = faults[0] if faults else (table.lines[0], "", "there are none")
        raise InputError(
            f"none of its rows is a point by the columns {letters}: {row!r}: {why}",
            remedy="Give the columns by --columns",
            path=path,
            line=line,
        )
    is_assumed = table.header is None and columns is None
    said = "by the header" if table.header is not None else "as you say"
    said = "no header: assumed, as XYZ files have them" if is_assumed else said
    names = ", ".join(MEANINGS.get(letter, "(skipped)") for letter in letters)
    counted = ", as many as declared" if opened.declared is not None else ""
    if faults:
        findings = [*findings, _tell_faults(faults, letters)]
        counted += f"; and {say_count(len(faults), 'bad row')}"
    value = {"count": tally.count, "declared": opened.declared, "bad": len(faults)}
    digits = _find_digits(opened.table, opened.columns)
    return _compose(
        path,
        tally,
        [
            describe_unit(unit, source),
            Fact("columns", "Columns", f"{letters}, {said}: {names}", letters),
            Fact("points", "Points", f"{tally.count:,}{counted}", value),
        ],
        findings,
        words=_say_marks(table),
        digits=digits,
        unit=unit,
        is_fine=min(digits[:2]) >= _FINE,
    )


def describe_ply_cloud(
    path: Path, mesh: Polygons, *, unit: str | None, progress: Progress
) -> Inventory:
    """Describe the points of a PLY file that holds no faces."""
    tally = Tally()
    for start in range(0, len(mesh.points), _CHUNK):
        tally.add(mesh.points[start : start + _CHUNK])
        progress(f"reading {path.name}", tally.count / len(mesh.points))
    value = {"count": tally.count, "declared": tally.count, "bad": 0}
    facts = [
        describe_unit(unit, "as you say"),
        Fact("points", "Points", f"{tally.count:,}, as many as declared", value),
    ]
    return _compose(
        path,
        tally,
        facts,
        check_steps(mesh, unit),
        words="PLY without faces",
        digits=(3, 3, 3),
        unit=unit,
        is_fine=True,
    )


def _compose(
    path: Path,
    tally: Tally,
    facts: list[Fact],
    findings: list[Finding],
    *,
    words: str,
    digits: tuple[int, int, int],
    unit: str | None,
    is_fine: bool,
) -> Inventory:
    box = np.array([tally.low, tally.high])
    facts = [*facts, *describe_box(box, digits, unit, unit)]
    facts += [*describe_most(tally, digits[2], unit), *describe_density(tally, unit)]
    if np.ptp(box[:, 2]) == 0:
        text = f"All elevations are {box[0, 2]:g}: is this the column that was meant?"
        findings = [*findings, Finding("all-equal", text)]
    findings = [*findings, *check_spread(tally, unit, unit, is_fine=is_fine, remedy=_REMEDY)]
    return Inventory(
        name=path.name,
        kind="cloud",
        title=f"a point cloud of {say_count(tally.count, 'point')}, {words}",
        facts=tuple(facts),
        findings=tuple(findings),
        looked_at="rows, count, extents, degrees, elevations, stray points",
        digits=digits[2],
    )


def _tell_faults(faults: Sequence[Fault], letters: str) -> Finding:
    quoted = [f"line {line}, {show(row)!r}: {why}" for line, row, why in faults[:_QUOTED]]
    more = f"; and {len(faults) - _QUOTED:,} more" if len(faults) > _QUOTED else ""
    are = "is no point" if len(faults) == 1 else "are no points"
    text = (
        f"{say_count(len(faults), 'row')} {are} by the columns {letters}, and left out of all that "
        f"is said here: {'; '.join(quoted)}{more}. A job stops at the first: correct them, or "
        "export the cloud again."
    )
    return Finding("bad-rows", text, lines=tuple(line for line, _, _ in faults))


def _say_marks(table: Table) -> str:
    parted = {"\t": "tabs", ";": "semicolons", ",": "commas"}.get(table.delimiter, "blanks")
    return f"text parted by {parted}" + (", decimal commas" if table.decimal == "," else "")


def _find_digits(table: Table, columns: Sequence[int]) -> tuple[int, int, int]:
    """Decimals that most of the first rows have in each column."""
    found = []
    for at in columns:
        cells = [row[at].strip() for row in table.rows if len(row) > at]
        counts = [
            len(cell.rpartition(table.decimal)[2]) * (table.decimal in cell) for cell in cells
        ]
        most = int(np.quantile(counts, 0.9, method="higher")) if counts else 0
        found.append(min(most, _MOST_DIGITS))
    return found[0], found[1], found[2]
