"""Marks: what each shot says of the base, as it is painted beside it."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.answer.setting_out import Stakes, find_stakes
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.units import METRES, Units
from gradevol.out.pictures.sampling import sample
from gradevol.out.pictures.shots import find_later
from gradevol.site.thickening import extra_depth

#: Where the job states no tolerance, a base this near to the design is on grade, m: a hundredth of
#: a foot, or 3 mm. Common practice, no source.
ON_GRADE = {False: 0.01 * METRES["ft"], True: 0.003}
#: More shots than this on a slab, or shots nearer to one another on paper, in, are thinned.
MOST, _APART = 150, 0.32
#: Rechecks up to this many are all marked among them.
_RECHECKS = 30
#: Side of the squares of which each keeps its worst, and of the lattice of a scan, in.
_SQUARE, _LATTICE = 0.46, 0.46
_FEET = (0.5, 1, 2, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 100, 200, 500, 1000)
_METRES = (0.1, 0.2, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 50, 100, 200, 500)
#: Rounding is not off grade, m.
_ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class Marks:
    """
    What is painted on the base.

    Attributes
    ----------
    names : tuple of str
        Ids of the shots; empty words where there are none.
    places : (n, 2) array of float
        About the survey's origin, m.
    departure : (n,) array of float
        Base less design base, m: positive where it is high.
    is_suspect : (n,) array of bool
    shots : (n,) array of int
        Which shots of the survey; -1 of a lattice.
    said : str
        What was marked, in a sentence; empty where it is every shot on the slab.
    is_lattice : bool
        Whether the places are no shots but those of a lattice.
    """

    names: tuple[str, ...]
    places: FloatArray
    departure: FloatArray
    is_suspect: BoolArray
    shots: IntArray
    said: str
    is_lattice: bool = False


@dataclass(frozen=True, slots=True)
class Drawn:
    """
    What became of the marks on the map.

    Attributes
    ----------
    left_out : int
        Marks that found no room.
    unnamed : int
        Marks whose shot's number found none.
    has_others : bool
        Whether shots without a mark are drawn.
    """

    left_out: int = 0
    unnamed: int = 0
    has_others: bool = False


def say_marked(marks: Marks, drawn: Drawn) -> str:
    """Say which places are marked; where marks or numbers are left out, how many and where to."""
    count, left_out = len(marks.places), drawn.left_out
    if marks.said:
        said = marks.said + (f" {left_out} found no room." if left_out else "")
    elif left_out:
        kept = f"{count - left_out} of {count} shots on the slab are marked"
        said = f"{kept}: no room for the others."
    else:
        said = "Every shot on the slab is marked."
    if drawn.unnamed:
        said += f" {drawn.unnamed} number{'s' if drawn.unnamed > 1 else ''} found no room."
    if marks.is_lattice:
        return said
    others = "+ is a shot without a mark: " if drawn.has_others and marks.said else "All: "
    if left_out or drawn.unnamed or marks.said:
        said += f" {others}see report.html."
    if drawn.has_others and not marks.said:
        said += " + is a shot that lies off the slab."
    return said


def tolerances(result: Result) -> tuple[float, float]:
    """How far above and below the design the base is on grade, m."""
    usual = ON_GRADE[result.units.is_metric]
    high, low = result.slab.base_high, result.slab.base_low
    return (usual if high is None else high), (usual if low is None else low)


def say_mark(departure: float, result: Result, *, is_suspect: bool = False) -> str:
    """
    Say a mark: ``C.10`` (cut), ``F.08`` (fill), ``G`` (on grade); with ``?`` at a suspect shot.

    Parameters
    ----------
    departure : float
        Base less design base, m.
    result : Result
        Its tolerances and units: hundredths of a foot, or millimetres.
    is_suspect : bool
    """
    high, low = tolerances(result)
    doubt = "?" if is_suspect else ""
    is_stated = (result.slab.base_high if departure > 0 else result.slab.base_low) is not None
    # a usual tolerance holds for what is said: no F.01 where G is up to .01
    off = departure if is_stated else _round_as_said(departure, result.units)
    if -low - _ROUNDING <= off <= high + _ROUNDING:
        return f"G{doubt}"
    return f"{'C' if departure > 0 else 'F'}{say_move(departure, result.units)}{doubt}"


def _round_as_said(metres: float, units: Units) -> float:
    unit = 1e-3 if units.is_metric else 0.01 * METRES[units.length]
    return round(metres / unit) * unit


def say_move(metres: float, units: Units) -> str:
    """How much to move the base, as marks have it: ``.10`` ft or ``25`` mm, no sign, no unit."""
    if units.is_metric:
        return f"{abs(metres) * 1000:.0f}"
    return f"{abs(units.to_length(metres)):.2f}".removeprefix("0")


def find_marks(result: Result, scale: float) -> Marks:
    """
    Find what is marked on the map.

    Parameters
    ----------
    result : Result
    scale : float
        Inches on paper to a metre on the ground.

    Returns
    -------
    Marks
        Of each shot on the slab; where they are many, of the worst in each square and of the
        suspect ones; of a scan, on a lattice of its surface.
    """
    if not result.survey.ids:
        return _mark_lattice(result, scale)
    stakes = find_stakes(result)
    count = len(stakes.places)
    spacing = float(np.sqrt(result.slab.area / max(1, count))) * scale
    if count <= MOST and spacing >= _APART:
        return _keep(stakes, np.arange(count), "", result)
    side = _round_up(_SQUARE / scale, result.units)
    kept = _worst_of_squares(stakes, side, result)
    also = ["the suspect ones"] if stakes.is_suspect.any() else []
    later = np.flatnonzero(np.isin(_held(result), find_later(result)))
    if 0 < len(later) <= _RECHECKS:
        kept = np.union1d(kept, later)
        also.append("those taken again")
    said = (
        f"{count:,} shots: marked are the worst in each square of {_say_step(side, result.units)}"
        f"{''.join(f', {word}' for word in also)}."
    )
    return _keep(stakes, kept, said, result)


def _keep(stakes: Stakes, kept: IntArray, said: str, result: Result) -> Marks:
    # the stakes are the shots on the slab, in their order
    held = np.flatnonzero(
        shapely.intersects_xy(result.slab.outline, *result.survey.points[:, :2].T)
    )
    return Marks(
        shots=held[kept],
        names=tuple(stakes.names[number] for number in kept),
        places=stakes.places[kept],
        departure=(stakes.base - stakes.design)[kept],
        is_suspect=stakes.is_suspect[kept],
        said=said,
    )


def _held(result: Result) -> IntArray:
    """Shots on the slab in their order, which is that of the stakes."""
    plan = result.survey.points[:, :2]
    return np.flatnonzero(shapely.intersects_xy(result.slab.outline, *plan.T))


def _round_up(metres: float, units: Units) -> float:
    """Next length that a crew can step off, m."""
    unit = METRES[units.length]
    steps = _METRES if units.is_metric else _FEET
    return unit * next((step for step in steps if step * unit >= metres), steps[-1])


def _say_step(metres: float, units: Units) -> str:
    return f"{units.to_length(metres):g} {'m' if units.is_metric else 'ft'}"


def _longest_side(result: Result) -> tuple[int, FloatArray]:
    """Number of the longest side, from 0, and the turn that lays it west to east, slab above."""
    sides = result.slab.sides
    along = sides[:, 1] - sides[:, 0]
    longest = int(np.argmax(np.round(np.hypot(*along.T), 6)))
    east, north = along[longest] / np.hypot(*along[longest])
    turn = np.array([(east, -north), (north, east)])
    middle = result.slab.edge.mean(axis=0) @ turn
    return longest, turn if middle[1] >= (sides[longest, 0] @ turn)[1] else -turn


def _worst_of_squares(stakes: Stakes, side: float, result: Result) -> IntArray:
    """Shots that are farthest off in their square; all that are suspect."""
    _, turn = _longest_side(result)
    plan = stakes.places @ turn
    low = (result.slab.edge @ turn).min(axis=0)
    square = np.floor((plan - low) / side + 1e-9).astype(np.intp)
    off = np.abs(stakes.base - stakes.design)
    order = np.lexsort((plan[:, 0], plan[:, 1], -np.round(off, 6)))
    _, first = np.unique(square[order], axis=0, return_index=True)
    return np.union1d(order[first], np.flatnonzero(stakes.is_suspect))


def _mark_lattice(result: Result, scale: float) -> Marks:
    """Marks of the surface on a lattice along and square to the longest side."""
    longest, turn = _longest_side(result)
    step = _round_up(_LATTICE / scale, result.units)
    field, slab = result.field, result.slab
    image = sample(field.corners @ turn, field.thickness, cell=step)
    row, column = np.nonzero(np.isfinite(image.thickness))
    turned = np.array([image.west, image.south]) + (np.column_stack([column, row]) + 0.5) * step
    places = turned @ turn.T
    drawn = np.zeros(len(places))
    for part in slab.thickenings:
        if part.surveyed == "yes":  # the scan shows its bottom
            drawn = np.maximum(drawn, extra_depth(part, slab, places))
    units = result.units
    half = units.say_tape(step / 2)
    return Marks(
        names=("",) * len(places),
        places=places,
        departure=slab.thickness + drawn - image.thickness[row, column],
        is_suspect=np.zeros(len(places), bool),
        shots=np.full(len(places), -1),
        said=f"No single shots: the surface measured is marked every {_say_step(step, units)} "
        f"along and square to side {longest + 1}, from {half} on.",
        is_lattice=True,
    )
