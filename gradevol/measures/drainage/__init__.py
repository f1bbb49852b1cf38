"""Drainage: how the design top falls, where it is flat, and where it holds water."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.flooding import find_lone_sides, find_wide
from gradevol.geometry.isolines import group_above, rings_above
from gradevol.geometry.prisms import plan_area, span_of_corners
from gradevol.geometry.slopes import bearing_of
from gradevol.ground.arrays import FloatArray
from gradevol.measures.drainage.edge_falls import SAME_FALL, Cause, Stretch, measure_edge_falls
from gradevol.measures.drainage.ponding import Pond, find_outlets, find_ponds
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, known_slopes
from gradevol.site.tie_ins import TieIns

#: Smaller flat places are not listed, m²: a boot's print.
LEAST_AREA = 0.01
#: Places listed, the largest first; the figures over all of them stay exact.
LISTED = 20
#: Stretches of the edge listed, the flattest if there are more.
STRETCHES = 100
#: Arrows along the longer side of the slab.
ARROWS = 8


@dataclass(frozen=True, slots=True)
class Runoff:
    """
    What a job says of water on the top.

    Attributes
    ----------
    least_fall : float or None
        Below it a place is flat; None: none is judged.
    closed_sides : tuple of int
        Sides of the slab, counted from 1, over which no water leaves.
    """

    least_fall: float | None = None
    closed_sides: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Arrow:
    """Where the top falls which way: easting, northing, m; a ratio; degrees from north."""

    at: tuple[float, float]
    fall: float
    bearing: float


@dataclass(frozen=True, slots=True)
class Falls:
    """
    The falls of the top: ratios; bearings in degrees clockwise from north, the way water runs.

    Attributes
    ----------
    mean : float
        Of the fall over the plan area, whichever way it runs.
    resultant : float
        Fall of the top as a whole: of the mean slope. Far below `mean` where it falls several ways.
    bearing : float or None
        Of the resultant; None where there is none.
    least : float
        Of any triangle.
    least_at : (float, float)
        Its middle, m.
    """

    mean: float
    resultant: float
    bearing: float | None
    least: float
    least_at: tuple[float, float]


@dataclass(frozen=True, slots=True)
class FlatPlace:
    """
    One connected place that falls less than is stated.

    Attributes
    ----------
    rings : tuple of (n, 2) arrays of float
        Outline, m: outer rings counter-clockwise, holes clockwise.
    area : float
        m².
    least, mean : float
        Of its falls.
    at : (float, float)
        A place in its midst, m.
    causes : tuple of Cause
        Measured points that make the edge flat beside it.
    """

    rings: tuple[FloatArray, ...]
    area: float
    least: float
    mean: float
    at: tuple[float, float]
    causes: tuple[Cause, ...] = ()


@dataclass(frozen=True, slots=True)
class Drainage:
    """
    What water does on the design top, all about the job's origin.

    Attributes
    ----------
    flat_area : float or None
        Area that falls less than is stated, exact for the surface, m²; None where nothing is.
    flat : tuple of FlatPlace
        The largest first.
    ponds : tuple of Pond
        The one that holds most first.
    edges : tuple of Stretch
        The falls along the slab's sides.
    """

    runoff: Runoff
    falls: Falls
    arrows: tuple[Arrow, ...]
    flat_area: float | None
    flat: tuple[FlatPlace, ...]
    flat_unlisted: int
    ponds: tuple[Pond, ...]
    ponds_unlisted: int
    edges: tuple[Stretch, ...]
    edges_unlisted: int


def measure_drainage(top: Surface, slab: Slab, tie_ins: TieIns, runoff: Runoff) -> Drainage:
    """
    Measure what water does on a top.

    Parameters
    ----------
    top : Surface
        Tiles the slab (`build_top`).
    slab : Slab
    tie_ins : TieIns
    runoff : Runoff

    Returns
    -------
    Drainage
        Exact for the triangles of the top. Water leaves over the slab's edge but for the closed
        sides, and into its openings.

    Raises
    ------
    GeometryError
        If a closed side is none of the slab's, or no water can leave.
    """
    # where a point stands on the slab's edge but for rounding, slivers lie beside it
    is_wide = find_wide(top.corners)
    corners, slope = top.corners[is_wide], known_slopes(top)[is_wide]
    area = plan_area(corners)
    fall = np.hypot(slope[:, 0], slope[:, 1])
    lone = find_lone_sides(corners)
    edges = measure_edge_falls(
        corners, fall, lone, slab=slab, tie_ins=tie_ins, least_fall=runoff.least_fall
    )
    flat_area, flat, more_flat = _find_flat(corners, area, fall, edges, runoff.least_fall)
    ponds, more_ponds = find_ponds(
        corners, find_outlets(corners, lone, slab, runoff.closed_sides), tie_ins
    )
    flattest = sorted(sorted(range(len(edges)), key=lambda i: edges[i].beside)[:STRETCHES])
    return Drainage(
        runoff=runoff,
        falls=_measure_falls(corners, area, slope, fall),
        arrows=_place_arrows(corners, slope, slab),
        flat_area=flat_area,
        flat=flat,
        flat_unlisted=more_flat,
        ponds=ponds,
        ponds_unlisted=more_ponds,
        edges=tuple(edges[i] for i in flattest),
        edges_unlisted=len(edges) - len(flattest),
    )


def _measure_falls(
    corners: FloatArray, area: FloatArray, slope: FloatArray, fall: FloatArray
) -> Falls:
    is_sound = np.isfinite(fall)
    share = area[is_sound] / area[is_sound].sum()
    whole = share @ slope[is_sound]
    resultant = float(np.hypot(*whole))
    middle = corners[..., :2].mean(axis=1)
    low = np.nanmin(fall)
    # among equals the south-west one, so that the order of triangles does not matter
    least = np.flatnonzero(fall <= low + SAME_FALL)
    at = middle[least[np.lexsort((middle[least, 1], np.round(middle[least, 0], 6)))[0]]]
    return Falls(
        mean=float(share @ fall[is_sound]),
        resultant=resultant,
        bearing=bearing_of(whole) if resultant > SAME_FALL else None,
        least=float(low),
        least_at=(float(at[0]), float(at[1])),
    )


def _place_arrows(corners: FloatArray, slope: FloatArray, slab: Slab) -> tuple[Arrow, ...]:
    """Arrows in the middles of squares laid along the slab; none where the top is level."""
    frame = shapely.get_coordinates(shapely.minimum_rotated_rectangle(slab.outline))
    sides = frame[[1, 3]] - frame[0]
    lengths = np.hypot(*sides.T)
    counts = np.maximum(1, np.floor(ARROWS * lengths / lengths.max() + 0.5).astype(int))
    along, across = np.meshgrid(*((np.arange(n) + 0.5) / n for n in counts), indexing="ij")
    places = frame[0] + along.reshape(-1, 1) * sides[0] + across.reshape(-1, 1) * sides[1]
    places = places[shapely.contains_xy(slab.outline, *places.T)]
    sound = np.flatnonzero(np.isfinite(slope[:, 0]))
    low, high = span_of_corners(corners[sound, :, :2])
    arrows = []
    for place in places:
        near = sound[((low <= place) & (high >= place)).all(axis=1)]
        if len(near) == 0:
            continue  # in a triangle too thin to have a fall
        off = corners[near, :, :2] - place
        after = np.roll(off, -1, axis=1)
        depth = (off[..., 0] * after[..., 1] - off[..., 1] * after[..., 0]).min(axis=1)
        here = slope[near[int(np.argmax(depth))]]
        fall = float(np.hypot(*here))
        if fall > SAME_FALL:
            arrows.append(Arrow((float(place[0]), float(place[1])), fall, bearing_of(here)))
    return tuple(arrows)


def _find_flat(
    corners: FloatArray,
    area: FloatArray,
    fall: FloatArray,
    edges: tuple[Stretch, ...],
    least_fall: float | None,
) -> tuple[float | None, tuple[FlatPlace, ...], int]:
    """Area that falls less than is stated, its places, and how many more there are."""
    if least_fall is None:
        return None, (), 0
    is_thin = np.isnan(fall)  # no place of its own, but two places may hang together by it
    flat = np.flatnonzero(is_thin | (fall < least_fall - SAME_FALL))
    real = np.where(is_thin[flat], 0.0, area[flat])
    if real.sum() == 0:
        return 0.0, (), 0
    group = group_above(corners[flat, :, :2], np.ones((len(flat), 3)))
    areas = np.bincount(group, real)
    order = np.argsort(-areas, kind="stable")
    order = order[areas[order] >= LEAST_AREA]
    places = []
    for number in order[:LISTED]:
        held = flat[group == number]
        sound = held[~is_thin[held]]
        causes = [
            edge.cause
            for edge in edges
            if edge.cause is not None and np.isin(edge.triangles, held).any()
        ]
        places.append(
            FlatPlace(
                rings=tuple(rings_above(corners[held, :, :2], np.ones((len(held), 3)))),
                area=float(areas[number]),
                least=float(fall[sound].min()),
                mean=float(np.average(fall[sound], weights=area[sound])),
                at=_midst(corners[sound, :, :2], area[sound]),
                causes=tuple({cause.name: cause for cause in causes}.values()),
            )
        )
    return float(real.sum()), tuple(places), len(order) - len(places)


def _midst(corners: FloatArray, area: FloatArray) -> tuple[float, float]:
    """Place within triangles (n, 3, 2) that is nearest to the middle of them all."""
    middles = corners.mean(axis=1)
    middle = np.average(middles, axis=0, weights=area)
    inside = shapely.intersects_xy(shapely.polygons(corners), *middle)
    if not inside.any():
        middle = middles[np.argmin(np.hypot(*(middles - middle).T))]
    return float(middle[0]), float(middle[1])
