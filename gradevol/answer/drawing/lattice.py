"""Rows and columns of a rod sheet as pictures have them: what its labels name in the margin."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.shots import Shots
from gradevol.ground.arrays import FloatArray

#: ``15/1.5`` and ``B3``: row and column, as `files.lattice` names the shots of a sheet.
_NAME = re.compile(r"(?P<row>[^/]+)/(?P<column>[^/]+)|(?P<letters>[A-Za-z]+)(?P<digits>\d+)")
#: Shots of a row stand off its line by no more than this share of the lattice's size.
_STRAIGHT = 0.002
#: A lattice has at least so many rows and so many columns.
_FEWEST = 2
#: And no more shots than this: nobody reads a rod so often.
_MOST = 10_000


@dataclass(frozen=True, slots=True)
class LatticeLine:
    """A row or a column: its label, and its first and last shot, (2, 2), m."""

    label: str
    ends: FloatArray


@dataclass(frozen=True, slots=True)
class Lattice:
    """The lines of a lattice, and the names of its shots; none where the shots make none."""

    lines: tuple[LatticeLine, ...] = ()
    names: tuple[str, ...] = ()


def draw_lattice(shots: Shots) -> Lattice:
    """Draw up rows and columns, where the shots are named by them and lie on straight lines."""
    if len(shots.names) > _MOST:
        return Lattice()
    found = [(index, _NAME.fullmatch(name)) for index, name in enumerate(shots.names)]
    held = [(index, match) for index, match in found if match is not None]
    if not held or 2 * len(held) < len(found):
        return Lattice()
    lines: list[LatticeLine] = []
    for part in (("row", "letters"), ("column", "digits")):
        family: dict[str, list[int]] = {}
        for index, match in held:
            family.setdefault(match[part[0]] or match[part[1]], []).append(index)
        several = {label: members for label, members in family.items() if len(members) > 1}
        drawn = list(_draw_lines(several, shots.places))
        if len(several) < _FEWEST or len(drawn) < len(several):
            return Lattice()
        lines += drawn
    return Lattice(tuple(lines), tuple(shots.names[index] for index, _ in held))


def _draw_lines(family: dict[str, list[int]], places: FloatArray) -> Iterator[LatticeLine]:
    """Lines of one family, of those that are straight."""
    size = float(np.ptp(places, axis=0).max())
    for label, members in family.items():
        held = places[members]
        away = held - held.mean(axis=0)
        along = np.linalg.svd(away, full_matrices=False)[2][0]
        off = away - np.outer(away @ along, along)
        if np.abs(off).max() <= _STRAIGHT * size:
            order = np.argsort(away @ along)
            yield LatticeLine(label, held[order[[0, -1]]])
