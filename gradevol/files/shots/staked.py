"""Points that were written to be set out: no shots, for they have the design's elevation."""

import re
from collections.abc import Iterable, Sequence
from pathlib import Path

from gradevol.files.tables.text import count_decimals
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of, first_of

#: As `fix_points.csv` and `set_out.csv` name and describe them.
_NAME = re.compile(r"(?:FIX|SO)\S+", re.IGNORECASE)
_WORDS = re.compile(
    r"(?:RESHOOT )?(?P<way>CUT|FILL) (?P<move>\d+\.\d+) FROM (?P<level>-?\d+\.\d+)", re.IGNORECASE
)


def find_staked(
    ids: Sequence[str], codes: Sequence[str], level: FloatArray, held: Iterable[str]
) -> list[str]:
    """
    Find points that were written to be set out.

    Parameters
    ----------
    ids, codes : sequence of str
        Of each point.
    level : (n,) array of float
        Elevations in the file's own unit: where a point of that name was shot, it has another than
        its description makes the design's.
    held : iterable of str
        Each description once: few, where points are many.

    Returns
    -------
    list of str
        Their ids.
    """
    aims = {word: match for word in held if (match := _WORDS.fullmatch(word.strip()))}
    if not aims:
        return []
    return [
        name
        for name, code, at in zip(ids, codes, level.tolist(), strict=True)
        if code in aims and _NAME.fullmatch(name) and _is_design(aims[code], at)
    ]


def refuse_staked(
    ids: Sequence[str], codes: Sequence[str], level: FloatArray, held: Iterable[str], *, path: Path
) -> None:
    """
    Refuse points that were written to be set out; parameters as of `find_staked`.

    Raises
    ------
    InputError
        If there are any.
    """
    if found := find_staked(ids, codes, level, held):
        raise InputError(
            f"{count_of(len(found), 'point', 'are')} places to set out, with the elevation of the "
            f"design base, and no shots: {first_of(found)}",
            remedy="Name the file of what was shot, or take these points out of it",
            path=path,
        )


def _is_design(words: re.Match[str], level: float) -> bool:
    """Whether an elevation is that which the words make of the design."""
    sign = -1 if words["way"].upper() == "CUT" else 1
    digit = 10.0 ** -(count_decimals(words["level"]) or 0)
    return abs(float(words["level"]) + sign * float(words["move"]) - level) < 1.2 * digit
