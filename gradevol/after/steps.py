"""Steps of a pour: what was ticketed into the slab up to a front, and what lies behind that."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np
import shapely

from gradevol.after.fronts import Edge, Front, find_front
from gradevol.after.model import NOTHING, PourModel
from gradevol.after.poured import doubt_returned, find_poured
from gradevol.after.rooms import Rooms, measure_rooms
from gradevol.files.tickets.fronts import find_slack
from gradevol.files.tickets.loads import Load
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError, InputError
from gradevol.ground.notes import Kind, Measure
from gradevol.ground.words import list_of
from gradevol.job.terms import SmallPour


@dataclass(frozen=True, slots=True)
class Step:
    """
    What was known when a load was out.

    Attributes
    ----------
    load : Load
        The last of those that the front was taken behind.
    ticketed : float
        Into the slab so far, m³.
    behind : float
        Modelled concrete behind the front, m³.
    share : float
        Of the area that is behind it, 0 to 1.
    grip : float
        Modelled concrete that a metre of front is worth, m³/m; 0 where no tape decides.
    elsewhere : float
        One standard deviation of what went elsewhere so far, m³.
    is_by_one : bool
        Whether the front hangs on one tape alone.
    names : tuple of str
        Of the loads since the front before.
    beyond : float
        How much may lie beyond what is behind it, m³: where panels or pours are told by name to be
        done, the load that finished them goes on in the next one, and nobody says with how much; no
        more than what is left holds, or that would be done too.
    is_by_name : bool
        Whether no tape tells of it, but the names of what is done.
    """

    load: Load
    ticketed: float
    behind: float
    share: float
    grip: float
    elsewhere: float = 0.0
    is_by_one: bool = False
    names: tuple[str, ...] = ()
    beyond: float = 0.0
    is_by_name: bool = False


@dataclass(frozen=True, slots=True)
class Placed:
    """
    The loads of a pour, and where they have brought it.

    Attributes
    ----------
    steps : tuple of Step
        One for each front that was read; of several loads with one front the last.
    ticketed : float
        Into the slab, by all loads, m³.
    elsewhere : float
        One standard deviation of what they took elsewhere, m³.
    filled : tuple of (str, int, float)
        Small pours that were filled: name, how many, m³.
    returned : float
        m³.
    unread : tuple of str
        Names of loads after the last front.
    """

    steps: tuple[Step, ...]
    ticketed: float
    elsewhere: float
    filled: tuple[tuple[str, int, float], ...]
    returned: float
    unread: tuple[str, ...] = ()


def place_loads(
    loads: Sequence[Load],
    model: PourModel,
    *,
    start: int | None,
    origin: FloatArray,
    named: Mapping[str, shapely.Geometry],
    small: Sequence[SmallPour] = (),
    parts: Sequence[str] = (),
    path: Path | None = None,
) -> Placed:
    """
    Place loads on a slab.

    Parameters
    ----------
    loads : sequence of Load
        In order.
    model : PourModel
    start : int or None
        The side where placing begins, from 1; needed for fronts by tape or by points.
    origin : (3,) array of float
        The survey's, m.
    named : mapping of str to shapely geometry
        Panels and pours by name, for what is `done`.
    small : sequence of SmallPour
    parts : sequence of str
        Names of parts of the slab.
    path : Path, optional
        Of the tickets, for errors.

    Raises
    ------
    InputError
        A front, a panel or a small pour can't be understood.
    """
    reached = _Reached(model, named, start=start, origin=origin, path=path)
    brought = _add_up((), small, parts, path)
    steps: list[Step] = []
    unread: tuple[str, ...] = ()
    for number, load in enumerate(loads, start=1):
        before, brought = brought.ticketed, _add_up(loads[:number], small, parts, path)
        step = reached.take(load, brought, max(brought.ticketed - before, 0.0))
        names = (*unread, load.name)
        if step is None:
            unread = names
            continue
        unread = ()
        if steps and abs(steps[-1].behind - step.behind) <= 1e-9 * model.volume:
            names = steps.pop().names + names
        steps.append(replace(step, names=names))
    return replace(brought, steps=tuple(steps), unread=unread)


def _add_up(
    loads: Sequence[Load], small: Sequence[SmallPour], parts: Sequence[str], path: Path | None
) -> Placed:
    """Add up what loads brought, wherever on the slab it lies."""
    poured = find_poured(loads, small, parts=parts, path=path)
    variance = sum(doubt_returned(load) ** 2 for load in loads if load.returned)
    return Placed(
        steps=(),
        ticketed=sum(load.stayed for load in loads) - poured.volume,
        elsewhere=math.sqrt(variance + poured.sigma**2),
        filled=poured.filled,
        returned=sum((load.returned.value for load in loads if load.returned), 0.0),
    )


def measure_grip(front: Front, model: PourModel) -> float:
    """Concrete that a metre of front is worth, m³/m: its length by the mean thickness."""
    return front.length * model.volume / model.zone.area


class _Reached:
    """How far a pour has come by what the rows of its loads say, one after the other."""

    def __init__(
        self,
        model: PourModel,
        named: Mapping[str, shapely.Geometry],
        *,
        start: int | None,
        origin: FloatArray,
        path: Path | None,
    ) -> None:
        self.model, self.named, self.origin, self.path = model, named, origin, path
        self.edge = None if start is None else Edge(model.slab, start)
        self.zones = {name.casefold(): zone for name, zone in named.items()}
        self.least = NOTHING * model.zone.area
        self.done: shapely.Geometry = shapely.Polygon()
        self.area = 0.0
        self.finished: set[str] = set()

    @cached_property
    def rooms(self) -> Rooms:
        """The smallest places that have a name."""
        return measure_rooms(self.named, self.model)

    def take(self, load: Load, brought: Placed, own: float) -> Step | None:
        """Step of the next load, which brought `own`, m³; None where its row tells no place."""
        self.done = shapely.union(self.done, self._find_done(load))
        was_done, self.area = self.area, shapely.intersection(self.done, self.model.zone).area
        front = self._find_front(load)
        # what was done before tells nothing of where this load went
        if front is None and self.area - was_done <= self.least:
            return None
        reached = self.done if front is None else shapely.union(self.done, front.zone)
        behind, share = self.model.measure(reached)
        self.finished.update(name.casefold() for name in load.done)
        beyond = 0.0
        if front is None and share < 1 and not self._is_within(load):
            beyond = min(own, self.rooms.find_largest_left(self.done, self.least))
        return Step(
            load=load,
            ticketed=brought.ticketed,
            behind=behind,
            share=share,
            grip=0.0 if front is None else measure_grip(front, self.model),
            elsewhere=brought.elsewhere,
            is_by_one=front is not None and front.is_by_one,
            beyond=beyond,
            is_by_name=front is None,
        )

    def _find_done(self, load: Load) -> shapely.Geometry:
        """What a load's row says is done."""
        for name in load.done:
            if name.casefold() not in self.zones:
                known = list_of([repr(each) for each in self.named]) or "none"
                raise InputError(
                    f"{load.name} says that {name!r} is done; the job's panels and pours are "
                    f"{known}",
                    remedy="Spell it as the job does, or write it there as [[placing.panel]] with "
                    "its edge",
                    path=self.path,
                    line=load.line,
                )
        return shapely.union_all([self.zones[name.casefold()] for name in load.done])

    def _find_front(self, load: Load) -> Front | None:
        if not load.fronts and not load.points:
            return None
        if self.edge is None:
            raise InputError(
                "the tickets tell of fronts, but the job does not say where placing began",
                remedy="Write [placing] with from = 3 in the job: the number of the side, or its "
                "name",
                path=self.path,
                line=load.line,
            )
        points = np.array(load.points) - self.origin[:2] if load.points else None
        try:
            front = find_front(self.edge, load.fronts, points)
        except GeometryError as error:
            raise InputError(
                f"the front of {load.name}: {str(error).rstrip('.')}",
                remedy="Tape it along the two sides that run from where placing began",
                path=self.path,
                line=load.line,
            ).measuring(*error.measures) from error
        self._refuse_outside(load, self.edge)
        return front

    def _refuse_outside(self, load: Load, edge: Edge) -> None:
        """Refuse a tape that ends before or beyond the part of the slab that is poured."""
        model = self.model
        if model.zone.area >= (1 - NOTHING) * model.slab.outline.area:
            return
        for side, tape in load.fronts:
            span, slack = edge.find_span(side, model.zone), find_slack(edge.lengths[side - 1])
            if span is None or span[0] - slack <= tape <= span[1] + slack:
                continue
            is_short = tape < span[0]
            raise InputError(
                f"the front of {load.name} lies {{}} along side {side} from where placing "
                f"began, and what is poured {'begins' if is_short else 'ends'} there at {{}}",
                remedy="Read the tape again; "
                + (
                    "it is held at the slab's corner: to one that was held at the joint, add what "
                    "lies between"
                    if is_short
                    else 'where it runs from the far end, say so by from = "far" in '
                    "[[tickets.front]] of the job"
                ),
                path=self.path,
                line=load.line,
            ).measuring(Measure(tape, Kind.TAPE), Measure(span[0 if is_short else 1], Kind.TAPE))

    def _is_within(self, load: Load) -> bool:
        """Whether a load says that it went into what is done, and nowhere else of the slab."""
        told = {name.casefold() for name in load.went_to} & {*self.zones, "slab"}
        return bool(told) and told <= self.finished
