"""Thickness: top less base, on every piece of the slab where both are linear."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.clipping import overlay
from gradevol.geometry.places import first_by_place
from gradevol.geometry.planes import level_in
from gradevol.geometry.prisms import integral, integral_of_square, plan_area, span_of_corners
from gradevol.geometry.rings import triangulate_polygon
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface
from gradevol.site.thickening import outline_at

#: The pieces' areas add up to the slab's within this share of it: rounding, and nothing else.
CLOSURE = 1e-9
#: Thicknesses that differ by no more than this are equal, m: rounding, and nothing else.
EQUAL = 1e-9
#: Pieces that are worked through at a time.
_AT_ONCE = 100_000


@dataclass(frozen=True, slots=True, repr=False)
class ThicknessField:
    """
    Plan triangles that tile the slab, base and top both linear on each.

    Attributes
    ----------
    corners : (k, 3, 2) array of float
        Easting, northing, counter-clockwise, m.
    thickness : (k, 3) array of float
        Top less base at the corners, m; negative where the base stands above the top.
    base : (k, 3) array of float
        Elevation of the base at the corners, m.
    area : (k,) array of float
        Plan area, m².
    is_surveyed : (k,) array of bool
        False where the base rests on extrapolation.
    is_trench : (k,) array of bool
        True within a thickening that the shots show as it is.
    parent : (k,) array of int
        The triangle of the base that holds the piece.
    """

    corners: FloatArray
    thickness: FloatArray
    base: FloatArray
    area: FloatArray
    is_surveyed: BoolArray
    is_trench: BoolArray
    parent: IntArray

    def __post_init__(self) -> None:
        for name in self.__slots__:
            getattr(self, name).setflags(write=False)

    def __repr__(self) -> str:
        return f"<ThicknessField of {len(self.area):,} pieces, {self.area.sum():.1f} m²>"


@dataclass(frozen=True, slots=True)
class Moments:
    """
    Thickness over the plan area, m: area-weighted, exact for the surface.

    Attributes
    ----------
    mean, sd, min, max : float
    min_at, max_at : (float, float)
        Easting, northing.
    """

    mean: float
    sd: float
    min: float
    max: float
    min_at: tuple[float, float]
    max_at: tuple[float, float]


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

    Returns
    -------
    ThicknessField

    Raises
    ------
    GeometryError
        If the pieces' areas do not add up to the slab's: base or top overlap themselves or leave
        a gap.
    """
    under = base.corners
    trench = _trenches(slab)
    over = top.corners if trench is None else _cut_at(top.corners, trench)
    corners, parent, holder, whole = overlay(under[..., :2], over[..., :2], progress=progress)
    area = plan_area(corners)
    total, wanted = float(area.sum()), slab.area
    if abs(total - wanted) > CLOSURE * wanted:
        raise GeometryError(
            "The pieces of base and top cover {} of a slab of {}: one of the surfaces overlaps "
            "itself or leaves a gap. Check it, or give its points as shots."
        ).measuring(Measure(total, Kind.EXACT_AREA), Measure(wanted, Kind.EXACT_AREA))
    elevation, thickness = np.empty((2, len(corners), 3))
    elevation[:whole] = under[parent[:whole], :, 2]
    elevation[whole:] = level_in(under, parent[whole:], corners[whole:])
    for start in range(0, len(corners), _AT_ONCE):
        some = slice(start, start + _AT_ONCE)
        thickness[some] = level_in(over, holder[some], corners[some]) - elevation[some]
    is_surveyed = base.is_surveyed[parent]
    if base.held is not None:
        beyond = np.flatnonzero(~is_surveyed)
        held = np.dstack([under[..., :2], base.held[base.triangles]])
        kept = level_in(held, parent[beyond], corners[beyond])
        elevation[beyond] += thickness[beyond] - kept
        thickness[beyond] = kept
    is_trench = np.zeros(len(corners), bool)
    if trench is not None:
        middle = corners.mean(axis=1)
        is_trench = shapely.contains_xy(trench, middle[:, 0], middle[:, 1])
    return ThicknessField(
        corners=corners,
        thickness=thickness,
        base=elevation,
        area=area,
        is_surveyed=is_surveyed,
        is_trench=is_trench,
        parent=parent,
    )


def surveyed_part(field: ThicknessField) -> ThicknessField:
    """Return the pieces that lie within the survey."""
    kept = field.is_surveyed
    return ThicknessField(*(getattr(field, name)[kept] for name in ThicknessField.__slots__))


def split_field(field: ThicknessField) -> Iterator[ThicknessField]:
    """Pieces of a field so many at a time, so that what is measured on them takes little memory."""
    for start in range(0, len(field.area), _AT_ONCE):
        some = slice(start, start + _AT_ONCE)
        yield ThicknessField(*(getattr(field, name)[some] for name in ThicknessField.__slots__))


def cut_field(field: ThicknessField, zone: shapely.Geometry) -> ThicknessField:
    """
    Cut a field to what lies within an outline.

    Parameters
    ----------
    field : ThicknessField
    zone : shapely polygon or multipolygon
        About the same origin, m; may be empty.

    Returns
    -------
    ThicknessField
        The parts of its pieces that lie in the zone, with what the pieces hold.
    """
    faces = np.empty((0, 3, 2)) if zone.is_empty else triangulate_polygon(zone)
    if len(faces) == 0:
        return take_pieces(field, np.empty(0, np.intp), faces)
    low, high = span_of_corners(field.corners)
    west, south, east, north = zone.bounds
    near = np.flatnonzero(((high >= (west, south)) & (low <= (east, north))).all(axis=1))
    corners, parent, _, _ = overlay(field.corners[near], faces)
    return take_pieces(field, near[parent], corners)


def take_pieces(field: ThicknessField, owner: IntArray, corners: FloatArray) -> ThicknessField:
    """Return pieces (n, 3, 2), each within the piece of a field that owns it (n,)."""
    used, row = np.unique(owner, return_inverse=True)  # a few pieces of a large field
    held = field.corners[used]
    return ThicknessField(
        corners=corners,
        thickness=level_in(np.dstack([held, field.thickness[used]]), row, corners),
        base=level_in(np.dstack([held, field.base[used]]), row, corners),
        area=plan_area(corners),
        is_surveyed=field.is_surveyed[owner],
        is_trench=field.is_trench[owner],
        parent=field.parent[owner],
    )


def _trenches(slab: Slab) -> shapely.Geometry | None:
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


def measure_thickness(field: ThicknessField) -> Moments:
    """
    Mean, spread and extremes of the thickness.

    Parameters
    ----------
    field : ThicknessField

    Returns
    -------
    Moments
        The spread is taken about the mean before it is squared, so thick slabs lose no digits. Of
        several places with the least or the greatest thickness one within the survey is named, of
        those the southernmost, then the westernmost: the order of the shots does not matter.
    """
    total = field.area.sum()
    mean = integral(field.area, field.thickness).sum() / total
    parts = split_field(field)
    squares = sum(integral_of_square(part.area, part.thickness - mean).sum() for part in parts)
    least, least_at = _extreme(field, sign=-1)
    most, most_at = _extreme(field, sign=1)
    return Moments(
        mean=float(mean),
        sd=float(np.sqrt(squares / total)),
        min=least,
        max=most,
        min_at=least_at,
        max_at=most_at,
    )


def _extreme(field: ThicknessField, *, sign: int) -> tuple[float, tuple[float, float]]:
    """Least (-1) or greatest (1) thickness, m, and the first place by place that has it."""
    thickness = sign * field.thickness
    value = float(thickness.max())
    has_it = thickness >= value - EQUAL
    is_seen = has_it & field.is_surveyed[:, np.newaxis]
    places = field.corners[is_seen if is_seen.any() else has_it]
    east, north = places[first_by_place(places)]
    return sign * value, (float(east), float(north))
