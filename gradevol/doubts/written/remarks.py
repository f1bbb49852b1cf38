"""What looks wrong in the file of a base, said in its check as `gradevol describe` says it."""

import re

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.doubts.written.checks import check_codes
from gradevol.doubts.written.levels import check_decimals, check_levels, check_steps
from gradevol.doubts.written.points import Points
from gradevol.files.opened import Files
from gradevol.files.sheet_sources import Depths, Rods, Sheets
from gradevol.files.sources import BaseSource, SurfaceFile
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Note, escape
from gradevol.ground.units import METRES
from gradevol.site.survey import Survey

#: Findings that a check says; what else is found in a file it refuses, or says in its own way.
SAID = (
    *("all-equal", "coarse-elevations", "codes-alike", "faces-both-ways", "decimal-more"),
    *("label-uneven", "labels-not-in-order", "points-of-no-face"),
)


def remark_on_file(source: BaseSource, survey: Survey, files: Files) -> tuple[Note, ...]:
    """
    Remark on what looks wrong in a file as such, whatever comes of it.

    Parameters
    ----------
    source : Shots or Rods or Depths or Sheets or Cloud or SurfaceFile
    survey : Survey
        What was read of it.
    files : Files
        What the run has opened.

    Returns
    -------
    tuple of Note
        Codes ``file-looks-wrong``, ``cells-blank``.
    """
    found = _look_at_surface(source, files) if isinstance(source, SurfaceFile) else []
    if survey.readings:
        points = _write_points(survey, survey.reading_unit)
        found = [*check_levels(points), *check_steps(points), *check_decimals(points)]
        found += check_codes(points)
    notes: list[Note] = []
    if sheets := _list_sheets(source):
        # no other file needs what looks at a sheet
        from gradevol.doubts.written.sheets import look_at_sheets  # noqa: PLC0415

        labels, notes = look_at_sheets(sheets, files)
        found += labels
    return (
        *notes,
        *(
            Note("file-looks-wrong", escape(finding.text), points=finding.points[:20])
            for finding in found
            if finding.code in SAID
        ),
    )


def _list_sheets(source: BaseSource) -> tuple[Rods | Depths, ...]:
    if isinstance(source, Sheets):
        return source.parts
    return (source,) if isinstance(source, Rods | Depths) else ()


def _look_at_surface(source: SurfaceFile, files: Files) -> list[Finding]:
    from gradevol.doubts.described import take_inventory  # noqa: PLC0415  (it imports this room)

    if files.open(source.path).kind == "GeoTIFF":  # a grid folds nowhere
        return []
    return list(take_inventory(source.path, unit=source.unit, files=files).findings)


def _write_points(survey: Survey, unit: str) -> Points:
    """Shots as they were written, in the unit of their file."""
    places: FloatArray = (survey.points + survey.origin) / METRES[unit]
    written = "\n".join(survey.readings)
    digits = next((most for most in (4, 3, 2, 1) if re.search(rf"\.[^\n]{{{most}}}", written)), 0)
    if survey.depths is not None:
        places = np.column_stack([places[:, :2], survey.depths / METRES[unit]])
    level = "rod reading" if survey.is_read_down else "elevation"
    return Points(
        places=places,
        lines=tuple(range(1, len(places) + 1)),
        ids=survey.ids,
        codes=survey.codes,
        setups=survey.setups,
        readings=survey.readings,
        level="depth" if survey.depths is not None else level,
        digits=(2, 2, digits),
        unit=unit,
    )
