"""Hauling: cuttings to the low spots near by, before material is bought."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

#: Less than this is a shovelful or two, and no work of its own, m³.
LEAST_VOLUME = 0.01


@dataclass(frozen=True, slots=True)
class Heap:
    """
    Material that one place has to give, or has room for.

    Attributes
    ----------
    rank : int
        Of the work there.
    volume : float
        Bank measure, m³.
    centre : (float, float)
        Easting, northing, m.
    """

    rank: int
    volume: float
    centre: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Haul:
    """
    Cuttings of one place that fill another.

    Attributes
    ----------
    source, target : int
        Ranks of the work at both ends.
    volume : float
        Bank measure, m³. A base that was compacted before it was cut fills as much once it is
        compacted again, so this is also what it fills.
    distance : float
        From centre to centre, m.
    """

    source: int
    target: int
    volume: float
    distance: float


def pair_heaps(cuts: Sequence[Heap], rooms: Sequence[Heap]) -> tuple[Haul, ...]:
    """
    Share cuttings out among low spots, the nearest pair first.

    Parameters
    ----------
    cuts, rooms : sequence of Heap
        What is there to give, and what there is room for.

    Returns
    -------
    tuple of Haul
        In the order of their sources, the nearest first. No place gives more than it has or takes
        more than it has room for; until one side is used up, only lots under `LEAST_VOLUME` stay.
        The sum of distances need not be the least there is: a crew takes the nearest, too.
    """
    if not cuts or not rooms:
        return ()
    ends = np.array([[heap.centre for heap in cuts]]).transpose(1, 0, 2)
    away = np.hypot(*(ends - np.array([heap.centre for heap in rooms])).transpose(2, 0, 1))
    source, target = np.indices(away.shape).reshape(2, -1)
    # among equals by rank, so that the order in which they are given does not matter
    ranks = [[heaps[index].rank for index in which] for heaps, which in
             ((cuts, source), (rooms, target))]  # fmt: skip
    order = np.lexsort((ranks[1], ranks[0], np.round(away.ravel(), 6)))
    left, room = [heap.volume for heap in cuts], [heap.volume for heap in rooms]
    hauls = []
    for one, other in zip(source[order].tolist(), target[order].tolist(), strict=True):
        volume = min(left[one], room[other])
        if volume < LEAST_VOLUME:
            continue
        left[one] -= volume
        room[other] -= volume
        hauls.append(Haul(cuts[one].rank, rooms[other].rank, volume, float(away[one, other])))
    return tuple(sorted(hauls, key=lambda haul: haul.source))
