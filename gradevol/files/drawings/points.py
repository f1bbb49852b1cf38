"""Points of drawings and GIS files, and the survey they make."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from gradevol.files.drawings.units import Declared, check_units
from gradevol.files.globe import FARTHEST
from gradevol.files.names import is_wanted, note_duplicates, say_held
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of
from gradevol.site.survey import Survey

#: An elevation that was rounded to hundredths is no other one.
_ROUNDED = 0.0051


def is_other_level(written: float, level: float, decimals: int | None) -> bool:
    """Whether an elevation written beside a point is another, and not the same to its decimals."""
    # of a whole number it is not known whether it was rounded
    slack = max(_ROUNDED, 0.51 / 10**decimals) if decimals else _ROUNDED
    return abs(written - level) > slack


@dataclass(frozen=True, slots=True)
class DrawnPoints:
    """
    The points of a file, as it has them.

    Attributes
    ----------
    path : Path
        The file.
    places : (n, 3) array of float
        Easting, northing, elevation, in the file's unit; NaN for an elevation that is not there.
    ids, codes : tuple of str
        One a point; blank where there is none.
    readings : tuple of str
        Elevations as they are written; empty where the file holds no digits.
    faults : mapping of int to InputError
        What is wrong with points without an elevation, by their place in the file: a corner or a
        mark may lack one, a shot may not.
    notes : tuple of Note
        What the reader noticed.
    declared : tuple of Declared
        What the file says of its unit.
    """

    path: Path
    places: FloatArray
    ids: tuple[str, ...]
    codes: tuple[str, ...]
    readings: tuple[str, ...] = ()
    faults: Mapping[int, InputError] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()
    declared: tuple[Declared, ...] = ()


def build_survey(drawn: DrawnPoints, *, unit: str, wanted: Sequence[str] = ()) -> Survey:
    """
    Build the survey of a file's points, of all or of those whose code is wanted.

    Parameters
    ----------
    drawn : DrawnPoints
    unit : str
        Its unit, a key of `units.METRES`.
    wanted : sequence of str
        Shell-style patterns, as for delimited text; empty: all.

    Returns
    -------
    Survey
        In file order, about a local origin, m; a point without an id is ``point 7``, by its place
        in the file; `sigma` is left for the caller to set.

    Raises
    ------
    InputError
        If the file is in another unit, a point that is wanted has no elevation, a coordinate is
        none, no code matches, or fewer than three points are left.
    """
    path = drawn.path
    check_units(drawn.declared, unit=unit, path=path)
    for place, fault in drawn.faults.items():
        if is_wanted(drawn.codes[place], wanted):
            raise fault
    kept = [at for at, code in enumerate(drawn.codes) if is_wanted(code, wanted)]
    if not kept:
        raise InputError(
            f"no description matches the codes {', '.join(wanted)}; there are "
            f"{say_held(Counter(drawn.codes))}",
            remedy="Set codes to those that are meant (* stands for any letters)",
            path=path,
        )
    metres = drawn.places[kept] * METRES[unit]
    _check_places(metres, kept, path, unit)
    if len(kept) < 3:
        raise InputError(
            f"{count_of(len(kept), 'shot')} cannot make a surface: it takes at least three",
            remedy="Check that this is the right file" + " and the codes" * bool(wanted),
            path=path,
        )
    ids = tuple([drawn.ids[at] or f"point {at + 1}" for at in kept])
    codes = tuple([drawn.codes[at] for at in kept])
    return Survey.about_local_origin(
        metres,
        ids=ids,
        codes=codes if any(codes) else (),
        readings=tuple([drawn.readings[at] for at in kept]) if drawn.readings else (),
        reading_unit=unit,
        notes=(*drawn.notes, *note_duplicates(ids)),
    )


def _check_places(metres: FloatArray, kept: Sequence[int], path: Path, unit: str) -> None:
    is_lost = ~(np.abs(metres) < FARTHEST).all(axis=1)
    if is_lost.any():
        row = int(np.argmax(is_lost))
        shown = ", ".join(f"{value:g}" for value in metres[row] / METRES[unit])
        raise InputError(
            f"point {kept[row] + 1} lies at {shown} {unit}",
            remedy="The file is damaged, or its unit is wrong: export it again",
            path=path,
        )
