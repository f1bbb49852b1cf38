"""Side shots that level notes have under FS, as books without a column IS do."""

import re
from collections.abc import Sequence
from dataclasses import replace

from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, first_of
from gradevol.site.levelling.book import LevelRow

#: Names of points that levels go on from; common practice, no source.
_TURNING = re.compile(r"\s*(?:t\.?\s*p\b|tp|turn)", re.IGNORECASE)
_SHOWN = 4


def part_side_shots(rows: Sequence[LevelRow]) -> tuple[list[LevelRow], list[Note]]:
    """
    Put under IS what stands under FS, but is followed by another sight from the same setup.

    Parameters
    ----------
    rows : sequence of LevelRow
        In the order in which they were read. Where any has an IS, they stay as they are; so does
        a point that is called a turning point, whose BS was forgotten.

    Returns
    -------
    rows : list of LevelRow
    notes : list of Note
        How many there are; its code is ``side-shots-under-fs``.
    """
    if any(row.intermediate is not None for row in rows):
        return list(rows), []
    parted, moved = [], []
    for at, row in enumerate(rows):
        is_last = at + 1 == len(rows) or rows[at + 1].foresight is None
        is_alone = row.foresight is not None and row.backsight is None
        if is_alone and not is_last and not _TURNING.match(row.point):
            moved.append(row.point)
            row = replace(row, intermediate=row.foresight, foresight=None)  # noqa: PLW2901
        parted.append(row)
    if not moved:
        return parted, []
    text = (
        f"{count_of(len(moved), 'sight')} under FS, with no BS in the row and another FS after it "
        f"from the same setup, counted as side shots (IS): {first_of(moved, _SHOWN)}."
    )
    return parted, [Note("side-shots-under-fs", escape(text))]
