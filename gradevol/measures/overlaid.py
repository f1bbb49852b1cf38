"""Base and top laid over each other: the field between them."""

from collections.abc import Callable

import numpy as np
import shapely

from gradevol.geometry.clipping import overlay_rows
from gradevol.geometry.nodes import number_used
from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import triangulate_polygon
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, RowArray, at_a_time
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure
from gradevol.measures.field import ThicknessField
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface
from gradevol.site.thickening import outline_at

#: The pieces' areas add up to the slab's within this share of it: rounding, and nothing else.
CLOSURE = 1e-9


def build_field(
    base: Surface,
    top: Surface,
    slab: Slab,
    *,
    progress: Callable[[float], None] = lambda _: None,
) -> ThicknessField:
    """
    Overlay base and top on the slab.

    Parameters
    ----------
    base : Surface
        Covers the slab (`hold_departure`).
    top : Surface
        Tiles the slab (`build_top`).
    slab : Slab
    progress : callable, optional
        Told the share done.

    Raises
    ------
    GeometryError
        If the pieces' areas do not add up to the slab's: base or top overlap themselves or leave
        a gap.
    """
    trench = outline_trenches(slab)
    over = top.corners if trench is None else _cut_at(top.corners, trench)
    plan = np.ascontiguousarray(base.points[:, :2])
    whole, cut, parent, holder = overlay_rows(
        plan, base.triangles, over[..., :2], progress=progress
    )
    is_surveyed = base.is_surveyed[parent]
    is_to_share = is_surveyed[: len(whole)] | (base.held is None)
    used, rows, node_holder = _number_nodes(base, whole, holder, is_to_share, len(cut))
    own = base.triangles[whole[rows[: len(whole), 0] >= len(used)]].ravel()
    places = np.concatenate([plan[used], plan[own], cut.reshape(-1, 2)])

    area = np.empty(len(rows))
    for some in at_a_time(len(rows)):
        area[some] = plan_area(places.take(rows[some], axis=0))
    total, wanted = float(area.sum()), slab.area
    if abs(total - wanted) > CLOSURE * wanted:
        raise GeometryError(
            "The pieces of base and top cover {} of a slab of {}: one of the surfaces overlaps "
            "itself or leaves a gap. Check it, or give its points as shots."
        ).measuring(Measure(total, Kind.EXACT_AREA), Measure(wanted, Kind.EXACT_AREA))

    of_cut = _level_in(base.points, base, parent[len(whole) :], cut)
    level = np.concatenate([base.points[used, 2], base.points[own, 2], of_cut.ravel()])
    thickness = np.empty(len(places))
    for some in at_a_time(len(places)):
        thickness[some] = level_in(over, node_holder[some], places[some, None])[:, 0]
    thickness -= level
    if base.held is not None:
        beyond = np.flatnonzero(~is_surveyed)
        held, at = np.column_stack([plan, base.held]), rows[beyond]
        kept = _level_in(held, base, parent[beyond], places[at])
        level[at] += thickness[at] - kept
        thickness[at] = kept
    is_trench = np.zeros(len(rows), bool)
    if trench is not None:
        middle = places[rows].mean(axis=1)
        is_trench = shapely.contains_xy(trench, middle[:, 0], middle[:, 1])
    return ThicknessField(
        places=places,
        thickness_at=thickness,
        base_at=level,
        rows=rows,
        area=area,
        is_surveyed=is_surveyed,
        is_trench=is_trench,
        parent=parent.astype(np.int32),
    )


def _number_nodes(
    base: Surface, whole: IntArray, holder: IntArray, is_to_share: BoolArray, cut: int
) -> tuple[IntArray, RowArray, IntArray]:
    """
    Number the corners of pieces.

    Corners of whole triangles of the base are one node where no other triangle of the top meets
    them; all others are nodes of their own, as there the top may have a step.

    Parameters
    ----------
    base : Surface
    whole : (w,) array of int
        Its triangles that are pieces as they are.
    holder : (w + cut,) array of int
        The top's triangle that holds each piece.
    is_to_share : (w,) array of bool
        Whether a piece may share its corners.
    cut : int
        How many other pieces follow.

    Returns
    -------
    used : (p,) array of int
        Points of the base that are nodes: the first ones.
    rows : (w + cut, 3) array of int
        Nodes at each piece's corners.
    node_holder : (n,) array of int
        The top's triangle that holds each node's pieces.
    """
    corners = base.triangles[whole]
    first = np.empty(len(base.points), np.int32)
    first[corners] = holder[: len(whole), None]
    is_shared = is_to_share & (first[corners] == holder[: len(whole), None]).all(axis=1)
    used, number = number_used(corners[is_shared], len(base.points))
    rows = np.empty((len(whole) + cut, 3), np.int32)
    is_own = np.concatenate([~is_shared, np.ones(cut, bool)])
    rows[: len(whole)][is_shared] = number[corners[is_shared]]
    rows[is_own] = len(used) + np.arange(3 * is_own.sum(), dtype=np.int32).reshape(-1, 3)
    return used, rows, np.concatenate([first[used], np.repeat(holder[is_own], 3)])


def _level_in(
    points: FloatArray, surface: Surface, parent: IntArray, places: FloatArray
) -> FloatArray:
    """`level_in` some triangles of a surface, its points at these levels (p, 3), m."""
    used, parent = np.unique(parent, return_inverse=True)
    return level_in(points[surface.triangles[used]], parent, places)


def outline_trenches(slab: Slab) -> shapely.Geometry | None:
    """Outline of the thickenings that the shots show as they are."""
    shown = [
        outline_at(part, slab, out=part.side_slope * part.depth)
        for part in slab.thickenings
        if part.surveyed == "yes"
    ]
    return shapely.union_all(shown) if shown else None


def _cut_at(corners: FloatArray, zone: shapely.Geometry) -> FloatArray:
    """Cut (k, 3, 3) triangles along the border of a zone."""
    faces = shapely.polygons(corners[..., :2])
    parts = [shapely.intersection(faces, zone), shapely.difference(faces, zone)]
    made = []
    for owner in range(len(faces)):
        for part in parts:
            plan = triangulate_polygon(part[owner]) if not part[owner].is_empty else None
            if plan is not None and len(plan):
                held = np.broadcast_to(corners[owner], (len(plan), 3, 3))
                level = level_in(held, np.arange(len(plan)), plan)
                made.append(np.dstack([plan, level]))
    return np.concatenate(made)
