"""Delimited text of points: PNEZD and its kin."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import chain
from pathlib import Path

import numpy as np

from gradevol.files.globe import DEGREES, SLAB, are_degrees
from gradevol.files.names import is_wanted, note_duplicates, say_held
from gradevol.files.opened import Files
from gradevol.files.setups import find_misclosures, note_setups
from gradevol.files.shots.rods import level_shots, takes_rods
from gradevol.files.shots.staked import refuse_staked
from gradevol.files.sources import Shots
from gradevol.files.tables.cells import read_coordinates
from gradevol.files.tables.columns import find_columns
from gradevol.files.tables.labels import find_worked_out
from gradevol.files.tables.notation import Notation
from gradevol.files.tables.rows import Fitted, fit_rows
from gradevol.files.tables.table import Table, read_sheet_of
from gradevol.files.tables.text import SHEET, is_number_like
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.texts import hold_texts
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, first_of, noun_of
from gradevol.site.survey import Survey

#: Where descriptions choose, so many shots without one, as a share of all, may have lost theirs.
#: Common practice, no source.
_FEW_BARE = 0.1
#: How alike a description must be to one that is asked for, to be a slip of it.
_NEARLY = 0.75

#: Rows at the end among which a spreadsheet has its means and sums.
_BELOW = 6


@dataclass(frozen=True, slots=True)
class _Part:
    """The shots of one file, and how often it holds each description."""

    path: Path
    points: FloatArray
    ids: Sequence[str]
    codes: Sequence[str]
    setups: Sequence[str]
    readings: Sequence[str]
    is_by_rod: bool
    held: Counter[str]
    notes: tuple[Note, ...]


def read_delimited(shots: Shots, files: Files | None = None) -> Survey:
    """
    Read shots from delimited text, one a line.

    Parameters
    ----------
    shots : Shots
        The files, their unit, their columns, and which descriptions are wanted.
    files : Files, optional
        What the run has opened.

    Returns
    -------
    Survey
        The shots in file order, about a local origin, m. A shot without a point id goes by its
        line. `readings` are the elevations or rod readings as written; `sigma` and `datum_sigma`
        are left for the caller to set.

    Raises
    ------
    InputError
        At the first fault: a file that is no table, columns that cannot be known, a row without
        numbers, codes that match nothing, a setup that is not known, too few shots.
    """
    files = files or Files()
    parts = [
        _read_part(files.parse(path, read_sheet_of(shots.sheet)), shots) for path in shots.paths
    ]
    notes = [note for part in parts for note in part.notes]
    if shots.codes:
        notes += _check_codes(parts, shots.codes, shots.key)
    count = sum(len(part.points) for part in parts)
    if count < shots.least:
        lacks = {1: "it holds no shot", 2: f"{count_of(count, 'shot')} cannot make a line: two can"}
        surface = f"{count_of(count, 'shot')} cannot make a surface: it takes at least three"
        raise InputError(
            lacks.get(shots.least, surface),
            remedy="Check that this is the right file"
            + f" and {shots.key}.codes" * bool(shots.codes),
            path=shots.paths[0] if len(parts) == 1 else None,
        )
    points = np.concatenate([part.points for part in parts])
    if shots.least > 1:
        _refuse_degrees(points[:, :2] / METRES[shots.unit], parts[0].path)
    ids = _join([part.ids for part in parts])
    notes += note_duplicates(ids)
    setups = _join([part.setups for part in parts])
    if shots.setups is not None and shots.setups.is_own:
        notes += note_setups(shots.setups)
    is_by_rod = all(part.is_by_rod for part in parts)
    is_alike = len({part.is_by_rod for part in parts}) == 1
    return Survey.about_local_origin(
        points,
        ids=ids,
        codes=_join([part.codes for part in parts]),
        setups=setups,
        readings=_join([part.readings for part in parts]) if is_alike else (),
        reading_unit=shots.unit,
        is_read_down=is_by_rod,
        misclosures=find_misclosures(shots.setups),
        method="rod and level" if is_by_rod else "shots",
        notes=tuple(notes),
    )


def _refuse_degrees(plan: FloatArray, path: Path) -> None:
    if are_degrees(plan.min(axis=0), plan.max(axis=0), widest=SLAB):
        raise InputError(
            f"its coordinates ({plan[0, 0]:.7g}, {plan[0, 1]:.7g}) look like degrees of longitude "
            "and latitude, not eastings and northings",
            remedy="Export the shots in the coordinates of the job: projected, or local",
            path=path,
            code=DEGREES,
        )


def _join(columns: Sequence[Sequence[str]]) -> Sequence[str]:
    """One column of all files; nothing where none has a word in it."""
    if not any(map(any, columns)):
        return ()
    return hold_texts(columns[0] if len(columns) == 1 else chain.from_iterable(columns))


def _read_part(table: Table, shots: Shots) -> _Part:
    path = table.path
    letters, notes = find_columns(table, shots)
    if table.encoding == "cp1252":
        text = (
            f"{escape(path.name)} is not UTF-8 and was read as Windows-1252: letters with accents "
            "may be wrong."
        )
        notes.append(Note("encoding-guessed", text))
    if table.encoding.startswith(SHEET):
        name = escape(repr(table.encoding.removeprefix(SHEET)))
        notes.append(Note("sheet-read", f"Of {escape(path.name)} the sheet {name} was read."))
    notation = Notation(shots.notation, f"{shots.key}.notation")
    needed = "NE" if "R" in letters else "NEZ"
    fitted = fit_rows(table, letters, needed=needed, notation=notation)
    words = fitted.descriptions
    held = Counter(words)
    if shots.codes:
        kept = _find_wanted(fitted, words, held, shots)
        if not is_wanted("", shots.codes):
            notes += _note_bare(fitted, words)
        fitted = fitted.keep(kept)
        words = tuple([words[at] for at in kept])
    setups = fitted.column("S")
    is_by_rod = takes_rods(fitted, shots.setups)
    if is_by_rod and shots.setups is not None:
        points, setups = level_shots(fitted, shots.setups, unit=shots.unit)
    else:
        points = read_coordinates(fitted, "ENZ", unit=shots.unit)
    ids = fitted.column("P")
    if label := find_worked_out(ids[-_BELOW:]):
        raise table.fault(
            fitted.places[ids.index(label)],
            f"the row {label!r} was worked out, not shot",
            "Take it out, or give the shot another name",
        )
    refuse_staked(ids, words, points[:, 2] / METRES[shots.unit], held, path=path)
    if not all(ids):
        name = f"{path.name} line" if len(shots.paths) > 1 else "line"
        ids = tuple(
            [text or f"{name} {line}" for text, line in zip(ids, fitted.lines, strict=True)]
        )
    readings = fitted.column("R" if is_by_rod else "Z")
    return _Part(path, points, ids, words, setups, readings, is_by_rod, held, tuple(notes))


def _find_wanted(
    fitted: Fitted, words: Sequence[str], held: Counter[str], shots: Shots
) -> list[int]:
    """Rows whose description is asked for."""
    if not any(held):
        raise InputError(
            f"{shots.key}.codes asks for {', '.join(shots.codes)}, but no column holds "
            "descriptions",
            remedy=f"Leave {shots.key}.codes out, or mark the descriptions with D in "
            f"{shots.key}.columns",
            path=fitted.table.path,
        )
    wanted = {word for word in held if is_wanted(word, shots.codes)}
    # a row that does not fit may have lost its description: it is not left out in silence
    return [at for at, word in enumerate(words) if word in wanted or at in fitted.faults]


def _note_bare(fitted: Fitted, words: Sequence[str]) -> list[Note]:
    """Note the few shots that have no description, where nearly all others have one."""
    bare = [at for at, word in enumerate(words) if not word and at not in fitted.faults]
    if not 0 < len(bare) <= max(1, _FEW_BARE * len(words)):
        return []
    table = fitted.table
    lines = first_of([str(table.lines[fitted.places[at]]) for at in bare], 6)
    text = (
        f"{count_of(len(bare), 'shot', 'are')} left out for want of a description, which nearly "
        f"all others have ({escape(table.path.name)}, {noun_of(len(bare), 'line')} {lines}): "
        "describe what is on the base."
    )
    return [Note("code-missing", text)]


def _check_codes(parts: Sequence[_Part], patterns: Sequence[str], key: str) -> Iterator[Note]:
    """Refuse codes that match nothing at all; note those, and the files, that match nothing."""
    held: Counter[str] = Counter()
    for part in parts:
        held += part.held
    asked = ", ".join(patterns)
    if not any(len(part.points) for part in parts):
        raise InputError(
            f"{key}.codes asks for {asked}, but no description matches; there are {say_held(held)}",
            remedy=f"Set {key}.codes to those that are meant (* stands for any letters)",
            path=parts[0].path if len(parts) == 1 else None,
        )
    taken = {word: count for word, count in held.items() if is_wanted(word, patterns)}
    for pattern in patterns:
        if not any(is_wanted(word, [pattern]) for word in held):
            text = f"No description matches {escape(pattern)}, which {key}.codes asks for."
            yield Note("code-matches-nothing", text)
    left = {word: count for word, count in held.items() if not is_wanted(word, patterns)}
    for word, count in left.items():
        if is_number_like(word) and not any(map(is_number_like, taken)):
            text = (
                f"{count_of(count, 'shot', 'are')} left out whose description is a number, "
                f"{escape(word)}: is a mark between its cells wrong?"
            )
            yield Note("code-is-number", text)
            continue
        near = get_close_matches(word.upper(), {each.upper() for each in taken}, cutoff=_NEARLY)
        if near and count < min(taken[each] for each in taken if each.upper() == near[0]):
            text = (
                f"{count_of(count, 'shot', 'are')} left out: {escape(word)} is nearly {near[0]}, "
                f"which {key}.codes asks for, but not that."
            )
            yield Note("code-nearly-matches", text)
    if left and key == "base":
        text = (
            f"Of {held.total():,} shots {sum(left.values()):,} are left out of the base by their "
            f"descriptions: {say_held(Counter(left))}."
        )
        yield Note("codes-left-out", escape(text))
    for part in parts:
        if not len(part.points):
            text = f"No description in {escape(part.path.name)} matches {escape(asked)}."
            yield Note("file-without-shots", text)
