"""Instrument setups: rod readings to elevations, and what the closing shots say."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure, Note, escape

#: Misclosures above this are no noise of a rod and a level on a site, m: 0.02 ft. Common practice,
#: no source.
LARGE = 0.0061
#: Misclosures below this are rounding, m.
_NOTHING = 5e-7


@dataclass(frozen=True, slots=True)
class Setup:
    """
    An instrument setup.

    Attributes
    ----------
    name : str
        As the shots name it.
    height : float
        Elevation of the line of sight, m.
    closing : float or None
        Rod reading of its closing shot, m.
    closing_benchmark : float or None
        Elevation of the mark that was shot for it, m.
    """

    name: str
    height: float
    closing: float | None = None
    closing_benchmark: float | None = None


@dataclass(frozen=True, slots=True)
class Setups:
    """
    The setups of rod shots.

    Attributes
    ----------
    key : str
        Where the job lists them, for messages: ``base.setups``.
    is_stated : bool
        Whether the job says that these shots are from them; False: the shots may be from setups
        of the base, and are where the names match.
    is_own : bool
        Whether they are listed for these shots alone, which then tell how they closed.
    is_named : bool
        Whether each shot must name its setup, also where there is one alone: the instrument has
        been moved since, mostly.
    """

    key: str
    known: tuple[Setup, ...]
    is_stated: bool = True
    is_own: bool = True
    is_named: bool = False


def heights_of_instrument(
    names: Sequence[str], setups: Setups, *, path: Path, lines: Sequence[int]
) -> tuple[FloatArray, tuple[str, ...]]:
    """
    Height of instrument of each shot.

    Parameters
    ----------
    names : sequence of str
        The setup of each of n shots as the file has it; blank where it has none.
    setups : Setups
        Those the job lists.
    path : Path
        The file.
    lines : sequence of int
        The line of each shot, from 1.

    Returns
    -------
    heights : (n,) array of float
        Elevation of the line of sight, m.
    names : tuple of str
        The setup of each shot as the job has it.

    Raises
    ------
    InputError
        If a shot's setup is not listed, or is blank where there are several.
    """
    listed = {fold(setup.name): setup for setup in setups.known}
    found: list[Setup] = []
    for name, line in zip(names, lines, strict=True):
        if not name and len(setups.known) == 1 and not setups.is_named:
            found.append(setups.known[0])
        elif fold(name) in listed:
            found.append(listed[fold(name)])
        else:
            known = ", ".join(setup.name for setup in setups.known)
            what = f"setup {name!r} is not one of" if name else "a shot names no setup, of"
            raise InputError(
                f"{what} those in {setups.key} ({known})",
                remedy=f"Name the setup of each shot in a column S, and list it in {setups.key}",
                path=path,
                line=line,
            )
    return np.array([setup.height for setup in found]), tuple(setup.name for setup in found)


def fold(name: str) -> str:
    """Name of a setup without regard to capitals and blanks around it."""
    return name.strip().casefold()


def find_misclosures(setups: Setups | None) -> dict[str, float]:
    """Find what the closing shot of each setup observed less what is known, m; where it has one."""
    return {
        setup.name: setup.height - setup.closing - setup.closing_benchmark
        for setup in (setups.known if setups else ())
        if setup.closing is not None and setup.closing_benchmark is not None
    }


def note_setups(setups: Setups) -> Iterator[Note]:
    """State the closing misclosures of setups, code ``setup-misclosure``."""
    misclosures = find_misclosures(setups)
    for setup in setups.known:
        name = escape(setup.name)
        if setup.closing is None or setup.closing_benchmark is None:
            continue
        off = misclosures[setup.name]
        observed = setup.closing_benchmark + off
        observed_known = (
            Measure(observed, Kind.LEVEL),
            Measure(setup.closing_benchmark, Kind.LEVEL),
        )
        if abs(off) < _NOTHING:
            text = (
                f"The closing shot of setup {name} found {{}} on a mark known as {{}}: it closes."
            )
            yield Note("setup-misclosure", text, observed_known)
            continue
        text = (
            f"The closing shot of setup {name} found {{}} on a mark known as {{}}: a misclosure of "
            "{}"
        )
        if abs(off) > LARGE:  # first what is to be done: a summary may cut the rest
            text += ", more than it should miss. Look for a misread rod (backsight or closing), or "
            text += "a mark or an instrument that moved, before you rely on these shots"
        text += ". It was not shared out; the margin takes it as one standard deviation of "
        text += "that setup."
        yield Note("setup-misclosure", text, (*observed_known, Measure(off, Kind.LEVEL)))


def note_unused(setups: Setups, used: Collection[str]) -> list[Note]:
    """
    Note the setups that no shot was taken from, code ``setup-not-used``.

    Parameters
    ----------
    setups : Setups
        Those the job lists.
    used : collection of str
        Names of those that shots were taken from: of base, top and rechecks together.
    """
    return [
        Note("setup-not-used", f"No shot was taken from setup {escape(name)} of {setups.key}.")
        for name in [setup.name for setup in setups.known]
        if name not in used
    ]
