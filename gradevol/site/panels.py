"""Panels of a top: the part of the slab that each of them covers; and parts poured on their own."""

from collections.abc import Sequence

import numpy as np
import shapely

from gradevol.geometry.rings import polygon, polygons_of
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError

#: Panels, and parts that are poured on their own, may miss one another by a strip no wider than
#: this, m: a corner that is typed to a centimetre stands up to 7 mm off the line it was to be on.
PANEL_TOLERANCE = 0.008


def share_out(edges: Sequence[FloatArray], outline: shapely.Geometry) -> list[shapely.Geometry]:
    """
    Find the part of a slab that each panel covers.

    Parameters
    ----------
    edges : sequence of (m, 2) arrays of float
        The panels', m.
    outline : shapely polygon
        The slab's, m.

    Returns
    -------
    list of shapely polygon or multipolygon
        They tile the slab.

    Raises
    ------
    GeometryError
        If panels overlap, leave a gap inside the slab, or one does not lie within it.
    """
    rings = [
        polygon(edge, what=f"The edge of panel {number}")
        for number, edge in enumerate(edges, start=1)
    ]
    left = outline
    areas = []
    for number, ring in enumerate(rings, start=1):
        for other, before in enumerate(rings[: number - 1], start=1):
            shared = shapely.intersection(shapely.intersection(ring, before), outline)
            _refuse_wide(shared, f"Panels {other} and {number} of the top overlap")
        areas.append(shapely.intersection(left, ring))
        left = shapely.difference(left, ring)
    _refuse_wide(left, "The panels of the top leave a gap inside the slab")
    join_to_nearest(areas, left)
    empty = [number for number, area in enumerate(areas, start=1) if area.area == 0]
    if empty:
        raise GeometryError(f"Panel {empty[0]} of the top does not lie within the slab.")
    return areas


def is_hairline(area: shapely.Geometry) -> bool:
    """Whether an area is nowhere wider than a slip of the pen."""
    return bool(shapely.buffer(area, -PANEL_TOLERANCE / 2).is_empty)


def join_to_nearest(areas: list[shapely.Geometry], left: shapely.Geometry) -> None:
    """
    Join what is left to the areas that are nearest to it.

    A strip that runs along several is parted: the plane of one may be far off beside another.
    """
    for number, area in enumerate(areas):
        beside = shapely.buffer(area, PANEL_TOLERANCE, join_style="mitre")
        joined = polygons_of(shapely.intersection(left, beside))
        areas[number] = shapely.union_all([area, *joined])
        left = shapely.difference(left, beside)
    for part in shapely.get_parts(left):
        if part.area > 0:
            nearest = int(np.argmin(shapely.distance(areas, part.representative_point())))
            areas[nearest] = shapely.union(areas[nearest], part)


def _refuse_wide(area: shapely.Geometry, problem: str) -> None:
    """Refuse an area that is wider than a slip of the pen."""
    if is_hairline(area):
        return
    wide = shapely.buffer(area, -PANEL_TOLERANCE / 2)
    east, north = wide.representative_point().coords[0]
    raise GeometryError(
        f"{problem}: give the panels common corners.", place=(float(east), float(north))
    )
