"""Voids: how far their lines run through concrete."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.site.slab import Slab, Void

#: A line may run along an edge, or end beyond it, this far off, m: it is drawn to the outside of
#: a form.
_AT_EDGE = 0.05


def length_in_openings(line: FloatArray, slab: Slab, *, of: int | None = None) -> float:
    """Length in plan of a line (n, 2 or 3), m, within a slab's openings, or within one, from 1."""
    rings = slab.openings if of is None else slab.openings[of - 1 : of]
    openings = shapely.union_all([shapely.Polygon(ring) for ring in rings])
    return _length_within(line, shapely.difference(openings, _beyond(line, slab)))


def length_beyond(line: FloatArray, slab: Slab) -> float:
    """Length in plan of a line beyond a slab's edge, m."""
    return _length_within(line, _beyond(line, slab))


def _beyond(line: FloatArray, slab: Slab) -> shapely.Geometry:
    """What lies around a slab, as far as a line may reach."""
    about = np.vstack([slab.edge, line[:, :2]])
    around = shapely.box(*(about.min(axis=0) - 1), *(about.max(axis=0) + 1))
    return shapely.difference(around, shapely.Polygon(slab.edge))


def _length_within(line: FloatArray, zone: shapely.Geometry) -> float:
    """Length within a zone, but for what keeps to its border."""
    held = shapely.get_parts(shapely.intersection(shapely.LineString(line[:, :2]), zone))
    border = shapely.buffer(shapely.boundary(zone), _AT_EDGE)
    return float(sum(part.length for part in held if not border.covers(part)))


def place_void(void: Void, slab: Slab, origin: FloatArray) -> Void:
    """
    Put a void about an origin; of what it displaces by its line, what lies in concrete is left.

    A void whose length or volume the job states keeps it, and so does one that adds.

    Parameters
    ----------
    void : Void
    slab : Slab
        About the same origin.
    origin : (3,) array of float
        m.
    """
    if void.line is None:
        return void
    line = void.line - origin[: void.line.shape[1]]
    gone = length_in_openings(line, slab) + length_beyond(line, slab)
    if not gone or not void.is_by_line or void.volume < 0:
        return replace(void, line=line)
    length = float(shapely.LineString(line[:, :2]).length)
    return replace(void, line=line, volume=void.volume * max(1 - gone / length, 0.0))
