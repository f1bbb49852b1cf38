"""Points of drawings and GIS files as a survey."""

import fnmatch
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.units import METRES
from gradevol.site.survey import Survey

#: A coordinate past this is none, m: 2.5 times round the Earth.
_FARTHEST = 1e8
_SHOWN = 12


def build_survey(
    points: Sequence[Sequence[float]],
    *,
    path: Path,
    unit: str,
    ids: Sequence[str],
    codes: Sequence[str],
    wanted: Sequence[str] = (),
    readings: Sequence[str] = (),
    notes: Sequence[Note] = (),
) -> Survey:
    """
    Build the survey of a file's points, of all or of those whose code is wanted.

    Parameters
    ----------
    points : (n, 3) sequence of float
        Easting, northing, elevation, in the file's unit; NaN for the elevation of one that has
        none, which must not be wanted.
    path : Path
        The file.
    unit : str
        Its unit, a key of `units.METRES`.
    ids : sequence of str
        Point ids; a blank one becomes ``point 7``, by its place in the file.
    codes : sequence of str
        Descriptions; blank where there is none.
    wanted : sequence of str
        Shell-style patterns, as for delimited text; empty: all.
    readings : sequence of str
        Elevations as they are written; empty where the file holds no digits.
    notes : sequence of Note
        What the reader noticed.

    Returns
    -------
    Survey
        In file order, about a local origin, m; `sigma` is left for the caller to set.

    Raises
    ------
    InputError
        If a coordinate is none, no code matches, or fewer than three points are left.
    """
    metres = np.array(points, dtype=np.float64).reshape(-1, 3) * METRES[unit]
    names = [name or f"point {number}" for number, name in enumerate(ids, start=1)]
    kept: Sequence[int] = range(len(names))
    if wanted:
        kept = _choose(codes, wanted, path)
    _check_places(metres, kept, path)
    if len(kept) < 3:
        raise InputError(
            f"{len(kept)} shot{'s' * (len(kept) != 1)} cannot make a surface: three are the least",
            remedy="Check that this is the right file" + " and the codes" * bool(wanted),
            path=path,
        )
    left = [names[at] for at in kept]
    words = [codes[at] for at in kept]
    return Survey.about_local_origin(
        metres[list(kept)],
        ids=tuple(left),
        codes=tuple(words) if any(words) else (),
        readings=tuple([readings[at] for at in kept]) if readings else (),
        reading_unit=unit,
        notes=(*notes, *_note_duplicates(left)),
    )


def is_wanted(code: str, wanted: Sequence[str]) -> bool:
    """Whether a description matches one of the patterns; any does where there is none."""
    patterns = [pattern.strip().lower() for pattern in wanted]
    return not patterns or any(fnmatch.fnmatchcase(code.lower(), each) for each in patterns)


def _check_places(metres: FloatArray, kept: Sequence[int], path: Path) -> None:
    is_lost = ~(np.abs(metres[list(kept)]) < _FARTHEST).all(axis=1)
    if is_lost.any():
        row = kept[int(np.argmax(is_lost))]
        shown = ", ".join(f"{value:g}" for value in metres[row])
        raise InputError(
            f"point {row + 1} lies at {shown} m",
            remedy="The file is damaged, or its unit is wrong: export it again",
            path=path,
        )


def _choose(codes: Sequence[str], wanted: Sequence[str], path: Path) -> Sequence[int]:
    """Places of the codes that match a pattern."""
    kept = [at for at, code in enumerate(codes) if is_wanted(code, wanted)]
    if not kept:
        held = Counter(codes).most_common()
        shown = ", ".join(f"{code or '(blank)'} ({count})" for code, count in held[:_SHOWN])
        more = f" and {len(held) - _SHOWN} more" * (len(held) > _SHOWN)
        raise InputError(
            f"no description matches the codes {', '.join(wanted)}; there are "
            f"{shown or 'none'}{more}",
            remedy="Set codes to those that are meant (* stands for any letters)",
            path=path,
        )
    return kept


def _note_duplicates(ids: Sequence[str]) -> list[Note]:
    twice = {name: count for name, count in Counter(ids).items() if count > 1}
    if not twice:
        return []
    shown = ", ".join(f"{name} ({count} times)" for name, count in list(twice.items())[:_SHOWN])
    more = f" and {len(twice) - _SHOWN} more" * (len(twice) > _SHOWN)
    text = f"Point ids stand for more than one shot, and all were kept: {shown}{more}."
    return [Note("duplicate-ids", escape(text), points=tuple(twice))]
