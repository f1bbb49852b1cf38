"""Level notes as booked: rows, and the instrument setups that they make up."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape


@dataclass(frozen=True, slots=True)
class LevelRow:
    """
    One line of level notes: a point, and what was read on it.

    Attributes
    ----------
    point : str
        Its name.
    backsight, intermediate, foresight : float or None
        Readings, m; negative on an inverted staff. A turning point has a foresight and a backsight.
    backsight_length, foresight_length : float or None
        Lengths of those sights, m.
    booked_instrument, booked_elevation : float or None
        Height of instrument and elevation as the field book has them, m: only checks.
    line : int or None
        Where it stands in the file, from 1.
    """

    point: str
    backsight: float | None = None
    intermediate: float | None = None
    foresight: float | None = None
    backsight_length: float | None = None
    foresight_length: float | None = None
    booked_instrument: float | None = None
    booked_elevation: float | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True)
class LevelNotes:
    """
    Level notes in the order in which they were taken.

    Attributes
    ----------
    rows : tuple of LevelRow
        One reading in each, or an FS and a BS.
    known : mapping of str to float
        Elevations known beforehand, m, by point name; names are compared by `same_name`.
    rounding : float
        How far a booked figure may be off because it was rounded, m.
    unit : str
        Unit that messages speak in, a key of `METRES`.
    path : Path or None
        The file, for messages.
    """

    rows: tuple[LevelRow, ...]
    known: Mapping[str, float]
    rounding: float = 0.0006
    unit: str = "m"
    path: Path | None = None

    def __post_init__(self) -> None:
        for row in self.rows:
            sights = (row.backsight, row.intermediate, row.foresight)
            if all(sight is None for sight in sights):
                raise self.refuse(row, "has no reading", "Give it a BS, IS or FS, or leave it out")
            if row.intermediate is not None and row.foresight is not None:
                raise self.refuse(
                    row,
                    "has both an IS and an FS",
                    "A point that is turned on has an FS (and a BS); any other an IS",
                )
            if row.intermediate is not None and row.backsight is not None:
                raise self.refuse(
                    row,
                    "has both a BS and an IS",
                    "A turning point has an FS and a BS; put another sight on it in its own row",
                )
            if 0.0 in sights:
                raise self.refuse(
                    row, "has a reading of 0", "Leave a cell blank where nothing was read"
                )
        named = {same_name(point): elevation for point, elevation in self.known.items()}
        object.__setattr__(self, "known", named)

    def known_at(self, row: LevelRow) -> float | None:
        """Return the known elevation of a row's point, m; None where it is not known."""
        return self.known.get(same_name(row.point))

    def measure(self, back: int, fore: int | None) -> float | None:
        """Return the length of the sights to two rows together, m; None if not both are known."""
        if fore is None:
            return None
        lengths = self.rows[back].backsight_length, self.rows[fore].foresight_length
        return None if None in lengths else sum(filter(None, lengths))

    def refuse(self, row: LevelRow, problem: str, remedy: str) -> InputError:
        """Make the error that tells of a fault in a row."""
        return InputError(f"{row.point!r} {problem}", remedy=remedy, path=self.path, line=row.line)


@dataclass(frozen=True, slots=True)
class Setup:
    """
    One instrument setup: the rows that were read from it, by index.

    Attributes
    ----------
    back : int
        The row with its backsight.
    shots : tuple of int
        Rows with intermediate sights.
    fore : int or None
        The row with its foresight; None: the instrument was taken up without one.
    """

    back: int
    shots: tuple[int, ...] = ()
    fore: int | None = None


def same_name(point: str) -> str:
    """Form of a point's name in which capitals and blanks make no difference."""
    return " ".join(point.casefold().split())


def find_setups(notes: LevelNotes) -> tuple[tuple[tuple[Setup, ...], ...], tuple[Note, ...]]:
    """
    Part notes into lines of levels, and each line into setups.

    A backsight goes on from the foresight on the same point, in its row or a row before it. A
    backsight on another point begins a new line if that point's elevation is known.

    Returns
    -------
    lines : tuple of tuple of Setup
        One tuple a line.
    notes : tuple of Note
        Setups that were left without a foresight before a new line began.

    Raises
    ------
    InputError
        At the first row that does not fit: a sight from no instrument, a backsight on a point
        that was not turned on.
    """
    lines: list[list[Setup]] = []
    remarks: list[Note] = []
    standing = False  # an instrument whose backsight is read and whose foresight is not
    for index, row in enumerate(notes.rows):
        if row.backsight is None or row.foresight is not None:
            if not standing:
                raise _refuse_no_instrument(notes, index)
            setup = lines[-1][-1]
            if row.foresight is None:
                lines[-1][-1] = Setup(setup.back, (*setup.shots, index))
            else:
                lines[-1][-1] = Setup(setup.back, setup.shots, index)
                standing = False
        if row.backsight is not None:
            if lines and _goes_on(notes, lines[-1][-1], index):
                lines[-1].append(Setup(index))
            elif not lines or notes.known_at(row) is not None:
                if standing:
                    remarks.append(_note_left_open(notes, lines[-1][-1], row))
                lines.append([Setup(index)])
            else:
                raise _refuse_backsight(notes, lines[-1][-1], row)
            standing = True
    return tuple(tuple(line) for line in lines), tuple(remarks)


def _goes_on(notes: LevelNotes, last: Setup, index: int) -> bool:
    """Whether a backsight is on the point that the last foresight was on."""
    if last.fore is None:
        return False
    return same_name(notes.rows[last.fore].point) == same_name(notes.rows[index].point)


def _refuse_no_instrument(notes: LevelNotes, index: int) -> InputError:
    row = notes.rows[index]
    kind = "an IS" if row.foresight is None else "an FS"
    if index == 0 and row.foresight is not None:
        return notes.refuse(
            row,
            "is the first point and has an FS, but no BS",
            "Levels begin with a BS on a bench mark; see whether the columns BS and FS are swapped",
        )
    return notes.refuse(
        row,
        f"has {kind}, but no instrument stands: no BS was read"
        + (" since the last FS" if index else " before it"),
        "Book the BS of that setup in the row of its turning point, before what was read from it; "
        "what levels do not go on from (side shots) belongs under IS, not under FS",
    )


def _refuse_backsight(notes: LevelNotes, last: Setup, row: LevelRow) -> InputError:
    if last.fore is None:
        first = notes.rows[last.back]
        return notes.refuse(
            row,
            f"has a BS, but the setup before it, with its BS on {first.point!r}, has no FS: two "
            "backsights without a turning point",
            "Book the FS on the turning point in the row of its BS; a new line begins on a point "
            "whose elevation is known",
        )
    return notes.refuse(
        row,
        f"has a BS, but the last FS was on {notes.rows[last.fore].point!r}",
        "A BS goes on from the point of the last FS (spell both alike), or begins a new line on a "
        "point whose elevation is known",
    )


def _note_left_open(notes: LevelNotes, last: Setup, row: LevelRow) -> Note:
    first = notes.rows[last.back].point
    text = (
        f"A new line begins at the backsight on {row.point}; the setup before it, with its "
        f"backsight on {first}, was not closed."
    )
    return Note("setup-not-closed", escape(text), points=(first,))
