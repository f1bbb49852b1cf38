"""How the points of a cloud lie above one another: counts by square and by layer.

They can be put together from any pieces in any order, and show the quantiles of each square.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gradevol.files.bins import ON_SIDE
from gradevol.ground.arrays import AnyArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure

#: Side of a square and height of a layer, m.
CELL = 0.10
LAYER = 0.005
#: A key is column, row and layer of 21 bits each, counted from an anchor.
BITS = 21
HALF = 1 << (BITS - 1)
MASK = (1 << BITS) - 1


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


def find_anchor(points: FloatArray) -> IntArray:
    """Column, row and layer near points (n, 3), m, to count from."""
    place = np.floor(points[:1].mean(axis=0) / [CELL, CELL, LAYER]).astype(np.int64)
    anchor: IntArray = place - place % [1 << 16, 1 << 16, 1]  # even after a doubling
    return anchor


def count_layers(points: FloatArray, anchor: IntArray) -> Layers:
    """
    Count points by square and layer.

    Parameters
    ----------
    points : (n, 3) array of float
        Easting, northing, elevation, m.
    anchor : (3,) array of int
        Of `find_anchor`.

    Raises
    ------
    GeometryError
        If the points stretch too far to be numbered.
    """
    place = np.empty(points.shape)
    place[:, :2] = np.floor((points[:, :2] + ON_SIDE) / CELL) - anchor[:2]
    place[:, 2] = np.floor(points[:, 2] / LAYER) - anchor[2]
    if len(place) and np.abs(place).max() >= HALF:
        raise too_wide(np.ptp(points[:, :2], axis=0))
    packed = place.astype(np.int64) + HALF
    key = (packed[:, 0] << 2 * BITS) | (packed[:, 1] << BITS) | packed[:, 2]
    held, count = np.unique(key, return_counts=True)
    return Layers(anchor, held, count)


def merge_layers(parts: Sequence[Layers]) -> Layers:
    """Put several counts from one anchor together."""
    key, place = np.unique(np.concatenate([part.key for part in parts]), return_inverse=True)
    count = np.bincount(place, weights=np.concatenate([part.count for part in parts]))
    return Layers(parts[0].anchor, key, count.astype(np.int64))


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
