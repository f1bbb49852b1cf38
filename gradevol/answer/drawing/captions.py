"""Captions: what pictures say in words, said once for all of them."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from gradevol.answer.drawing.lattice import Lattice
from gradevol.answer.drawing.relief import Relief
from gradevol.answer.drawing.shots import Shots
from gradevol.answer.grade import find_grade
from gradevol.answer.result import Result
from gradevol.answer.result_notes import find_holes
from gradevol.answer.said.unseen import say_removed
from gradevol.ground.units import METRES, Units
from gradevol.ground.words import count_of, with_minus
from gradevol.measures.drainage.notes import say_fall

#: Items cast in that are named.
_MOST_NAMED = 2


@dataclass(frozen=True, slots=True)
class KeyEntry:
    """What may be drawn on a map, and what it means, in full and in short."""

    mark: str
    words: str
    brief: str = ""

    @property
    def short(self) -> str:
        """The brief words, or those in full where there are no others."""
        return self.brief or self.words


@dataclass(frozen=True, slots=True)
class Captions:
    """
    Words of the pictures.

    Attributes
    ----------
    facts : str
        What the plan shows and what it rests on.
    view : str
        What the view of the base shows.
    least : str
        The least thickness, at its place.
    design_limit, least_limit : str
        The design and the least thickness on the scale of colours, without a unit.
    scale, moves : str
        Headings of that scale and of the one of cut and fill, with their units.
    bar : str
        Over the bar of lengths.
    sense : tuple of str
        What the letters of marks mean.
    key : tuple of KeyEntry
        In the order of a key. Pictures know how each is drawn.
    """

    facts: str
    view: str
    least: str
    design_limit: str
    least_limit: str
    scale: str
    moves: str
    bar: str
    sense: tuple[str, ...]
    key: tuple[KeyEntry, ...]


def write_captions(result: Result, relief: Relief, shots: Shots, lattice: Lattice) -> Captions:
    """Write the words of the pictures."""
    units, moments, grade = result.units, result.thickness, find_grade(result)
    limits = (result.slab.thickness, result.slab.least_thickness)
    design, least = map(units.say_bare_thickness, limits)
    thinnest = with_minus(units.say_thickness(moments.min, down=True))
    what = "shots" if result.survey.ids else "points of a cloud"
    return Captions(
        facts="Thickness of concrete over the base as surveyed. "
        f"{result.survey.count:,} {what} "
        f"cover {np.floor(1000 * result.coverage + 1e-6) / 10:g} % of the slab. "
        f"Least {thinnest}, mean {with_minus(units.say_thickness(moments.mean))}.",
        view="Base as surveyed, coloured by the thickness of concrete over it; the design top in "
        "outline above.",
        least=f"least {thinnest}",
        design_limit=f"{design} design",
        least_limit=f"{least} least",
        scale=f"Thickness, {units.fine_unit}",
        moves=f"Cut and fill to the design base, {grade.unit}",
        bar=f"{'m' if units.is_metric else 'ft'} on the ground",
        sense=grade.say_sense(),
        key=tuple(_list_key(result, relief, shots, lattice)),
    )


def _list_key(result: Result, relief: Relief, shots: Shots, lattice: Lattice) -> Iterator[KeyEntry]:
    yield KeyEntry("design", "design thickness")
    yield from _list_spots(result)
    taped = [fix.where for fix in result.work.fixes if fix.call != "leave"]
    if taped:
        is_square = not any(where.corners for where in taped)
        yield KeyEntry("work", "row of the fix list")
        yield KeyEntry(
            "tape", "tape square from that side" if is_square else "tape from that side or corner"
        )
    if result.thin.listed or taped:
        yield KeyEntry("worst", "worst place of it")
    if result.flush_sides:
        yield KeyEntry("flush", "against existing concrete")
    yield from _list_shots(result, shots)
    if lattice.lines:
        yield KeyEntry("rows", "row or column of the rod sheet")
    yield from _list_water(result)
    if not result.field.is_surveyed.all():
        outermost = f"outermost {'shots' if shots.names else 'points'}"
        if find_holes(result) is not None:
            outermost += ", or a hole in the scan"
        yield KeyEntry(
            "outermost",
            f"{outermost}: beyond, the base is assumed",
            f"{outermost}: beyond, assumed",
        )
    if result.slab.thickenings:
        yield KeyEntry("thickening", "thickening")
    names = list(dict.fromkeys(void.name for void in result.slab.voids if void.line is not None))
    if names:
        others = " and others" if len(names) > _MOST_NAMED else ""
        yield KeyEntry("line", f"cast in: {', '.join(names[:_MOST_NAMED])}{others}")
    if any(cover.short > 0 for cover in result.cover):
        yield KeyEntry("cover", "too little cover")
    if relief.square is not None:
        square = _say_square(relief.square, result.units)
        yield KeyEntry("means", f"drawn from means over {square} squares")


def _list_spots(result: Result) -> Iterator[KeyEntry]:
    say, slab, thin = result.units.say_thickness, result.slab, result.thin
    if thin.listed:
        words = f"thinner than {say(slab.least_thickness)}"
        largest = f" (the {len(thin.listed)} largest)" if thin.unlisted else ""
        yield KeyEntry("thin", words + largest, words)
    if result.high and result.high.listed and slab.base_high is not None:
        yield KeyEntry("high", f"base more than {say(slab.base_high)} high", "base too high")
    if result.low and result.low.listed and slab.base_low is not None:
        yield KeyEntry("low", f"base more than {say(slab.base_low)} low", "base too low")


def _list_shots(result: Result, shots: Shots) -> Iterator[KeyEntry]:
    if shots.names:
        yield KeyEntry("shot", "shot")
    if len(shots.suspects):
        is_mark = all(one.is_mark for one in result.suspects)
        what = "leave out the bench mark" if is_mark else "reshoot first"
        yield KeyEntry("suspect", f"suspect shot: {what}")
    if shots.next:
        yield KeyEntry("next", "next shot: where one more tells most", "next shot: tells most")
    if shots.is_later.any():
        again = "shot taken again after"
        yield KeyEntry("later", f"{again} the base was reworked", f"{again} rework")
    if len(shots.retired):
        not_counted = "does not count"
        yield KeyEntry(
            "retired",
            f"earlier shot that it replaces: {not_counted}",
            f"replaced by it: {not_counted}",
        )
    if len(shots.removed):
        yield KeyEntry("removed", f"{say_removed(result)} taken away here: not base")


def _list_water(result: Result) -> Iterator[KeyEntry]:
    drainage = result.drainage
    if drainage is None:
        return
    if drainage.arrows:
        falls = "way the design top falls"
        yield KeyEntry("arrow", f"{falls} and water runs", falls)
    if drainage.flat and drainage.runoff.least_fall is not None:
        fall = say_fall(drainage.runoff.least_fall)
        yield KeyEntry("flat", f"flat: the top falls less than {fall}")
    if drainage.ponds:
        yield KeyEntry("pond", "water stands on the design top")


def key_of_ticks(step: float, units: Units) -> KeyEntry:
    """Return the entry of ticks along the sides, so far apart, m."""
    said = f"{units.to_length(step):g} {'m' if units.is_metric else 'ft'}"
    return KeyEntry(
        "ticks",
        f"ticks: {said} apart, from each side's first corner",
        f"ticks {said} apart from first corners",
    )


def say_unnamed(count: int, what: str = "number") -> str:
    """Say how many shots on a map have no number, or name, beside them; empty where all have."""
    return f"; {count_of(count, what)} left out: see report.html" if count else ""


def say_heights(exaggeration: int) -> str:
    """Say how many times too large heights are drawn."""
    if exaggeration == 1:
        return "Heights as they are."
    return f"Heights drawn {exaggeration} times too large."


def _say_square(metres: float, units: Units) -> str:
    if units.is_metric:
        return f"{metres:.2g} m"
    inches = metres / METRES["in"]
    return f"{inches:.0f} in" if inches < 36 else f"{inches / 12:.0f} ft"
