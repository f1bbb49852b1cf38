"""Rod readings on a field sheet, to elevations."""

import numpy as np

from gradevol.files.opened import Files
from gradevol.files.setups import Setups, find_misclosures, heights_of_instrument, note_setups
from gradevol.files.sheet_sources import Rods
from gradevol.files.sheets.lattice import read_sheet
from gradevol.files.tables.table import read_sheet_of
from gradevol.site.survey import Survey


def read_rods(rods: Rods, files: Files) -> Survey:
    """
    Read a field sheet of rod readings.

    Parameters
    ----------
    rods : Rods
        The sheet, where its lattice lies, and what its readings are taken off.
    files : Files
        What the run has opened.

    Returns
    -------
    Survey
        A shot for each cell that is not blank, row by row, about a local origin, m; `sigma` and
        `datum_sigma` are left for the caller to set.

    Raises
    ------
    InputError
        If a label, a reading or a setup cannot be used.
    """
    sheet = read_sheet(
        files.parse(rods.path, read_sheet_of(rods.sheet)),
        rods.lattice,
        unit=rods.unit,
        letter="R",
        ignores_unit=rods.ignores_unit,
        notation=rods.notation,
    )
    if isinstance(rods.instrument, Setups):
        heights, setups = heights_of_instrument(
            [name or rods.setup for name in sheet.setups],
            rods.instrument,
            path=sheet.path,
            lines=sheet.lines,
        )
        notes = tuple(note_setups(rods.instrument))
        misclosures = find_misclosures(rods.instrument)
    else:
        heights, notes = np.full(len(sheet.values), rods.instrument), ()
        setups = (rods.setup,) * len(sheet.values) if rods.setup else ()
        misclosures = {}
    return Survey.about_local_origin(
        np.column_stack([sheet.places, heights - sheet.values]),
        ids=sheet.ids,
        setups=setups,
        readings=sheet.readings,
        reading_unit=rods.unit,
        is_read_down=True,
        misclosures=misclosures,
        method="rod and level",
        notes=notes,
    )
