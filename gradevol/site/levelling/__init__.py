"""Differential levelling: notes to elevations, leg by leg.

A line of levels is a chain of instrument setups. Height of instrument = elevation + backsight;
elevation = height of instrument - intermediate sight or foresight. Points whose elevation is known
part the line into legs, each hung on the known elevation at which it starts.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.units import METRES
from gradevol.ground.words import first_of
from gradevol.site.levelling.book import LevelNotes, LevelRow, Setup, find_setups

#: Float dust of sums and conversions, m: far below anything that is read on a rod.
_DUST = 1e-9
_SHOWN = 12


@dataclass(frozen=True, slots=True)
class Leg:
    """
    A stretch of setups that is hung on one known elevation; closed if it ends on another.

    Attributes
    ----------
    start, end : str
        Points it runs between.
    backsights, foresights : tuple of float
        One a setup, m; a last setup without a foresight has a backsight alone.
    lengths : tuple of (float or None)
        Length of each setup, its two sights together, m; None: not known.
    first, observed : float
        Elevation at its start, and as read at its end, m.
    known : float or None
        Known elevation of its end, m; None: it is open.
    """

    start: str
    end: str
    backsights: tuple[float, ...]
    foresights: tuple[float, ...]
    lengths: tuple[float | None, ...]
    first: float
    observed: float
    known: float | None = None

    @property
    def misclosure(self) -> float | None:
        """Observed less known, m: positive where the levels came in high; None if open."""
        return None if self.known is None else self.observed - self.known

    @property
    def length(self) -> float | None:
        """Length of all its sights, m; None unless every one is known."""
        known = [length for length in self.lengths if length is not None]
        return sum(known) if len(known) == len(self.lengths) else None

    @property
    def sums(self) -> tuple[float, float]:
        """Sums of backsights and of foresights over the setups that have both, m."""
        return sum(self.backsights[: len(self.foresights)]), sum(self.foresights)


@dataclass(frozen=True, slots=True)
class ReducedRow:
    """
    A row of notes, reduced.

    Attributes
    ----------
    row : LevelRow
        What was read.
    setup : int
        The setup it was seen from, from 1 on; for a row with a backsight alone, the one it begins.
    leg : int
        Index of its leg.
    passed : int
        Setups of the leg up to and with this one.
    instrument : float or None
        Height of the instrument that its backsight sets, m.
    observed, correction : float
        Elevation as read, and what the adjustment adds to it, m.
    """

    row: LevelRow
    setup: int
    leg: int
    passed: int
    instrument: float | None
    observed: float
    correction: float = 0.0

    @property
    def elevation(self) -> float:
        """Elevation with its correction, m."""
        return self.observed + self.correction


@dataclass(frozen=True, slots=True)
class Check:
    """An intermediate sight on a point whose elevation is known, m; it adjusts nothing."""

    row: LevelRow
    observed: float
    known: float


@dataclass(frozen=True, slots=True)
class Reduction:
    """
    Reduced notes.

    Attributes
    ----------
    rows : tuple of ReducedRow
        One a row of notes, in their order.
    legs : tuple of Leg
        In order.
    checks : tuple of Check
        Intermediate sights on known points.
    adjusted : str
        ``none``, ``setups`` or ``distance``: how misclosures were shared out.
    notes : tuple of Note
        What was noticed.
    """

    rows: tuple[ReducedRow, ...]
    legs: tuple[Leg, ...]
    checks: tuple[Check, ...] = ()
    adjusted: Literal["none", "setups", "distance"] = "none"
    notes: tuple[Note, ...] = ()


def reduce_levels(notes: LevelNotes) -> Reduction:
    """
    Reduce level notes by height of instrument.

    Parameters
    ----------
    notes : LevelNotes
        The notes; at least one elevation on each line of levels is known.

    Returns
    -------
    Reduction
        Elevations as observed, m; every correction is 0.

    Raises
    ------
    InputError
        If the notes do not make up setups, no elevation is known, or a booked height of
        instrument is not elevation and backsight.
    """
    lines, remarks = find_setups(notes)
    rows: list[ReducedRow] = []
    legs: list[Leg] = []
    before = 0
    for line in lines:
        legs_of_line, rows_of_line = _reduce_line(notes, line, before, len(legs))
        legs += legs_of_line
        rows += rows_of_line
        before += len(line)
    _check_instruments(notes, rows)
    checks = [
        Check(item.row, item.observed, known)
        for item in rows
        if item.row.intermediate is not None and (known := notes.known_at(item.row)) is not None
    ]
    return Reduction(
        tuple(rows), tuple(legs), tuple(checks), notes=(*remarks, *_note_rows(notes, rows))
    )


def _reduce_line(
    notes: LevelNotes, line: Sequence[Setup], before: int, legs_before: int
) -> tuple[list[Leg], list[ReducedRow]]:
    """Reduce one line; `before`: setups, and legs, of the lines before it."""
    datum = _hang(notes, line)
    inner = [at for at in range(1, len(line)) if _known_at(notes, line[at].back) is not None]
    rows: dict[int, ReducedRow] = {}
    legs: list[Leg] = []
    for start, end in pairwise([0, *inner, len(line)]):
        known = _known_at(notes, line[start].back)
        first = level = datum if known is None else known
        fores: list[float] = []
        for passed, setup in enumerate(line[start:end], start=1):
            back = notes.rows[setup.back]
            assert back.backsight is not None
            instrument = level + back.backsight
            number, leg = before + start + passed, legs_before + len(legs)
            if setup.back in rows:  # the row of a turning point
                rows[setup.back] = replace(rows[setup.back], instrument=instrument)
            else:
                rows[setup.back] = ReducedRow(back, number, leg, passed - 1, instrument, level)
            for index in (*setup.shots, *([] if setup.fore is None else [setup.fore])):
                row = notes.rows[index]
                reading = row.foresight if row.intermediate is None else row.intermediate
                assert reading is not None
                level_here = instrument - reading
                rows[index] = ReducedRow(row, number, leg, passed, None, level_here)
                if index == setup.fore:
                    level = level_here
                    fores.append(reading)
        setups = line[start:end]
        last = setups[-1].back if setups[-1].fore is None else setups[-1].fore
        closes = setups[-1].fore is not None and known is not None
        legs.append(
            Leg(
                start=notes.rows[setups[0].back].point,
                end=notes.rows[last].point,
                backsights=tuple(notes.rows[setup.back].backsight or 0.0 for setup in setups),
                foresights=tuple(fores),
                lengths=tuple(notes.measure(setup.back, setup.fore) for setup in setups),
                first=first,
                observed=level,
                known=notes.known_at(notes.rows[last]) if closes else None,
            )
        )
    return legs, [rows[index] for index in sorted(rows)]


def _known_at(notes: LevelNotes, index: int) -> float | None:
    return notes.known_at(notes.rows[index])


def _hang(notes: LevelNotes, line: Sequence[Setup]) -> float:
    """Elevation of the first point of a line, from the first known one that was turned on."""
    climb = 0.0
    for setup in line:
        if (known := _known_at(notes, setup.back)) is not None:
            return known - climb
        if setup.fore is None:
            break
        climb += (notes.rows[setup.back].backsight or 0.0) - (
            notes.rows[setup.fore].foresight or 0.0
        )
        if (known := _known_at(notes, setup.fore)) is not None:
            return known - climb
    raise notes.refuse(
        notes.rows[line[0].back],
        "begins a line of levels on which no elevation is known",
        "Give the elevation of a bench mark that has a BS or an FS, in a column 'known' or by "
        "--known 'BM1=100.00'",
    )


def _check_instruments(notes: LevelNotes, rows: Sequence[ReducedRow]) -> None:
    """Refuse a booked height of instrument that is not elevation and backsight."""
    metres = METRES[notes.unit]
    standing = 0.0
    for item in rows:
        standing = standing if item.instrument is None else item.instrument
        booked = item.row.booked_instrument
        if booked is not None and abs(booked - standing) > notes.rounding + _DUST:
            kind = "elevation" if notes.known_at(item.row) is None else "its known elevation"
            raise notes.refuse(
                item.row,
                f"has HI {booked / metres:.10g} {notes.unit}, but {kind} and BS make "
                f"{standing / metres:.10g}",
                "Correct the HI, the BS or the elevation it stands on; or leave the HI out",
            )


def _note_rows(notes: LevelNotes, rows: Sequence[ReducedRow]) -> list[Note]:
    remarks = []
    inverted = [
        row.point
        for row in notes.rows
        if min(row.backsight or 0.0, row.intermediate or 0.0, row.foresight or 0.0) < 0
    ]
    if inverted:
        text = (
            "Readings below 0 are taken as those of an inverted staff, on a point above the "
            f"instrument: {first_of(inverted, _SHOWN)}."
        )
        remarks.append(Note("staff-inverted", escape(text), points=tuple(inverted)))
    apart = {
        item.row.point: abs(item.row.booked_elevation - item.observed)
        for item in rows
        if item.row.booked_elevation is not None and notes.known_at(item.row) is None
    }
    apart = {point: by for point, by in apart.items() if by > notes.rounding + _DUST}
    if apart:
        text = (
            "Booked elevations are not those that the readings make, by up to {}, at "
            f"{escape(first_of(list(apart), _SHOWN))}."
        )
        worst = Measure(max(apart.values()), Kind.LEVEL)
        remarks.append(Note("booked-elevations-differ", text, (worst,), points=tuple(apart)))
    return remarks
