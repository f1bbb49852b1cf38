"""Known elevations beside the rows of level notes, and those on which nothing was read."""

from collections.abc import Container, Sequence
from difflib import get_close_matches
from pathlib import Path

from gradevol.ground.errors import InputError
from gradevol.ground.lengths import parse_length
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import list_of
from gradevol.site.levelling.book import LevelRow, same_name


def parse_known(
    texts: Sequence[str], unit: str, points: Sequence[str], *, path: Path, notation: str | None
) -> dict[str, float]:
    """
    Read known elevations from ``BM2=105.263``.

    Parameters
    ----------
    texts : sequence of str
    unit : str
        Of bare numbers.
    points : sequence of str
        Of the notes.
    path : Path
        The notes, for messages.
    notation : str or None
        How lengths without marks are written.

    Returns
    -------
    dict of str to float
        Elevations, m, by the names that `same_name` gives.

    Raises
    ------
    InputError
        If one is no point and its elevation, or the notes have no such point.
    """
    names = {same_name(point): point for point in points}
    known = {}
    for text in texts:
        point, _, elevation = text.rpartition("=")
        try:
            if not point.strip():
                raise ValueError(f"{text!r} names no point")
            known[same_name(point)] = parse_length(elevation, unit=unit, notation=notation)
        except ValueError as error:
            raise InputError(
                f"--known {text!r} is not a point and its elevation ({error})",
                remedy="Write --known 'BM2=105.263'",
            ) from error
        if same_name(point) not in names:
            near = get_close_matches(same_name(point), names, n=1)
            raise InputError(
                f"--known names {point.strip()!r}, but the notes have no such point",
                remedy=f"Did you mean {names[near[0]]!r}?" if near else "Spell it as in the notes",
                path=path,
            )
    return known


def note_unread(rows: Sequence[LevelRow], read: Container[str]) -> list[Note]:
    """
    Note points with an elevation on which the rod was never read: they check nothing.

    Parameters
    ----------
    rows : sequence of LevelRow
        Without a reading.
    read : container of str
        Points that were read, as `same_name` gives them.

    Returns
    -------
    list of Note
        Code ``known-not-read``.
    """
    found = [f"{row.point} (line {row.line})" for row in rows if same_name(row.point) not in read]
    if not found:
        return []
    text = (
        f"No reading was booked on {list_of(found)}: the elevation there checks nothing. If the "
        "rod was read on it, write down its reading."
    )
    return [Note("known-not-read", escape(text))]
