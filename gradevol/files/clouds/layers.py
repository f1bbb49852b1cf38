"""How the points of a cloud lie above one another: counts by square and by layer.

They can be put together from any pieces in any order, and show the quantiles of each square.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.files.clouds.squares import Rectangle
from gradevol.files.clouds.stored import Stored
from gradevol.ground.arrays import AnyArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure

#: Side of a square and height of a layer, m.
CELL = 0.10
LAYER = 0.005
#: A key is column, row and layer of 21 bits each, counted from an anchor.
BITS = 21
HALF = 1 << (BITS - 1)
MASK = (1 << BITS) - 1
#: How many layers of squares a table of all has for each point, at most; else points are sorted.
_TABLE_PER_POINT = 8


@dataclass(frozen=True, slots=True)
class Layers:
    """
    How many points lie in each layer of each square, layers of 5 mm.

    Attributes
    ----------
    anchor : (3,) array of int
        Column, row and layer of the square that keys are counted from.
    key : (k,) array of int
        Column, row and layer, packed; sorted.
    count : (k,) array of int
        Points in each.
    """

    anchor: IntArray
    key: IntArray
    count: IntArray


def find_anchor(stored: Stored) -> IntArray:
    """Column, row and layer of the first point, to count from."""
    place = np.floor(stored.keep(slice(1)).points()[0] / [CELL, CELL, LAYER]).astype(np.int64)
    return place - place % [1 << 16, 1 << 16, 1]  # even after a doubling


def count_layers(stored: Stored, anchor: IntArray) -> Layers:
    """
    Count points by square and layer.

    Parameters
    ----------
    stored : Stored
    anchor : (3,) array of int
        Of `find_anchor`.

    Raises
    ------
    GeometryError
        If the points stretch too far to be numbered.
    """
    squares = Rectangle.holding(stored, CELL)
    bottom, top = map(int, np.floor(stored.ends()[:, 2] / LAYER))
    first = np.array([squares.west, squares.south, bottom]) - anchor
    high = top - bottom + 1
    past = first + np.array([squares.wide, squares.tall, high])
    if first.min() <= -HALF or past.max() > HALF:
        raise too_wide(np.ptp(stored.ends(), axis=0)[:2])
    place = squares.place(stored, CELL)
    place *= high
    place += stored.work_out(2, lambda level: np.floor(level / LAYER).astype(np.int64) - bottom)
    if squares.size * high <= _TABLE_PER_POINT * len(place):
        count = np.bincount(place)
        place = np.flatnonzero(count > 0)
        count = count[place]
    else:
        place.sort()
        starts = np.flatnonzero(np.diff(place, prepend=-1))
        count = np.diff(starts, append=len(place))
        place = place[starts]
    square = place // high
    place -= square * high
    column, row = Rectangle(int(first[0]), int(first[1]), squares.wide, squares.tall).part(square)
    east, north, level = (line + HALF for line in (column, row, place + first[2]))
    return Layers(anchor, (east << 2 * BITS) | (north << BITS) | level, count)


def merge_layers(parts: Sequence[Layers]) -> Layers:
    """
    Put several counts together.

    Raises
    ------
    GeometryError
        If they lie too far from one another to be numbered.
    """
    anchor = parts[0].anchor
    key = np.concatenate([_from_anchor(part, anchor) for part in parts])
    count = np.concatenate([part.count for part in parts])
    order = np.argsort(key, kind="stable")  # it merges what is sorted already
    key = key[order]
    starts = np.flatnonzero(np.diff(key, prepend=-1))
    return Layers(anchor, key[starts], np.add.reduceat(count[order], starts))


def _from_anchor(layers: Layers, anchor: IntArray) -> IntArray:
    """Keys as counted from another anchor."""
    key = layers.key
    for axis, apart in enumerate((layers.anchor - anchor).tolist()):
        shift = (2 - axis) * BITS
        number = (key >> shift & MASK) + apart
        if apart and ((number < 0) | (number > MASK)).any():
            raise too_wide(np.abs(layers.anchor - anchor)[:2] * CELL)
        key = key + (apart << shift)
    return key


def double_squares(layers: Layers) -> Layers:
    """Count in squares of twice the side; the anchor stays that of the smaller ones."""
    halved = [
        ((layers.key >> 2 * BITS) - HALF) // 2,
        ((layers.key >> BITS & MASK) - HALF) // 2,
    ]
    column, row = (axis + HALF for axis in halved)
    key = (column << 2 * BITS) | (row << BITS) | (layers.key & MASK)
    return merge_layers([Layers(layers.anchor, key, layers.count)])


def too_wide(extent: AnyArray) -> GeometryError:
    """Error that points stretch over an extent, (2,), m, that is too large."""
    return GeometryError(
        "The points stretch over {} by {}, too much to tell base from what is not: look for stray "
        "points, or set base.ground = false."
    ).measuring(*(Measure(float(size), Kind.EXACT_LENGTH) for size in extent))
