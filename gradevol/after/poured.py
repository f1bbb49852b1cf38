"""What of the loads went elsewhere than into the slab: into small pours, and back to the plant."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gradevol.files.tickets.rows import CLOSE
from gradevol.files.tickets.table import Load
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.units import CUBIC_YARD
from gradevol.ground.words import capital, list_of
from gradevol.job.terms import SmallPour

#: One standard deviation of what a form holds, a share of its volume as drawn, and of what can stop
#: part-way, which may be anything up to all of it. Judgements, no source.
FORMED, PARTLY = 0.04, 1 / np.sqrt(12)
#: So much more than drawn a form may take before it is asked where the rest went: two and a half
#: of `FORMED`.
FULL = 0.1

#: One standard deviation of what was sent back, a share of it, as measured and as guessed; of a
#: guess no less than the rest, 0.05 yd³, m³. Judgements, no source.
MEASURED, GUESSED, LEAST = 0.05, 0.5, 0.05 * CUBIC_YARD
#: All of a load went back where no more than this share of it stayed: rounding.
ALL = 1e-9

#: What is said of small pours, with gaps: the page of the day fills in the same.
SAID = {
    "too often": "The tickets up to {} fill {} {} times, and the job has {}: so many are counted.",
    "alone": "{} went to {} alone, and held {}, where that takes {}: what is more is counted into "
    "the slab. Write slab beside it if it went there, and under returned what went back.",
}


@dataclass(frozen=True, slots=True)
class Poured:
    """
    What went into small pours.

    Attributes
    ----------
    filled : tuple of (str, int, float)
        Name, how many of it, and the volume of them together, m³.
    volume, sigma : float
        Of all, and one standard deviation, m³.
    partly : tuple of str
        Names of those of which half is taken to be filled, for they may have stopped part-way.
    """

    filled: tuple[tuple[str, int, float], ...] = ()
    volume: float = 0.0
    sigma: float = 0.0
    partly: tuple[str, ...] = ()


def find_poured(
    loads: Sequence[Load],
    small: Sequence[SmallPour],
    *,
    parts: Sequence[str] = (),
    path: Path | None = None,
) -> Poured:
    """
    Find what of the loads went into small pours.

    Parameters
    ----------
    loads : sequence of Load
    small : sequence of SmallPour
        The job's.
    parts : sequence of str
        Names of parts of the slab: what went there went into the slab.
    path : Path, optional
        Of the tickets, for errors.

    Returns
    -------
    Poured
        A name that several loads share is one filling for each of them, up to as many as there
        are; ``2 bollard bases`` is two at once.

    Raises
    ------
    InputError
        If a load went to what the job has no pour of.
    """
    counts: dict[str, int] = {}
    for load in loads:
        for number, pour in _list_named(load, small, parts, path):
            counts[pour.name] = counts.get(pour.name, 0) + number
    filled, variance, partly = [], 0.0, []
    for pour in small:
        if not (count := min(counts.get(pour.name, 0), pour.count)):
            continue
        volume = count * pour.volume
        sigma = FORMED * volume
        if pour.is_partial:  # the last of them stopped anywhere
            volume -= pour.volume / 2
            sigma = float(np.hypot(sigma, PARTLY * pour.volume))
            partly.append(pour.name)
        filled.append((pour.name, count, volume))
        variance += sigma**2
    return Poured(
        tuple(filled),
        float(sum(volume for _, _, volume in filled)),
        float(np.sqrt(variance)),
        tuple(partly),
    )


def doubt_poured(
    loads: Sequence[Load], small: Sequence[SmallPour], *, parts: Sequence[str] = ()
) -> Iterator[Note]:
    """Tell of more small pours than there are, and of loads that held more than theirs take."""
    counts: dict[str, int] = {}
    for load in loads:
        named = _list_named(load, small, parts, None)
        for number, pour in named:
            before = counts.get(pour.name, 0)
            counts[pour.name] = before + number
            # one that there is once may be filled by several loads
            if number > pour.count or before + number > pour.count > 1:
                told = load.name, pour.name, before + number, pour.count
                yield Note("ticket-small-pours", escape(SAID["too often"].format(*told)))
        took = sum(number * pour.volume for number, pour in named)
        if len(named) == len(load.went_to) > 0 and load.stayed > took * (1 + FULL) + CLOSE:
            names = escape(capital(load.name)), escape(list_of(load.went_to))
            text = SAID["alone"].format(*names, "{}", "{}")
            measures = (Measure(load.stayed, Kind.VOLUME), Measure(took, Kind.VOLUME))
            yield Note("ticket-small-pours", text, measures)


def doubt_returned(load: Load) -> float:
    """One standard deviation of what a load sent back, m³; all of it is no guess."""
    amount = load.returned
    if amount is None or load.stayed <= ALL * load.volume:
        return 0.0
    if amount.is_estimate:
        return max(GUESSED * amount.value, LEAST)
    return MEASURED * amount.value


def _list_named(
    load: Load, small: Sequence[SmallPour], parts: Sequence[str], path: Path | None
) -> list[tuple[int, SmallPour]]:
    """How many of which small pours a load filled."""
    return [
        _match(told, small, load, path)
        for told in load.went_to
        if told != "slab" and not any(_is_same(told, part) for part in parts)
    ]


def _match(
    told: str, small: Sequence[SmallPour], load: Load, path: Path | None
) -> tuple[int, SmallPour]:
    """How many were filled, and of which small pour."""
    match = _COUNTED.fullmatch(told.strip())
    number = int(match["before"] or match["after"] or 1) if match else 1
    name = match["name"] if match else told
    same = [pour for pour in small if _is_same(name, pour.name)]
    found = same or [pour for pour in small if _words(name) <= _words(pour.name)]
    if len(found) == 1 and _words(name):
        return number, found[0]
    listed = ", ".join(repr(pour.name) for pour in small)
    raise InputError(
        f"{load.name} went to {told!r}, and the job "
        + (f"has the small pours {listed}" if listed else "has no small pour"),
        remedy="Name the one that is meant, or write it into the job as a [[pour]] with its "
        "volume; what went into the slab is called slab",
        path=path,
        line=load.line,
    )


def _is_same(told: str, name: str) -> bool:
    return _words(told) == _words(name)


def _words(name: str) -> frozenset[str]:
    """Words of a name, of one or of several."""
    return frozenset(word.removesuffix("s") for word in re.findall(r"\w+", name.casefold()))


_COUNTED = re.compile(
    r"(?:(?P<before>[0-9]{1,2})\s*(?:x|×)?\s+)?(?P<name>\D.*?)"
    r"(?:\s+(?:x|×)\s*(?P<after>[0-9]{1,2}))?"
)
