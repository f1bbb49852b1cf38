"""Level lines of a thickness field, and the outline of what lies beyond its shots."""

from collections.abc import Sequence
from contextlib import suppress

import numpy as np
import shapely

from gradevol.geometry.isolines import level_segments, rings_above
from gradevol.geometry.rings import ring_area
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.measures.field import ThicknessField

#: Ends of neighbouring pieces agree to rounding; they are joined on a grid of this spacing, m.
_MATCH = 6
#: Areas of rings and of what is built of them agree to this share, or the rings cross.
_SAME = 1e-9
#: A place this near to an outline lies on it, m.
AT_OUTLINE = 1e-6


def trace_level(corners: FloatArray, value: FloatArray, level: float) -> tuple[FloatArray, ...]:
    """
    Trace where a linear function on triangles passes a level.

    Parameters
    ----------
    corners : (k, 3, 2) array of float
        Triangles, m.
    value : (k, 3) array of float
        The function at the corners.
    level : float
        In the unit of `value`.

    Returns
    -------
    tuple of (n, 2) arrays of float
        Lines, exact on every triangle, joined where their ends meet, longest first, m.
    """
    pieces = np.round(level_segments(corners, value - level), _MATCH)
    pieces = pieces[(pieces[:, 0] != pieces[:, 1]).any(axis=1)]
    if len(pieces) == 0:
        return ()
    # a line along a side shared by two triangles may come twice
    pieces = np.unique(np.where(_is_forward(pieces), pieces, pieces[:, ::-1]), axis=0)
    joined = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(pieces)))
    order = np.argsort(-shapely.length(joined), kind="stable")
    return tuple(shapely.get_coordinates(line) for line in joined[order])


def _is_forward(pieces: FloatArray) -> BoolArray:
    first, last = pieces[:, 0], pieces[:, 1]
    east = first[:, 0] < last[:, 0]
    return (east | ((first[:, 0] == last[:, 0]) & (first[:, 1] <= last[:, 1])))[:, None, None]


def join_rings(rings: Sequence[FloatArray]) -> shapely.Geometry:
    """Area of rings (n, 2), those of holes among them: what lies in an odd number of rings."""
    rings = [ring for ring in rings if len(ring) >= 3]
    lines = [shapely.LinearRing(ring) for ring in rings]
    meant = abs(sum(ring_area(ring) for ring in rings))
    with suppress(shapely.GEOSException):  # rings that were made coarser may cross
        area = shapely.build_area(shapely.geometrycollections(lines))
        if area.is_valid and abs(area.area - meant) <= _SAME * meant and meant > 0:
            return area
    return _join_in_pairs(rings)


def _join_in_pairs(rings: Sequence[FloatArray]) -> shapely.Geometry:
    """The same, of rings that cross or run alike: slower."""
    # a ring may touch itself; its spikes are dropped
    parts = np.array(
        [
            shapely.make_valid(shapely.Polygon(ring), method="structure", keep_collapsed=False)
            for ring in rings
        ],
        dtype=object,
    )
    # in pairs, and pairs of those: one after the other takes long where rings are many
    while len(parts) > 1:
        last = parts[len(parts) // 2 * 2 :]
        parts = np.append(shapely.symmetric_difference(parts[:-1:2], parts[1::2]), last)
    return parts[0] if len(parts) else shapely.Polygon()


def lie_within(area: shapely.Geometry, places: FloatArray) -> BoolArray:
    """Whether places (n, 2) lie within an area or on its outline."""
    shapely.prepare(area)
    return np.asarray(shapely.dwithin(area, shapely.points(places), AT_OUTLINE))


def area_above(corners: FloatArray, value: FloatArray, level: float) -> shapely.Geometry:
    """Area where a linear function on triangles (k, 3, 2), (k, 3) is above a level, m."""
    return join_rings(rings_above(corners, value - level))


def outline_beyond(field: ThicknessField) -> shapely.Geometry:
    """
    Outline the part of the slab that rests on extrapolation.

    Returns
    -------
    shapely geometry
        About the job's origin, m; empty where the shots reach everywhere.
    """
    beyond = field.take(~field.is_surveyed).corners
    return join_rings(rings_above(beyond, np.ones((len(beyond), 3))))
