"""Rings with rounded corners and arcs, as a job lists them."""

from dataclasses import dataclass

import numpy as np

from gradevol.geometry.curves import (
    Ring,
    bow,
    bulge_through,
    count_chords,
    measure_arc,
    measure_rounding,
)
from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.words import count_of
from gradevol.job import kinds
from gradevol.job.declarations import Key, Kind, TableKeys, declare_table
from gradevol.job.table import Table, Value

_MOST_CHORDS = 10_000


@dataclass(frozen=True, slots=True)
class _Item:
    """One entry of a list: a corner, with its rounding, or a place on an arc."""

    what: str
    at: FloatArray
    is_corner: bool
    radius: float = 0.0


def declare_bends(point: Kind) -> TableKeys:
    """Declare what stands in a ring for a corner with a rounding, or for a place on an arc."""
    return declare_table(
        "a curve",
        Key("corner", point).means("""
            `[e, n]`: where the two sides would meet; with `radius`."""),
        Key("radius", kinds.LENGTH, beside=("corner",)).means("""
            Of the arc that touches both sides. It is a side of its own."""),
        Key("curve", point).means("""
            `[e, n]`: a place on the arc from the corner before it to the corner after it. The arc
            is one side."""),
        one_of=("corner", "curve"),
    )


def read_bent_ring(value: Value, bends: TableKeys, point: Kind) -> Ring:
    """
    Ring of which some entries are tables.

    Parameters
    ----------
    value : Value
        A list of ``[e, n]``, ``{ corner, radius }`` and ``{ curve }``.
    bends : TableKeys
        From `declare_bends`.
    point : Kind
        How ``[e, n]`` is read.

    Raises
    ------
    InputError
        If an entry can't be used, or makes no arc with its neighbours.
    """
    items = [_read_item(value, number, bends, point) for number in range(1, len(value.given) + 1)]
    if len(items) > 1 and items[0].is_corner and _are_one_place(items[0], items[-1]):
        items.pop()  # the first corner once more, to close it
    _refuse_misplaced(value, items)
    cuts = [_round(value, items, at) for at in range(len(items))]
    sides: list[FloatArray] = []
    for at, item in enumerate(items):
        after = (at + 1) % len(items)
        if not item.is_corner:
            continue
        if items[after].is_corner:
            sides += _straight_side(value, (item, items[after]), cuts[at][2], cuts[after][0])
        else:
            sides.append(_arc(value, item, items[after], items[(at + 2) % len(items)]))
        start, bulge, end = cuts[after]
        if items[after].radius:
            sides.append(bow(start, end, bulge))
    ring = Ring.of_sides(_close_up(sides))
    ring.places.setflags(write=False)
    return ring


def _read_item(value: Value, number: int, bends: TableKeys, point: Kind) -> _Item:
    given, what = value.given[number - 1], f"entry {number} of {value.name}"
    if isinstance(given, dict):
        table = Table(value.file, bends, f"{value.name} {number}", given)
        if table.choose(what) == "curve":
            return _Item(what, table.read("curve"), is_corner=False)
        return _Item(what, table.read("corner"), True, table.require("radius"))
    entry = value.part(what, given)
    if not isinstance(given, list) or len(given) != 2:
        raise entry.wrong(
            "[easting, northing], { corner, radius } or { curve }",
            "Write each corner as [easting, northing]",
        )
    return _Item(what, point.read(entry), is_corner=True)


def _are_one_place(one: _Item, other: _Item) -> bool:
    is_plain = other.is_corner and not other.radius
    return is_plain and float(np.hypot(*(one.at - other.at))) <= ONE_PLACE


def _refuse_misplaced(value: Value, items: list[_Item]) -> None:
    """Refuse entries that stand where they mean nothing."""
    if not items[0].is_corner:
        raise value.file.error(
            f"{value.name} begins with a curve, and an arc runs from the corner before it",
            "Begin with a corner: side 1 begins there",
        )
    for at, item in enumerate(items):
        after = items[(at + 1) % len(items)]
        if not item.is_corner and not after.is_corner:
            raise value.file.error(
                f"{item.what} and the one after it are both curves, with no corner between them",
                "Give one place for each arc, and a corner where one arc ends and the next begins",
            )
        if not item.is_corner and (items[at - 1].radius or after.radius):
            raise value.file.error(
                f"{item.what} is a curve beside a rounded corner",
                "Round corners between straight sides only; beside an arc give the corners where "
                "each arc begins and ends",
            )
        if float(np.hypot(*(item.at - after.at))) <= ONE_PLACE and item is not after:
            raise value.file.error(
                f"{item.what} and the one after it are at one place", "Give it once"
            )
    corners = sum(item.is_corner for item in items)
    if corners < 2 or len(items) < 3:
        raise value.file.error(
            f"{value.name} has {count_of(corners, 'corner')} and "
            f"{count_of(len(items) - corners, 'curve')}",
            "Give three corners, or two and the curves between them; a circle is two corners "
            "opposite each other and two curves",
        )


def _round(value: Value, items: list[_Item], at: int) -> tuple[FloatArray, float, FloatArray]:
    """Where the rounding of a corner begins, its bulge, and where it ends; the corner, without."""
    item, before, after = items[at], items[at - 1], items[(at + 1) % len(items)]
    if not item.radius:
        return item.at, 0.0, item.at
    if _off_line(item.at, before.at, after.at) <= ONE_PLACE:
        raise value.file.error(
            f"{item.what} is rounded, but it lies on one line with the corners beside it",
            "Leave its radius out, or check the three corners",
        )
    along, bulge = measure_rounding(before.at, item.at, after.at, item.radius)
    ways = [(end.at - item.at) / np.hypot(*(end.at - item.at)) for end in (before, after)]
    return item.at + along * ways[0], bulge, item.at + along * ways[1]


def _straight_side(
    value: Value, corners: tuple[_Item, _Item], start: FloatArray, end: FloatArray
) -> list[FloatArray]:
    """Side between two corners, from where one's rounding ends; none where they use it up."""
    first, last = corners
    whole = last.at - first.at
    length = float(np.hypot(*whole))
    left = float((end - start) @ whole) / length
    if left < -ONE_PLACE:
        raise _refuse_radius(value, corners, length, length - left)
    if left <= ONE_PLACE:
        return []
    return [np.stack([start, end])]


def _refuse_radius(
    value: Value, corners: tuple[_Item, _Item], length: float, taken: float
) -> InputError:
    say = value.file.units.say_tape
    rounded = [item for item in corners if item.radius]
    if len(rounded) == 1:
        what = f"the radius of {rounded[0].what} ({say(rounded[0].radius)}) is"
    else:
        what = f"the radii of {rounded[0].what} and the one after it are"
    return value.file.error(
        f"{what} too large: rounding takes {say(taken)} of a side that is {say(length)} long",
        "Give a smaller radius, or check the corners",
    )


def _arc(value: Value, start: _Item, place: _Item, end: _Item) -> FloatArray:
    if _off_line(place.at, start.at, end.at) <= ONE_PLACE:
        raise value.file.error(
            f"{place.what} lies on one line with the corners before and after it, and no arc "
            "passes through the three",
            "Leave it out where the side is straight, or check the three places",
        )
    bulge = bulge_through(start.at, place.at, end.at)
    radius, turn = measure_arc(start.at, end.at, bulge)
    if count_chords(radius, abs(turn)) > _MOST_CHORDS:
        said = value.file.units.say_tape(radius)
        raise value.file.error(
            f"the arc through {place.what} would have a radius of {said}",
            "Check the three places: the one in the middle lies between the corners",
        )
    return bow(start.at, end.at, bulge)


def _off_line(place: FloatArray, start: FloatArray, end: FloatArray) -> float:
    """Distance of a place off the line through two others; 0 where those are one."""
    way = end - start
    length = float(np.hypot(*way))
    off = place - start
    return abs(float(way[0] * off[1] - way[1] * off[0])) / length if length else 0.0


def _close_up(sides: list[FloatArray]) -> list[FloatArray]:
    """Sides, each ending where the next begins: roundings that meet miss by less than 1 mm."""
    made = []
    for at, side in enumerate(sides):
        after = sides[(at + 1) % len(sides)]
        made.append(np.vstack([side[:-1], after[:1]]))
    return made
