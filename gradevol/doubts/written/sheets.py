"""What looks wrong in a field sheet: its labels, and the cells where nothing was written."""

from collections.abc import Sequence

from gradevol.doubts.finding import Finding
from gradevol.doubts.written.labels import check_labels
from gradevol.files.opened import Files
from gradevol.files.sheet_sources import Depths, Rods
from gradevol.files.sheets.depths import find_letters
from gradevol.files.sheets.grid import Grid, part_sheet
from gradevol.files.tables.table import read_sheet_of
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, first_of, noun_of, verb_of

#: Of the cells of a sheet no more than this share are blank by a slip: a slab that is no rectangle
#: leaves more. Common practice, no source.
_FEW_BLANK = 0.1


def look_at_sheets(
    sheets: Sequence[Rods | Depths], files: Files
) -> tuple[list[Finding], list[Note]]:
    """Look at the labels of sheets, and at their few blank cells: code ``cells-blank``."""
    found: list[Finding] = []
    notes: list[Note] = []
    for sheet in sheets:
        table = files.parse(sheet.path, read_sheet_of(sheet.sheet))
        if isinstance(sheet, Depths) and find_letters(table, sheet) is not None:
            continue  # points in rows
        grid = part_sheet(table, has_setups=isinstance(sheet, Rods))
        found += check_labels(grid)
        notes += _look_for_blanks(grid) or _look_for_cut_rows(grid)
    return found, notes


def _look_for_blanks(grid: Grid) -> list[Note]:
    """Tell of a few blank cells: a reading that was not taken, or was lost."""
    blank = [
        f"row {row[0].strip()}, column {label}"
        for row in grid.rows
        for label, at in zip(grid.columns, grid.at, strict=True)
        if not (at < len(row) and row[at].strip())
    ]
    if not 0 < len(blank) <= _FEW_BLANK * len(grid.rows) * len(grid.at):
        return []
    text = (
        f"{count_of(len(blank), 'cell', 'are')} blank in {grid.table.path.name} "
        f"({first_of(blank, 3, mark='; ')}): nothing was read there. If it was shot, write it in."
    )
    return [Note("cells-blank", escape(text))]


def _look_for_cut_rows(grid: Grid) -> list[Note]:
    """Tell of rows that end before those on either side of them: no slab is shaped so."""
    rows = grid.rows
    cut = [
        row[0].strip()
        for before, row, after in zip(rows, rows[1:], rows[2:], strict=False)
        if len(row) < min(len(before), len(after))
    ]
    if not cut:
        return []
    text = (
        f"In {grid.table.path.name} {noun_of(len(cut), 'row')} {first_of(cut, 3)} "
        f"{verb_of(len(cut), 'end')} before those on either side: nothing was read beyond. If it "
        "was shot, write it in."
    )
    return [Note("cells-blank", escape(text))]
