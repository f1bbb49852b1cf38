"""Described: what a data file holds, and what looks wrong in it.

The readers say what a file is, and what they found in it (`gradevol.files`); here it is told, and
held against what is known to go wrong. `take_inventory` is the door.
"""

import os
from pathlib import Path

from gradevol.doubts.described.facts import Asked, Fact, Group, Inventory
from gradevol.doubts.finding import Finding
from gradevol.files.opened import Files
from gradevol.ground.lengths import NOTATIONS
from gradevol.ground.progress import Progress, quiet
from gradevol.ground.units import METRES

__all__ = ["Fact", "Finding", "Group", "Inventory", "take_inventory"]


def take_inventory(
    path: str | os.PathLike[str],
    *,
    unit: str | None = None,
    columns: str | None = None,
    notation: str | None = None,
    files: Files | None = None,
    progress: Progress = quiet,
) -> Inventory:
    """
    Describe a data file.

    Parameters
    ----------
    path : str or path-like
        The file.
    unit : {"m", "mm", "in", "ft", "us-ft"}, optional
        Unit of its numbers where it carries none; without it what depends on a unit is left out.
    columns : str, optional
        One letter a column, for text without a header.
    notation : {"feet-inches", "feet-inches-eighths", "inches"}, optional
        How lengths without marks are written, such as 4-7.
    files : Files, optional
        What a run has opened and parsed already.
    progress : callable, optional
        Called with what is being done, in words, and the share of it that is done, 0 to 1.

    Returns
    -------
    Inventory
        In the file's own unit: its `title`, `facts`, `groups` and `findings` (what looks wrong).

    Raises
    ------
    InputError
        If the file can't be read, is damaged, or is of no kind that is known; if `columns` are
        not the letters that name columns.
    ValueError
        If the unit or the notation is none that is known.
    """
    if unit is not None and unit not in METRES:
        raise ValueError(f"the unit {unit!r} is none of {', '.join(METRES)}")
    if notation is not None and notation not in NOTATIONS:
        raise ValueError(f"the notation {notation!r} is none of {', '.join(NOTATIONS)}")
    files = files or Files()
    asked = Asked(files.open(Path(path)), files, unit, columns, progress, notation)
    match asked.file.kind:
        case "LAS":
            from gradevol.doubts.described.cloud import describe_las  # noqa: PLC0415

            return describe_las(asked)
        case "text" | "workbook" | "ASCII grid" | "job":
            from gradevol.doubts.described.text import describe_text  # noqa: PLC0415

            return describe_text(asked)
    from gradevol.doubts.described.drawing import describe_drawing  # noqa: PLC0415

    return describe_drawing(asked)
