"""The design top of slab: level, plane, fall, rulings, measured points, panels."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np
import shapely

from gradevol.geometry.clipping import overlay
from gradevol.geometry.nearest import nearest_level
from gradevol.geometry.planes import fit_plane, level_in, plane_by_fall, plane_level
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import triangulate_polygon
from gradevol.geometry.rulings import rule
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.beyond import extend_level
from gradevol.site.curved_sides import follow_curves
from gradevol.site.panels import PANEL_TOLERANCE, is_hairline, share_out
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, build_surface, lies_before_row, surface_of_faces

#: One standard deviation of the finished top's mean level about its design, m, where the job states
#: none: 0.006 ft. Forms, sag of strings, strike-off. Common practice, no source.
TOP_SIGMA = 0.0018


@dataclass(frozen=True, slots=True)
class Level:
    """A level top at one elevation, m."""

    elevation: float


@dataclass(frozen=True, slots=True)
class Plane:
    """A plane through three points, or by least squares through more, (n, 3), m."""

    points: FloatArray


@dataclass(frozen=True, slots=True)
class Fall:
    """A plane through a point (3,), m, that falls by a ratio towards a bearing, degrees."""

    through: FloatArray
    fall: float
    bearing: float


@dataclass(frozen=True, slots=True)
class Between:
    """
    Straight rulings between two measured edges.

    Attributes
    ----------
    first, second : (n, 3), (m, 3) array of float
        Points of each, m.
    names : tuple of tuple of str
        Ids of the shots of each edge; empty where the job lists its points.
    forms : tuple of bool
        Whether each is a form by the codes of its shots.
    notes : tuple of Note
        What their reader noticed.
    """

    first: FloatArray
    second: FloatArray
    names: tuple[tuple[str, ...], tuple[str, ...]] = ((), ())
    forms: tuple[bool, bool] = (False, False)
    notes: tuple[Note, ...] = ()


@dataclass(frozen=True, slots=True)
class Measured:
    """
    A TIN of measured form, screed or tie-in points.

    Attributes
    ----------
    points : (n, 3) array of float
        One a place, m.
    notes : tuple of Note
        What their reader noticed.
    setups : tuple of str
        The instrument setup of each, blank where its shots are of several; empty where not known.
        What shots of one setup share, base and top alike, does not touch the thickness.
    names : tuple of str
        Id of each, or those of the shots whose mean it is; blank or empty where they have none.
    misclosures : mapping of str to float
        How setups closed, m, by name (`Survey.misclosures`).
    """

    points: FloatArray
    notes: tuple[Note, ...] = ()
    setups: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    misclosures: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Faces:
    """A surface with faces of its own: (p, 3) points, m, and (t, 3) rows of them."""

    points: FloatArray
    triangles: IntArray


@dataclass(frozen=True, slots=True)
class Panel:
    """A part of the slab, by its edge (m, 2), m, with a top of its own."""

    edge: FloatArray
    design: "Design"


@dataclass(frozen=True, slots=True)
class Panels:
    """Panels that together make the slab."""

    panels: tuple[Panel, ...]


Drawn: TypeAlias = Level | Plane | Fall | Between
Design: TypeAlias = Level | Plane | Fall | Between | Measured | Faces | Panels


@dataclass(frozen=True, slots=True)
class Top:
    """
    The design top over the slab.

    Attributes
    ----------
    surface : Surface
        Triangles that tile the slab; `is_surveyed` is False where measured points of the top do
        not reach and it is held level, be it between a row of them and its line.
    residuals : (n,) array of float
        What each point of a least-squares plane stands above it, m; empty otherwise.
    """

    surface: Surface
    residuals: FloatArray
    notes: tuple[Note, ...] = ()


def parts_of(design: Design) -> tuple[Design, ...]:
    """Designs that a top is made of: those of its panels, or itself."""
    if not isinstance(design, Panels):
        return (design,)
    return tuple(panel.design for panel in design.panels)


def name_parts(design: Design) -> list[tuple[str, Design]]:
    """Designs that a top is made of, each by the key of the job that draws it: ``top.panel 2``."""
    if not isinstance(design, Panels):
        return [("top", design)]
    return [(f"top.panel {at}", part) for at, part in enumerate(parts_of(design), start=1)]


def divide(design: Design, slab: Slab) -> list[tuple[Design, shapely.Geometry]]:
    """Find the part of the slab that each design of a top is for; see `share_out`."""
    if not isinstance(design, Panels):
        return [(design, slab.outline)]
    areas = share_out([panel.edge for panel in design.panels], slab.outline)
    return list(zip(parts_of(design), areas, strict=True))


def build_top(design: Design, slab: Slab) -> Top:
    """
    Build the design top over a slab.

    Parameters
    ----------
    design : Design
        What the drawing says, about the slab's origin.
    slab : Slab

    Returns
    -------
    Top
        Its triangles tile the slab exactly.

    Raises
    ------
    GeometryError
        If the design makes no surface, or panels overlap or leave a gap inside the slab.
    """
    built = [_over(part, area, slab) for part, area in divide(design, slab)]
    corners, is_known, residuals, beyond = (
        np.concatenate(held) for held in zip(*built, strict=True)
    )
    measured = (part for part in parts_of(design) if isinstance(part, Measured | Between))
    notes = *(note for part in measured for note in part.notes), *_notes(beyond, residuals, slab)
    points = corners.reshape(-1, 3)
    return Top(Surface(points, np.arange(len(points)).reshape(-1, 3), is_known), residuals, notes)


def _over(
    design: Design, area: shapely.Geometry, slab: Slab
) -> tuple[FloatArray, BoolArray, FloatArray, FloatArray]:
    """Corners (k, 3, 3) of a design over an area, which are measured, residuals, what is beyond."""
    plan = triangulate_polygon(area)
    if (flat := _level_of_plane(design, plan)) is not None:
        residuals: FloatArray = np.empty(0)
        if isinstance(design, Plane) and len(design.points) > 3:
            residuals = fit_plane(design.points)[1]
        return np.dstack([plan, flat]), np.ones(len(plan), bool), residuals, plan[:0]
    bare = _surface_of(design, slab)
    surface = extend_level(bare, area)
    pieces, parent, _ = overlay(surface.corners[..., :2], plan)
    level = level_in(surface.corners, parent, pieces)
    beyond = pieces[~surface.is_surveyed[parent]]
    # between a row of shots and its line it is held level with them, too
    is_known = surface.is_surveyed.copy()
    is_known[: len(bare.triangles)] &= ~lies_before_row(bare)
    return np.dstack([pieces, level]), is_known[parent], np.empty(0), beyond


def level_design(design: Design, slab: Slab, places: FloatArray) -> FloatArray:
    """Level of a design at (n, 2) places on the slab, (n,), m, without building it over all."""
    if not isinstance(design, Panels):
        flat = _level_of_plane(design, places)
        return nearest_level(_surface_of(design, slab).corners, places) if flat is None else flat
    points, (parts, areas) = shapely.points(places), zip(*divide(design, slab), strict=True)
    panel = shapely.distance(np.array(areas)[:, None], points).argmin(axis=0)
    level = np.empty(len(places))
    for number, part in enumerate(parts):
        level[panel == number] = level_design(part, slab, places[panel == number])
    return level


def _level_of_plane(design: Design, plan: FloatArray) -> FloatArray | None:
    """Level of a design that is one plane at (..., 2) places; None of another."""
    match design:
        case Level(elevation):
            return np.full(plan.shape[:-1], elevation)
        case Fall(through, fall, bearing):
            return plane_level(plane_by_fall(through, fall, bearing), plan)
        case Plane(points):
            return plane_level(fit_plane(points)[0], plan)
    return None


def _surface_of(design: Design, slab: Slab) -> Surface:
    match design:
        case Measured(points):
            return build_surface(points)
        case Faces(points, triangles):
            return surface_of_faces(points, triangles)
        case Between(first, second):
            lines = (follow_curves(line, slab) for line in (first, second))
            faces = rule(*lines).reshape(-1, 3)
            return surface_of_faces(faces, np.arange(len(faces)).reshape(-1, 3))
    raise TypeError(f"{type(design).__name__} has no surface of its own")


def _notes(pieces: FloatArray, residuals: FloatArray, slab: Slab) -> Iterator[Note]:
    beyond = float(plan_area(pieces).sum())
    is_slip = beyond <= PANEL_TOLERANCE * slab.outline.length
    if is_slip:  # on a grid: slivers have no directions to join them by
        is_slip = is_hairline(shapely.union_all(shapely.polygons(pieces), grid_size=1e-6))
    if not is_slip:
        share = f" ({100 * beyond / slab.area:.0f} %)" if beyond >= 0.005 * slab.area else ""
        yield Note(
            "top-beyond-points",
            f"{{}} of the slab{share} lies beyond the measured points of the top; there the "
            "top is held level with the nearest of them. Measure it out to the slab's edge.",
            (Measure(beyond, Kind.SOME_AREA),),
        )
    if len(residuals) and np.abs(residuals).max() > 0.0005:
        yield Note(
            "top-plane-residuals",
            "The points of the top's plane leave it by up to {}: the design is not one plane.",
            (Measure(float(np.abs(residuals).max()), Kind.LEVEL),),
        )


def move_design(design: Drawn, origin: FloatArray) -> Drawn:
    """
    Bring a design that is drawn, not measured, to another origin.

    Parameters
    ----------
    design : Level, Plane, Fall or Between
        About any origin, m.
    origin : (3,) array of float
        What is taken off its coordinates, m.
    """
    match design:
        case Level(elevation):
            return Level(elevation - float(origin[2]))
        case Plane(points):
            return Plane(points - origin)
        case Fall(through, fall, bearing):
            return Fall(through - origin, fall, bearing)
        case Between(first, second):
            return replace(design, first=first - origin, second=second - origin)
