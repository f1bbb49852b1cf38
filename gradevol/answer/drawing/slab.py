"""The slab as pictures have it: rings, sides and limits."""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.answer.said.next_shots import list_next
from gradevol.ground.arrays import FloatArray
from gradevol.site.locating import (
    ASKEW,
    BEYOND,
    LEAST_ANGLE,
    LEAST_SIDE,
    LONG_TAPE,
    NEAREST_CORNERS,
    locate,
)

#: What `locate` goes by: the page tapes any place by the same.
TAPING = {
    "LEAST_ANGLE": LEAST_ANGLE,
    "LEAST_SIDE": LEAST_SIDE,
    "ASKEW": ASKEW,
    "LONG_TAPE": LONG_TAPE,
    "BEYOND": BEYOND,
    "NEAREST_CORNERS": NEAREST_CORNERS,
}


@dataclass(frozen=True, slots=True)
class DrawnOpening:
    """An opening: its name, and its ring, (n, 2), m, not closed."""

    name: str
    ring: FloatArray


@dataclass(frozen=True, slots=True)
class DrawnSlab:
    """
    The slab in plan, about the survey's origin, m.

    Attributes
    ----------
    edge : (m, 2) array of float
        Places along it in the order given: side 1 runs from corner 1 to corner 2.
    paths : tuple of (k, 2) arrays of float
        Each side with both its ends; two places where it is straight.
    turn : float
        1 where the edge runs counter-clockwise, -1 where it runs clockwise.
    rings : tuple of (n, 2) arrays of float
        Its outline without openings: outer rings counter-clockwise, holes clockwise.
    names : tuple of str
        What stands at each side; empty where not given.
    told : tuple of int
        Corners, counted from 1, that places of the lists are taped from: they are marked.
    openings : tuple of DrawnOpening
    flush : tuple of int
        Sides, counted from 1, whose top meets what stands there.
    area : float
        m².
    design, least : float
        Thicknesses, m.
    """

    edge: FloatArray
    paths: tuple[FloatArray, ...]
    turn: float
    rings: tuple[FloatArray, ...]
    names: tuple[str, ...]
    told: tuple[int, ...]
    openings: tuple[DrawnOpening, ...]
    flush: tuple[int, ...]
    area: float
    design: float
    least: float

    @property
    def size(self) -> FloatArray:
        """Width and height of what a map of it shows, (2,), m."""
        return np.asarray(np.ptp(self.edge, axis=0))


def draw_slab(result: Result) -> DrawnSlab:
    """Draw up the slab."""
    slab = result.slab
    return DrawnSlab(
        edge=slab.edge,
        paths=slab.paths,
        turn=1.0 if shapely.LinearRing(slab.edge).is_ccw else -1.0,
        rings=rings_of(slab.outline),
        names=slab.side_names,
        told=_find_told(result),
        openings=tuple(
            DrawnOpening(slab.name_opening(number), ring)
            for number, ring in enumerate(slab.openings, start=1)
        ),
        flush=result.flush_sides,
        area=slab.area,
        design=slab.thickness,
        least=slab.least_thickness,
    )


def _find_told(result: Result) -> tuple[int, ...]:
    """Corners that places are taped from, counted from 1."""
    slab, moments = result.slab, result.thickness
    places = [*(at for _, _, at in list_next(result)), moments.min_at, moments.max_at]
    told = [fix.where for fix in result.work.fixes] + [locate(at, slab) for at in places]
    ways = [one.along[0] for one in told if one.along is not None]
    return tuple(sorted({*ways, *(number for one in told for number, _ in one.corners)}))


def rings_of(shape: shapely.Geometry) -> tuple[FloatArray, ...]:
    """Rings (n, 2) of an area: outer ones counter-clockwise, holes clockwise, none closed."""
    parts = [part for part in shapely.get_parts(shapely.orient_polygons(shape)) if part.area > 0]
    return tuple(
        shapely.get_coordinates(ring)[:-1] for part in parts for ring in shapely.get_rings(part)
    )
