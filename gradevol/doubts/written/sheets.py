"""What looks wrong in a field sheet: its labels, and the cells where nothing was written."""

from collections.abc import Iterator, Sequence

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.files.opened import Files
from gradevol.files.sheet_sources import Depths, Rods
from gradevol.files.sheets.depths import find_letters
from gradevol.files.sheets.grid import Grid, part_sheet
from gradevol.files.tables.labels import are_labels, find_worked_out
from gradevol.files.tables.table import read_sheet_of
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, first_of, list_of, noun_of, show, verb_of

#: Of so many lines one that leaves the middle of the next by this share of what lies between them,
#: three times as much as any other, may have a wrong label where all steps but the outermost are
#: even to this share. Common practice, no source.
_FEWEST_LINES, _UNEVEN, _EVEN = 6, 0.12, 0.25
#: The same beside the first and the last line: the rest of a spacing is not both.
_UNEVEN_BY_END, _EVEN_BY_END = 0.2, 0.15
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


def check_labels(grid: Grid) -> Iterator[Finding]:
    """Find labels that stand twice, do not go one way, or are of no shots."""
    for what, labels in (("column", grid.columns), ("row", grid.row_labels)):
        twice = sorted({show(label) for label in labels if labels.count(label) > 1})
        if twice:
            text = f"More than one {what} is labelled {list_of(twice)}. Label each {what} once."
            yield Finding("labels-twice", text)
        elif label := find_worked_out(labels):
            text = f"The {what} {show(label)} was worked out, not shot: take it off the sheet."
            yield Finding("line-of-means", text)
        elif not are_labels(labels):
            steps = np.diff(grid.places(labels))
            if not (steps > 0).all() and not (steps < 0).all():
                text = (
                    f"The {what} labels do not go one way: {list_of(list(map(show, labels)))}. "
                    "Look for a wrong digit: each reading lies where its labels say."
                )
                yield Finding("labels-not-in-order", text)
        elif at := _find_uneven(np.array(grid.places(labels))):
            text = (
                f"The {what} labelled {show(labels[at])} is not midway between "
                f"{show(labels[at - 1])} and {show(labels[at + 1])}, and all others nearly are "
                "between theirs. Look for a wrong digit: each reading lies where its labels say."
            )
            yield Finding("label-uneven", text)


def _find_uneven(places: FloatArray) -> int:
    """The one line that leaves an even spacing; 0, as of the ends themselves, where none does."""
    if len(places) < _FEWEST_LINES:
        return 0
    left, last = _leave_middle(places), len(places) - 2
    for at in (2 + int(np.argmax(left[1:-1])), 1, last):
        mended = places.copy()
        mended[at] = (places[at - 1] + places[at + 1]) / 2
        # the outermost line may well be nearer, at a form: it counts only beside the one in doubt
        counted = slice(at != 1, None if at == last else -1)
        steps = np.diff(mended)[counted]
        least, even = (_UNEVEN, _EVEN) if 1 < at < last else (_UNEVEN_BY_END, _EVEN_BY_END)
        is_even = np.abs(steps / np.median(steps) - 1).max() < even
        if is_even and left[at - 1] > max(least, 3 * _leave_middle(mended)[counted].max()):
            return at
    return 0


def _leave_middle(places: FloatArray) -> FloatArray:
    """How far lines are from midway between the next, as a share of those; but the ends."""
    off = places[1:-1] - (places[:-2] + places[2:]) / 2
    return np.abs(off / (places[2:] - places[:-2]))
