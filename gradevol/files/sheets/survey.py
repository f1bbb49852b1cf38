"""Field sheets of rod readings or depths, one or several of one base, as one survey."""

from collections import Counter
from collections.abc import Sequence
from itertools import chain

import numpy as np

from gradevol.files.opened import Files
from gradevol.files.setups import Setups, find_misclosures, heights_of_instrument, note_setups
from gradevol.files.sheet_sources import Depths, Rods, Sheets
from gradevol.files.sheets.depths import read_depths
from gradevol.files.sheets.lattice import read_sheet
from gradevol.files.tables.table import read_sheet_of
from gradevol.site.survey import Survey


def read_sheets(source: Rods | Depths | Sheets, files: Files) -> Survey:
    """
    Read field sheets one after the other.

    Parameters
    ----------
    source : Rods, Depths or Sheets
        Sheets of rod readings, or of depths, each with its own place and height of instrument.
    files : Files
        What the run has opened.

    Returns
    -------
    Survey
        The shots of all, in order. Where sheets share ids, each goes by its sheet's name too. Rod
        shots keep the setup of their sheet; `datum_sigma` of depths is the largest.

    Raises
    ------
    InputError
        If a sheet cannot be used.
    """
    if isinstance(source, Rods):
        return read_rods(source, files)
    if isinstance(source, Depths):
        return read_depths(source, files)
    parts = [read_sheets(part, files) for part in source.parts]
    depths = [part.depths for part in parts if part.depths is not None]
    setups = tuple(chain.from_iterable(part.setups or ("",) * len(part.points) for part in parts))
    is_alike = len({part.reading_unit for part in parts}) == 1
    return Survey.about_local_origin(
        np.concatenate([part.points + part.origin for part in parts]),
        ids=_name_apart(source, parts),
        setups=setups if any(setups) else (),
        readings=_join([part.readings for part in parts]) if is_alike else (),
        reading_unit=parts[0].reading_unit,
        is_read_down=True,
        depths=np.concatenate(depths) if depths else None,
        misclosures={name: off for part in parts for name, off in part.misclosures.items()},
        datum_sigma=max(part.datum_sigma for part in parts),
        method=parts[0].method,
        notes=tuple(dict.fromkeys(note for part in parts for note in part.notes)),
    )


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


def _join(columns: Sequence[Sequence[str]]) -> tuple[str, ...]:
    return tuple(chain.from_iterable(columns))


def _name_apart(source: Sheets, parts: Sequence[Survey]) -> tuple[str, ...]:
    """Ids, with the name of the sheet before them where one stands on more than one."""
    held = Counter(chain.from_iterable(set(part.ids) for part in parts))
    if max(held.values()) == 1:
        return _join([part.ids for part in parts])
    names = [sheet.title for sheet in source.parts]
    if len(set(names)) < len(names):
        names = [f"sheet {number}" for number in range(1, len(names) + 1)]
    return tuple(
        f"{name} {id_}" for name, part in zip(names, parts, strict=True) for id_ in part.ids
    )
