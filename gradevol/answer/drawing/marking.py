"""Marking: which places have a mark on a map, by how much of the ground an inch of it shows."""

from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.sampling import sample_nodes
from gradevol.answer.drawing.shots import Shots
from gradevol.answer.drawing.slab import DrawnSlab
from gradevol.answer.grade import Grade, find_grade
from gradevol.answer.result import Result
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.units import METRES, Units
from gradevol.ground.words import count_of
from gradevol.site.thickening import drawn_depth

#: More shots than this on a slab, or shots nearer to one another on paper, in, are thinned.
MOST, _APART = 300, 0.32
#: Rechecks up to this many are all marked among them.
_RECHECKS = 30
#: Side of the squares of which each keeps its worst, and of the lattice of a scan, in.
_SQUARE = 0.46
#: Shares of the slab's longer side within which the sides of such squares lie, on any paper.
_FINEST, _COARSEST = 0.045, 0.5
_FEET = (0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 100, 200, 500, 1000)
_METRES = (0.1, 0.2, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 50, 100, 200, 500)


@dataclass(frozen=True, slots=True)
class Marking:
    """
    One way to mark a map.

    Attributes
    ----------
    least_scale : float
        Inches on paper to a metre on the ground from which on its marks stand apart.
    names : tuple of str
        Ids of the shots; empty words where there are none.
    places : (n, 2) array of float
        About the survey's origin, m.
    departure : (n,) array of float
        Base less design base, m: positive where it is high.
    marks : tuple of str
        What is painted there: ``C.10``.
    is_suspect, is_later : (n,) array of bool
        Whether the shot there is suspect; whether it was taken again after rework.
    said : str
        What was marked, in a sentence; empty where it is every shot on the slab.
    is_lattice : bool
        Whether the places are no shots but those of a lattice.
    """

    least_scale: float
    names: tuple[str, ...]
    places: FloatArray
    departure: FloatArray
    marks: tuple[str, ...]
    is_suspect: BoolArray
    is_later: BoolArray
    said: str = ""
    is_lattice: bool = False


@dataclass(frozen=True, slots=True)
class Marked:
    """
    What became of the marks on a map.

    Attributes
    ----------
    left_out : int
        Marks that found no room.
    unnamed : int
        Marks whose shot's number found none.
    has_others : bool
        Whether shots without a mark are drawn.
    unnamed_next : int
        Next shots whose name found no room.
    unnumbered : int
        Rows of the fix list whose number found none.
    """

    left_out: int = 0
    unnamed: int = 0
    has_others: bool = False
    unnamed_next: int = 0
    unnumbered: int = 0


def choose_marking(markings: tuple[Marking, ...], scale: float) -> Marking:
    """Choose the first marking that can be read at so many inches to a metre, or the last one."""
    return next((one for one in markings if scale >= one.least_scale), markings[-1])


def say_marked(marking: Marking, marked: Marked) -> str:
    """Say which places are marked; where marks or numbers are left out, how many and where to."""
    count, left_out = len(marking.places), marked.left_out
    if marking.said:
        said = marking.said + (f" {left_out} found no room." if left_out else "")
    elif left_out:
        kept = f"{count - left_out} of {count} shots on the slab are marked"
        said = f"{kept}: no room for the others."
    else:
        said = "Every shot on the slab is marked."
    if marked.unnamed_next:
        said += f" {count_of(marked.unnamed_next, 'next shot')} found no room for the name."
    if marked.unnumbered:
        said += (
            f" {count_of(marked.unnumbered, 'row')} of the fix list found no room for its number."
        )
    if marked.unnamed:
        said += f" {count_of(marked.unnamed, 'number')} found no room."
    if marking.is_lattice:
        return said
    others = "+ is a shot without a mark: " if marked.has_others and marking.said else "All: "
    if left_out or marked.unnamed or marking.said:
        said += f" {others}see report.html."
    if marked.has_others and not marking.said:
        said += " + is a shot that lies off the slab."
    return said


def plan_markings(result: Result, slab: DrawnSlab, shots: Shots) -> tuple[Marking, ...]:
    """
    Plan the ways to mark a map, that with the most marks first.

    Returns
    -------
    tuple of Marking
        Of each shot on the slab, where they are few; of the worst in each square, of the suspect
        ones and of rechecks; of a scan, on lattices of its surface.
    """
    steps = _list_steps(slab, result.units)
    if not shots.names:
        return tuple(_mark_lattice(step, result, slab) for step in steps)
    held = np.flatnonzero(shots.is_on_slab)
    grade = find_grade(result)
    _, turn = _longest_side(slab)
    plan, corner = shots.places[held] @ turn, (slab.edge @ turn).min(axis=0)
    worst = np.lexsort((plan[:, 0], plan[:, 1], -np.round(np.abs(shots.departure[held]), 6)))
    held, plan = held[worst], plan[worst] - corner
    markings = [_mark_worst(step, held, plan, shots, grade) for step in steps]
    if len(held) <= MOST:
        spacing = float(np.sqrt(slab.area / max(1, len(held))))
        markings.insert(0, _mark_shots(np.sort(held), _APART / spacing, shots, grade))
    return tuple(markings)


def _list_steps(slab: DrawnSlab, units: Units) -> list[float]:
    """Lengths that a crew can step off and some map may want, m."""
    longer = float(slab.size.max())
    steps = METRES[units.length] * np.array(_METRES if units.is_metric else _FEET)
    first = max(0, int(np.searchsorted(steps, _FINEST * longer)) - 1)
    last = max(first + 1, int(np.searchsorted(steps, _COARSEST * longer)))
    return [float(step) for step in steps[first:last]]


def _mark_shots(
    kept: IntArray, least_scale: float, shots: Shots, grade: Grade, *, said: str = ""
) -> Marking:
    departure, is_suspect = shots.departure[kept], np.isin(kept, shots.suspects)
    return Marking(
        least_scale=least_scale,
        names=tuple(shots.names[index] for index in kept),
        places=shots.places[kept],
        departure=departure,
        marks=tuple(
            grade.say_mark(off, is_suspect=doubted)
            for off, doubted in zip(departure.tolist(), is_suspect.tolist(), strict=True)
        ),
        is_suspect=is_suspect,
        is_later=shots.is_later[kept],
        said=said,
    )


def _mark_worst(
    side: float, held: IntArray, plan: FloatArray, shots: Shots, grade: Grade
) -> Marking:
    """
    Mark the shots that are farthest off in their square, those suspect, those taken again.

    Shots on the slab are held worst first, with their places along and square to its longest side.
    """
    column, row = np.floor(plan / side + 1e-9).astype(np.intp).T
    first = np.full((row.max(initial=0) + 1, column.max(initial=0) + 1), len(held))
    np.minimum.at(first, (row, column), np.arange(len(held)))
    suspects = held[np.isin(held, shots.suspects)]
    kept, also = np.union1d(held[first[first < len(held)]], suspects), []
    if len(suspects):
        also.append(", the suspect ones")
    later = held[shots.is_later[held]]
    if 0 < len(later) <= _RECHECKS:
        kept = np.union1d(kept, later)
        also.append(", those taken again")
    said = (
        f"{len(held):,} shots: marked are the worst in each square of "
        f"{_say_step(side, grade.units)}{''.join(also)}."
    )
    return _mark_shots(kept, _SQUARE / side, shots, grade, said=said)


def _mark_lattice(step: float, result: Result, slab: DrawnSlab) -> Marking:
    """Mark the surface on a lattice along and square to the longest side."""
    longest, turn = _longest_side(slab)
    field, units = result.field, result.units
    # nobody knows of ground that was not seen whether it is on grade
    rows = field.rows[field.is_surveyed]
    image = sample_nodes(field.places @ turn, field.thickness_at, rows, cell=step)
    row, column = np.nonzero(np.isfinite(image.thickness))
    turned = np.array([image.west, image.south]) + (np.column_stack([column, row]) + 0.5) * step
    places = turned @ turn.T
    drawn = drawn_depth(result.slab, places, of=["yes"])  # the scan shows its bottom
    departure = slab.design + drawn - image.thickness[row, column]
    nothing, grade = np.zeros(len(places), bool), find_grade(result)
    along = "north and east" if longest is None else f"along and square to side {longest}"
    return Marking(
        least_scale=_SQUARE / step,
        names=("",) * len(places),
        places=places,
        departure=departure,
        marks=tuple(map(grade.say_mark, departure.tolist())),
        is_suspect=nothing,
        is_later=nothing,
        said=f"No single shots: the surface measured is marked every {_say_step(step, units)} "
        f"{along}, from {units.say_tape(step / 2)} on.",
        is_lattice=True,
    )


def _longest_side(slab: DrawnSlab) -> tuple[int | None, FloatArray]:
    """
    Number of the longest straight side, and the turn that lays it west to east, slab above.

    None where all are curved, and the turn that leaves everything as it lies.
    """
    straight = [number for number, path in enumerate(slab.paths, start=1) if len(path) == 2]
    if not straight:
        return None, np.eye(2)
    sides = np.array([slab.paths[number - 1] for number in straight])
    along = sides[:, 1] - sides[:, 0]
    longest = int(np.argmax(np.round(np.hypot(*along.T), 6)))
    east, north = along[longest] / np.hypot(*along[longest])
    turn = np.array([(east, -north), (north, east)])
    middle = slab.edge.mean(axis=0) @ turn
    is_above = middle[1] >= (sides[longest, 0] @ turn)[1]
    return straight[longest], turn if is_above else -turn


def _say_step(metres: float, units: Units) -> str:
    return f"{units.to_length(metres):g} {'m' if units.is_metric else 'ft'}"
