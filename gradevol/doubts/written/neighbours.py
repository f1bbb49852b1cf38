"""Shots and readings that leave those around them, and whether they could be compared."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.doubts.suspects import FEWEST, find_suspects
from gradevol.doubts.written.points import (
    LEAST_FAR,
    LEAST_FAR_BARE,
    Points,
    find_far,
    is_far_in_plan,
)
from gradevol.ground.arrays import IntArray
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, first_of, verb_of
from gradevol.site.survey import SHOT_SIGMA, Survey

#: Shots of one code that are compared with their neighbours at most: beyond, it takes minutes.
MOST_COMPARED = 5000
#: Those that stick out, told one by one.
_TOLD = 5


def check_shots(points: Points) -> list[Finding]:
    """Shots that leave the plane of their neighbours of the same code; elevations only."""
    if points.unit is None or points.level != "elevation":
        return []
    # of shots at one place the first is compared: a neighbour at no distance outweighs all others
    plan = np.round(points.places[:, :2] * METRES[points.unit], 3)
    far = find_far(points.places[:, 2], points.own(LEAST_FAR, LEAST_FAR_BARE))
    is_usable = ~is_far_in_plan(points) & ~far
    is_usable &= np.isin(np.arange(len(plan)), np.unique(plan, axis=0, return_index=True)[1])
    groups: defaultdict[str, list[int]] = defaultdict(list)
    for row in np.flatnonzero(is_usable).tolist():
        groups[points.codes[row].casefold() if points.codes else ""].append(row)
    found, said = [], []
    for rows in groups.values():
        if not 3 <= len(rows) <= MOST_COMPARED:
            continue
        for row, off, slip in _find_leaving(points, rows, is_read_down=False):
            found.append(row)
            said.append(
                f"{points.name_with_code(row)}, {points.say(points.places[row, 2])}, is "
                f"{points.say(abs(off))} {'above' if off > 0 else 'below'} what is around it{slip}"
            )
    leave = "leaves its" if len(found) == 1 else "leave their"
    return _tell(points, found, f"{count_of(len(found), 'shot')} {leave} neighbours", said)


def check_readings(points: Points, apart: Mapping[str, Sequence[int]]) -> list[Finding]:
    """
    Readings of a sheet that the others of their setup around them don't lead one to expect.

    Parameters
    ----------
    points : Points
    apart : mapping of str to sequences of int
        Of each setup, rows in an edge beam or on a form, which are not compared with the rest.
    """
    if points.unit is None:
        return []
    found, said = [], []
    for setup, rows in points.part_setups().items():
        levels = points.places[rows, 2]
        is_out = find_far(levels, points.own(LEAST_FAR, LEAST_FAR_BARE))
        is_out |= np.isin(rows, apart[setup])
        kept = np.asarray(rows)[~is_out]
        if len(kept) < FEWEST:
            continue
        for row, off, slip in _find_leaving(points, kept, is_read_down=True):
            found.append(row)
            said.append(
                f"{points.name(row)}, {points.say(points.places[row, 2])}, is "
                f"{points.say(abs(off))} {'less' if off > 0 else 'more'} than the readings around "
                f"it lead one to expect{slip}"
            )
    stick = verb_of(len(found), "stick")
    return _tell(points, found, f"{count_of(len(found), 'reading')} {stick} out", said)


def _find_leaving(
    points: Points, rows: Sequence[int] | IntArray, *, is_read_down: bool
) -> Iterator[tuple[int, float, str]]:
    """Rows that leave their neighbours, by how much, in the file's unit, and the likely slip."""
    metres = METRES[points.unit or "m"]
    down = -metres if is_read_down else metres  # a larger reading is a lower place
    survey = Survey.about_local_origin(
        points.places[rows] * [metres, metres, down],
        ids=tuple(points.name(int(row)) for row in rows),
        readings=tuple(points.readings[row] for row in rows),
        reading_unit=points.unit or "m",
        is_read_down=is_read_down,
        sigma=SHOT_SIGMA["rod and level" if is_read_down else "shots"],
    )
    for suspect in find_suspects(survey, np.zeros(len(rows))):
        slip = f": {suspect.slip}" if suspect.slip else ""
        yield int(rows[suspect.index]), suspect.difference / metres, slip


def _tell(points: Points, rows: Sequence[int], head: str, said: Sequence[str]) -> list[Finding]:
    if not rows:
        return []
    text = f"{head}: {first_of(said, _TOLD, mark='; ')}. Reshoot before you cut."
    return [points.point_out("leaves-neighbours", text, rows)]


def say_not_compared(points: Points) -> str:
    """Why shots could not be compared with their neighbours; empty where they were, or are few."""
    codes = points.codes or ("",) * len(points.places)
    most = max(Counter(code.casefold() for code in codes).values())
    if points.level not in {"elevation", "reading"} or most < FEWEST:
        return ""
    if points.unit is None:
        return "not compared, as that needs the unit"
    is_many = most > MOST_COMPARED
    return f"not compared where more than {MOST_COMPARED:,} shots have one code" * is_many
