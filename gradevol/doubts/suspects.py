"""Screening: shots that disagree with their neighbours, and the slip that would explain it."""

import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from gradevol.doubts.expectation import Places
from gradevol.doubts.slips import name_slip
from gradevol.geometry.normal import find_student
from gradevol.geometry.triangulation import merge_places
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, order_by
from gradevol.site.survey import Survey

#: Fewer places are not judged.
FEWEST = 10
#: Share of clean surveys in which any shot may be accused, and the tails that ground has: Student's
#: t. The factor is what the study (docs/studies/suspects.md) found to hold the share.
CHANCE, FREEDOM, FACTOR = 0.05, 9, 0.76
#: Shots that reach this share of the limit are taken out and judged once more without them.
LOOK_AGAIN = 0.5
#: No difference below this is called suspect, m: an eighth of an inch is grading, not a slip.
LEAST_DIFFERENCE = 0.009
#: How crews name what levels are carried from: ``BM``, ``TBM 2``, ``CP-1``; common practice, no
#: source.
_CARRIED_FROM = re.compile(r"(?:t?bm|bench ?mark|cp|ctrl|control)(?:[ ._-]?\d+)?", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Suspect:
    """
    A shot that disagrees with its neighbours; it is reported, never dropped.

    Attributes
    ----------
    index : int
        The shot, in the survey.
    expected : float
        Elevation that its neighbours lead one to expect, m, as booked (not raised).
    difference : float
        Booked less expected, m.
    slip : str
        The likely slip in words, or that it is a bench mark by its name; empty where none fits.
    is_mark : bool
        Whether it is a bench mark by its name: then it is to be left out, not taken again.
    """

    index: int
    expected: float
    difference: float
    slip: str
    is_mark: bool = False


def find_suspects(
    survey: Survey, raised: FloatArray, *, progress: Callable[[float], None] = lambda _: None
) -> tuple[Suspect, ...]:
    """
    Find the shots that the ground around them does not explain.

    Parameters
    ----------
    survey : Survey
        With ids; a cloud has no single shots to suspect.
    raised : (n,) array of float
        By how much each shot was raised to speak of the slab's underside, m.
    progress : callable, optional
        Told the share done.

    Returns
    -------
    tuple of Suspect
        Worst first.

    Notes
    -----
    Shots at one place are one neighbour, their mean, and none vouches for another there. Each place
    is predicted from its neighbours; a shot's difference from that is divided by what the ground
    strays by there. The worst of each neighbourhood is taken out before the others are judged, so
    that one slip does not accuse them.
    """
    if not survey.ids or len(survey.points) < FEWEST:
        return ()
    # taken by place, so that of neighbours equally near the order of the shots picks none
    steps = np.rint(1e6 * survey.points).astype(np.int64)
    shot = order_by(*(column - column.min() for column in steps.T))
    level = survey.points[shot, 2] + raised[shot]
    place = merge_places(survey.points[shot, :2])
    count = np.bincount(place)
    if len(count) < FEWEST:
        return ()
    plan = np.column_stack(
        [np.bincount(place, weights=survey.points[shot, at]) / count for at in (0, 1)]
    )
    screen = Screen(
        places=Places.of(plan, np.bincount(place, weights=level) / count, progress=progress),
        place=place,
        level=level,
        is_trusted=np.ones(len(shot), bool),
        sigma=survey.sigma,
    )
    found: list[int] = []
    while len(found) < max(1, len(shot) // 10) and len(out := screen.take_worst()):
        found.extend(out.tolist())
    if not found:
        return ()
    off, uneven = screen.judge()
    limit = find_limit(len(count))
    return tuple(
        _describe(survey, int(shot[at]), float(off[at]), float(uneven[at]), limit=limit)
        for at in sorted(found, key=lambda at: -abs(off[at]))
    )


@dataclass(slots=True)
class Screen:
    """
    Shots as they are judged, worst first.

    Attributes
    ----------
    places : Places
        Each place at the mean of its trusted shots.
    place : (n,) array of int
        The place of each shot.
    level : (n,) array of float
        Elevation of each shot, m.
    is_trusted : (n,) array of bool
        Which shots are still trusted.
    sigma : float
        One standard deviation of one shot's elevation, m.
    """

    places: Places
    place: IntArray
    level: FloatArray
    is_trusted: BoolArray
    sigma: float

    def judge(self) -> tuple[FloatArray, FloatArray]:
        """How far each shot is off what is expected, and one deviation of the ground there, m."""
        is_ground = np.zeros(len(self.places.plan), bool)
        is_ground[self.place[self.is_trusted]] = True
        uneven = self.places.find_unevenness(self.sigma, is_ground)
        return self.level - self.places.expected[self.place], uneven[self.place]

    def take_worst(self) -> IntArray:
        """
        Take out the worst shots of each neighbourhood that are past the limit.

        Returns
        -------
        (m,) array of int
            The shots, none where all are within it.
        """
        limit = find_limit(len(self.places.plan))
        score = self._score()
        worst = np.zeros(len(self.places.plan))
        np.maximum.at(worst, self.place, score)
        looked = np.flatnonzero(worst >= LOOK_AGAIN * limit)
        looked = looked[(worst[looked, None] >= worst[self.places.near[looked]]).all(axis=1)]
        if len(looked) == 0:
            return looked
        self.places.trust(looked, again=False)
        score = self._score()
        out = np.flatnonzero(np.isin(self.place, looked) & (score >= limit))
        self.is_trusted[out] = False
        count = len(self.places.plan)
        left = np.bincount(self.place, weights=self.is_trusted, minlength=count)
        total = np.bincount(self.place, weights=self.level * self.is_trusted, minlength=count)
        held = looked[left[looked] > 0]
        self.places.level[held] = total[held] / left[held]
        self.places.trust(held, again=True)
        return out

    def _score(self) -> FloatArray:
        off, uneven = self.judge()
        is_judged = self.is_trusted & (np.abs(off) >= LEAST_DIFFERENCE)
        return np.where(is_judged, np.abs(off) / uneven, 0.0)


def find_limit(count: int) -> float:
    """How many standard deviations of its ground a place of `count` must be off to be suspect."""
    return FACTOR * find_student(FREEDOM, CHANCE / (2 * count))


def _describe(
    survey: Survey, index: int, difference: float, uneven: float, *, limit: float
) -> Suspect:
    reading, names = survey.readings[index] if survey.readings else "", [survey.name(index)]
    if survey.codes:
        names.append(survey.codes[index])
    is_mark = any(_CARRIED_FROM.fullmatch(name.strip()) for name in names)
    if is_mark:
        slip = "by its name a bench mark: then leave it out"
    else:
        slip = name_slip(
            difference,
            reading,
            survey.reading_unit,
            sigma=uneven,
            limit=max(limit * uneven, LEAST_DIFFERENCE),
            is_read_down=survey.is_read_down,
        )
    return Suspect(
        index=index,
        expected=survey.booked(index) - difference,
        difference=difference,
        slip=slip,
        is_mark=is_mark,
    )
