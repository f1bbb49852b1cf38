"""Depths measured down from strings or a straightedge on the forms: thickness itself."""

import numpy as np

from gradevol.files.names import note_duplicates
from gradevol.files.opened import Files
from gradevol.files.sheet_sources import Depths, String
from gradevol.files.sheets.lattice import Sheet, read_sheet
from gradevol.files.tables.cells import read_coordinates
from gradevol.files.tables.columns import check_letters, check_units
from gradevol.files.tables.headings import MEANINGS, read_depth_heading, read_letters
from gradevol.files.tables.notation import Notation
from gradevol.files.tables.rows import fit_rows
from gradevol.files.tables.table import Table, read_sheet_of
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of
from gradevol.site.survey import Survey

#: Mean sag of a parabola over its sag at mid-span.
MEAN_SHARE = 2 / 3


def read_depths(source: Depths, files: Files) -> Survey:
    """
    Read depths at points, or on the lattice of a field sheet.

    Parameters
    ----------
    source : Depths
        The file; a header that names easting, northing and depth, or stated columns, make it
        points, else it is a field sheet.
    files : Files
        What the run has opened.

    Returns
    -------
    Survey
        With `depths`, m, and elevations of 0 until it is hung from the top. `datum_sigma` is the
        mean sag that was not corrected; the caller adds the method's own.

    Raises
    ------
    InputError
        If the columns, a label, a place or a depth cannot be used.
    """
    table = files.parse(source.path, read_sheet_of(source.sheet))
    letters = find_letters(table, source)
    if letters is None:
        sheet = read_sheet(
            table,
            source.lattice,
            unit=source.unit,
            letter="T",
            ignores_unit=source.ignores_unit,
            notation=source.notation,
        )
    else:
        sheet = _read_points(table, letters, source)
    sag, notes = _tell_sag(source.string)
    is_corrected = source.string is not None and source.string.is_corrected
    depths = sheet.values + (MEAN_SHARE * sag if is_corrected else 0.0)
    return Survey.about_local_origin(
        np.column_stack([sheet.places, np.zeros(len(depths))]),
        ids=sheet.ids,
        readings=sheet.readings,
        reading_unit=source.unit,
        is_read_down=True,
        depths=depths,
        datum_sigma=0.0 if is_corrected else MEAN_SHARE * sag,
        method="string-line depths",
        notes=(*note_duplicates(sheet.ids), *notes),
    )


def estimate_sag(string: String) -> float:
    """
    Sag of a string at mid-span, m.

    Notes
    -----
    :math:`w L^2 / 8T`: about mid-span the weight of half the string, :math:`w L^2 / 8`, is
    balanced by the pull times the sag. Derived here; for sags that are small beside the span the
    string is a parabola, whose mean is two thirds of that.
    """
    return string.weight * string.span**2 / (8 * string.tension)


def _tell_sag(string: String | None) -> tuple[float, list[Note]]:
    """Sag at mid-span, m, and what must be said of it."""
    if string is None:
        text = (
            "Depths were taken as measured. From a string they are short by its sag: say how far "
            "it spans in base.string, to have the sag estimated (span = 0 for a straightedge)."
        )
        return 0.0, [Note("string-sag", text)]
    sag = estimate_sag(string)
    if sag == 0:
        return 0.0, []
    pull = escape(string.pull)
    text = f"A string of {pull} over {{}} hangs {{}} at mid-span, {{}} on average. "
    measures = [Measure(string.span, Kind.TAPE), Measure(sag, Kind.FINE)]
    measures.append(Measure(MEAN_SHARE * sag, Kind.FINE))
    if string.is_corrected:
        text += (
            "Each depth was made longer by the average; at mid-span it is still {} short, beside "
            "the forms {} long."
        )
        measures += [
            Measure((1 - MEAN_SHARE) * sag, Kind.FINE),
            Measure(MEAN_SHARE * sag, Kind.FINE),
        ]
    else:
        text += "Depths were not corrected for it, so the thickness reads short by as much."
    return sag, [Note("string-sag", text, tuple(measures))]


def name_depths(table: Table) -> str:
    """Letters of a header row that names easting and northing, and mostly depths; else empty."""
    try:
        named = read_letters([read_depth_heading(cell) for cell in table.header or ()])
    except ValueError:
        return ""  # a row of labels A, B, ... Y names the northing twice
    return named if {"E", "N"} <= set(named) and named.count("-") <= len(named) / 2 else ""


def find_letters(table: Table, source: Depths) -> str | None:
    """Letters of the columns of points; None for a field sheet."""
    stated = check_letters(source.columns, of_depths=True) if source.columns else None
    letters = stated
    named = name_depths(table)
    if named and ("T" in named or stated is None):
        letters = named
        if not source.ignores_unit:  # depths may have one of their own
            own = _depth_unit(table, named, source) if "T" in named else ""
            check_units(table, table.header or (), source.unit, own=own)
    if letters is None:
        _refuse_unplaced(table)
        return None
    if missing := [MEANINGS[letter] for letter in "ENT" if letter not in letters]:
        raise InputError(
            f"its columns {letters} hold no {' and no '.join(missing)}",
            remedy="Name them in a header row such as point,easting,northing,depth; or say what "
            "the columns are in base.columns, for example PENT",
            path=table.path,
        )
    return letters


def _refuse_unplaced(table: Table) -> None:
    """Refuse a header of words that names depths, but not where they were measured."""
    labels = [cell for cell in (table.header or ())[1:] if len(cell.strip()) > 1]
    named = [cell for cell in labels if read_depth_heading(cell).letter == "T"]
    if named:
        raise InputError(
            f"its header {table.quote(table.header or ())} names the depth ({named[0]!r}), but no "
            "easting and no northing",
            remedy="Name them: easting,northing,depth; distances from two sides that meet square "
            "will do, in the coordinates of the slab's edge",
            path=table.path,
        )


def _read_points(table: Table, letters: str, source: Depths) -> Sheet:
    fitted = fit_rows(table, letters, needed="NET", notation=Notation(source.notation))
    places = read_coordinates(fitted, "EN", unit=source.unit)
    unit = _depth_unit(table, letters, source)
    depths: FloatArray = read_coordinates(fitted, "T", unit=unit)[:, 0]
    lines, names = fitted.lines, fitted.column("P")
    ids = [name or f"line {line}" for name, line in zip(names, lines, strict=True)]
    if len(depths) < 3:
        raise InputError(
            f"{count_of(len(depths), 'depth')} cannot make a surface: it takes at least three",
            remedy="Check that this is the right file",
            path=table.path,
        )
    return Sheet(table.path, places, depths, tuple(ids), fitted.column("T"), (), tuple(lines))


def _depth_unit(table: Table, letters: str, source: Depths) -> str:
    """Unit of the depths: their heading's, else the file's."""
    if table.header is None or source.ignores_unit:
        return source.unit
    unit = read_depth_heading(table.header[letters.index("T")]).unit or source.unit
    if unit not in METRES:
        raise InputError(
            f"its header gives depths in {unit}",
            remedy=f"Give them in one of {', '.join(METRES)}",
            path=table.path,
        )
    return source.unit if (unit, source.unit) == ("ft", "us-ft") else unit
