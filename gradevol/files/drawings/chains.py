"""Lines drawn one by one, joined end to end into rings."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES


def join_chains(
    lines: Sequence[FloatArray], *, tolerance: float, unit: str, path: Path
) -> list[FloatArray]:
    """
    Join open lines into the rings they make.

    Parameters
    ----------
    lines : sequence of (k, 2 or more) arrays of float
        Places along each, m, at least two; what stands in further columns is carried along.
    tolerance : float
        Ends nearer than this meet, m.
    unit : str
        Unit in which places are told, a key of `units.METRES`.
    path : Path
        The file, for errors.

    Returns
    -------
    list of (m, 2 or more) arrays of float
        Places in order, m; the first is not repeated.

    Raises
    ------
    InputError
        If an end meets no other, or more than one: it says where.
    """
    if not lines:
        return []
    ends = np.array([place for line in lines for place in (line[0, :2], line[-1, :2])])
    mates = _pair_ends(ends, tolerance, unit, path)
    rings, used = [], np.zeros(len(lines), bool)
    for first in range(len(lines)):
        if used[first]:
            continue
        parts, entry = [], 2 * first
        while not used[entry // 2]:
            number, is_backwards = divmod(entry, 2)
            used[number] = True
            line = lines[number][::-1] if is_backwards else lines[number]
            parts.append(line[:-1])  # its last place is the next one's first
            entry = int(mates[entry ^ 1])
        ring = np.vstack(parts)
        if len(ring) > 2:
            rings.append(ring)
    return rings


def _pair_ends(ends: FloatArray, tolerance: float, unit: str, path: Path) -> IntArray:
    """The end that each end meets; ends 2i and 2i + 1 are those of line i."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    about = ends - ends.min(axis=0)  # state plane coordinates would cost the tree digits
    meeting = cKDTree(about).query_ball_point(about, tolerance)
    mates = np.empty(len(ends), np.intp)
    for end, near in enumerate(meeting):
        others = [other for other in near if other != end]
        if len(others) == 1:
            mates[end] = others[0]
            continue
        east, north = ends[end] / METRES[unit]
        if others:
            why = f"{len(near)} ends of lines meet at {east:.3f}, {north:.3f}, and two make a ring"
            remedy = "Take out lines that are drawn twice or do not belong to the outline"
        else:
            apart = np.hypot(*(ends - ends[end]).T)
            apart[end] = np.inf
            why = (
                f"the line that ends at {east:.3f}, {north:.3f} meets no other within "
                f"{tolerance / METRES[unit]:.2g} {unit} (the next end is "
                f"{apart.min() / METRES[unit]:.3f} {unit} "
                "off), so that the outline is open"
            )
            remedy = "Close the outline, or put it on a layer of its own and name it (layer)"
        raise InputError(why, remedy=remedy, path=path)
    return mates
