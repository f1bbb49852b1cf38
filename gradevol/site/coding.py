"""Descriptions: which shots a pattern picks, and the lines that coded shots draw."""

import fnmatch
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely

from gradevol.ground.arrays import IntArray
from gradevol.ground.errors import GeometryError
from gradevol.site.survey import Survey


def matches(description: str, patterns: Sequence[str]) -> bool:
    """Whether a description matches one of shell-style patterns; letters' case does not matter."""
    word = description.lower()
    return any(fnmatch.fnmatchcase(word, pattern.strip().lower()) for pattern in patterns)


def find_lines(survey: Survey, patterns: Sequence[str]) -> dict[str, IntArray]:
    """
    Join coded shots into lines.

    Parameters
    ----------
    survey : Survey
    patterns : sequence of str
        Which descriptions are lines.

    Returns
    -------
    dict of str to (n,) array of int
        Shots of each line in file order, by its description: all shots of one description are one
        line, so lines that are apart need descriptions of their own (BRK1, BRK2).

    Raises
    ------
    GeometryError
        If no shot matches, or a line has a single shot.
    """
    lines: dict[str, list[int]] = {}
    for index, word in enumerate(survey.codes):
        if matches(word, patterns):
            lines.setdefault(word, []).append(index)
    if not lines:
        raise GeometryError(
            f"base.breaklines asks for {', '.join(patterns)}, but no description matches: check "
            "the patterns against the file's descriptions (gradevol describe lists them)."
        )
    for word, shots in lines.items():
        if len(shots) < 2:
            raise GeometryError(
                f"The breakline {word!r} has one shot; a line needs two or more. A pattern that "
                "matches numbered points makes each of them a line of its own."
            )
    return {word: np.array(shots, dtype=np.intp) for word, shots in lines.items()}


def join_lines(survey: Survey, lines: dict[str, IntArray], place: IntArray) -> IntArray:
    """
    Edges that a surface must keep.

    Parameters
    ----------
    survey : Survey
    lines : dict of str to (n,) array of int
        From `find_lines`.
    place : (n,) array of int
        The surface's point of each shot (`merge_shots`).

    Returns
    -------
    (m, 2) array of int
        Pairs of the surface's points.

    Raises
    ------
    GeometryError
        If two lines, or two parts of one, cross where they have no common shot; it says where.
    """
    edges: list[tuple[int, int]] = []
    names: list[str] = []
    for word, shots in lines.items():
        steps = [(a, b) for a, b in pairwise(place[shots].tolist()) if a != b]
        edges += steps
        names += [word] * len(steps)
    joined = np.array(edges, dtype=np.intp).reshape(-1, 2)
    first_shot = np.unique(place, return_index=True)[1]
    _refuse_crossings(survey.points[first_shot][joined][..., :2], joined, names)
    return joined


def _refuse_crossings(ends: np.ndarray, edges: IntArray, names: Sequence[str]) -> None:
    segments = shapely.linestrings(ends)
    one, other = shapely.STRtree(segments).query(segments, predicate="crosses")
    for a, b in zip(one.tolist(), other.tolist(), strict=True):
        if a < b and not set(edges[a]) & set(edges[b]):
            east, north = shapely.get_coordinates(shapely.intersection(segments[a], segments[b]))[0]
            which = (
                f"Breakline {names[a]!r} crosses itself, so that no surface holds it: put its "
                "shots in the order of the line, or take one where it meets itself."
                if names[a] == names[b]
                else f"Breaklines {names[a]!r} and {names[b]!r} cross, so that no surface holds "
                "both: take a common shot where they meet, or put the shots of each in the order "
                "of its line."
            )
            raise GeometryError(
                which,
                place=(float(east), float(north)),
            )
