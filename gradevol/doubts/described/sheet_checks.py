"""Which readings of a field sheet stick out among those around them.

Limits are common practice, no source.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from gradevol.doubts.described.facts import Fact, Finding, say_count, say_list, show
from gradevol.doubts.described.levels import LEAST_FAR, LEAST_FAR_BARE
from gradevol.doubts.described.shots import Points, find_far
from gradevol.doubts.suspects import NEIGHBOURS, find_suspects
from gradevol.geometry.spread import robust_spread
from gradevol.ground.units import METRES
from gradevol.site.survey import SHOT_SIGMA, Survey

#: Readings that stick out, told one by one.
_TOLD = 5
#: An outermost line whose readings stand off the next by this much more than lines do, m, is in an
#: edge beam or on a form: it is not compared with the rest.
_STEP = 0.03

#: Rows of the points of a line, and how much more it reads than the next.
Apart: TypeAlias = tuple[list[int], float]


def take_some(points: Points, rows: Sequence[int]) -> Points:
    """Some of the points."""

    def pick(held: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(held[row] for row in rows)

    return replace(
        points,
        places=points.places[list(rows)],
        lines=tuple(points.lines[row] for row in rows),
        ids=pick(points.ids),
        setups=pick(points.setups),
        readings=pick(points.readings),
    )


def find_apart(part: Points, labels: Mapping[str, Mapping[float, str]]) -> dict[str, Apart]:
    """
    Find the outermost lines of one setup whose readings stand off the next line's.

    Parameters
    ----------
    part : Points
        Readings of one setup.
    labels : mapping
        Of ``row`` and ``column``, the label of each line by where it lies.

    Returns
    -------
    dict
        By what to call each line: rows of the points, and how much more they read.
    """
    found: dict[str, Apart] = {}
    if part.unit is None:
        return found
    for axis, what in ((1, "row"), (0, "column")):
        lines = np.unique(part.places[:, axis])
        held = [
            {float(part.places[at, 1 - axis]): int(at) for at in np.flatnonzero(is_on)}
            for is_on in (part.places[:, axis] == line for line in lines)
        ]
        steps = [_step(part, one, two) for one, two in pairwise(held)]
        if len(steps) < 3 or np.isnan(steps).any():
            continue
        usual = float(np.median(steps))
        least = max(part.own(_STEP, 0.0), 6 * robust_spread(np.array(steps) - usual))
        for end, step in ((0, usual - steps[0]), (-1, steps[-1] - usual)):
            if abs(step) > least and len(held[end]) > 2:
                name = f"{what} {show(labels[what][float(lines[end])])}"
                found[name] = (list(held[end].values()), step)
    return found


def _step(part: Points, one: Mapping[float, int], two: Mapping[float, int]) -> float:
    """How much more a line reads than the one before, where both have a reading."""
    both = sorted(one.keys() & two.keys())
    off = [part.places[two[place], 2] - part.places[one[place], 2] for place in both]
    return float(np.median(off)) if off else float("nan")


def describe_apart(apart: Iterable[Mapping[str, Apart]], points: Points) -> list[Fact]:
    """Tell which lines were not compared with the others, and why."""
    said = [
        f"{name} reads {points.say(abs(step))} {'more' if step > 0 else 'less'} than the next"
        for lines in apart
        for name, (_, step) in lines.items()
    ]
    if not said:
        return []
    text = f"{say_list(said)}: an edge beam or a form? Not compared with the rest"
    return [Fact("lines_apart", "Apart", text, said)]


def check_neighbours(
    parts: Mapping[str, Points], apart: Mapping[str, Mapping[str, Apart]]
) -> list[Finding]:
    """Readings that the others of their setup around them don't lead one to expect."""
    found: list[tuple[str, int, str]] = []
    for setup, part in parts.items():
        if part.unit is None:
            continue
        far = find_far(part.places[:, 2], part.own(LEAST_FAR, LEAST_FAR_BARE))
        for rows, _ in apart[setup].values():
            far[rows] = True
        held = take_some(part, list(map(int, np.flatnonzero(~far))))
        metres = METRES[part.unit]
        if len(held.places) < NEIGHBOURS + 2:
            continue
        survey = Survey.about_local_origin(
            held.places * [metres, metres, -metres],  # a larger reading is a lower place
            ids=held.ids,
            readings=held.readings,
            reading_unit=part.unit,
            is_read_down=True,
            sigma=SHOT_SIGMA["rod and level"],
        )
        for suspect in find_suspects(survey, np.zeros(len(held.places))):
            at = suspect.index
            way = "less" if suspect.difference > 0 else "more"
            slip = f": {suspect.slip}" if suspect.slip else ""
            words = (
                f"{show(held.ids[at])}, {held.say(held.places[at, 2])}, is "
                f"{held.say(abs(suspect.difference) / metres)} {way} than the readings around it "
                f"lead one to expect{slip}"
            )
            found.append((held.ids[at], held.lines[at], words))
    if not found:
        return []
    more = f"; and {len(found) - _TOLD:,} more" if len(found) > _TOLD else ""
    text = (
        f"{say_count(len(found), 'reading')} stick{'s' * (len(found) == 1)} out: "
        f"{'; '.join(words for _, _, words in found[:_TOLD])}{more}. Reshoot before you cut."
    )
    names = tuple(name for name, _, _ in found)
    return [Finding("leaves-neighbours", text, tuple(line for _, line, _ in found), names)]
