"""A surface: a TIN over the plan, each triangle a plane."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from gradevol.geometry.blends import Blend
from gradevol.geometry.breaklines import split_edges
from gradevol.geometry.cells import find_cells
from gradevol.geometry.nearest import has_step, nearest_level, take_side
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rows import close_rows
from gradevol.geometry.slopes import slopes_of
from gradevol.geometry.triangulation import merge_places, triangulate
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray, RowArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.survey import Survey

_NO_EDGES = np.empty((0, 2), np.intp)


@dataclass(frozen=True, slots=True, eq=False)
class Surface:
    """
    Triangles over the plan that do not overlap.

    Attributes
    ----------
    points : (p, 3) array of float
        Easting, northing, elevation about the job's origin, m.
    triangles : (t, 3) array of int
        Rows of `points`, counter-clockwise in plan.
    is_surveyed : (t,) array of bool
        False where a triangle lies beyond the outermost shots.
    rim : (m,) array of int or None
        Points around a TIN's convex rim, counter-clockwise; None where faces came from a file.
    rests : tuple of Blend
        How points that were made, not measured, rest on earlier ones, in the order they were made.
    held : (p,) array of float or None
        Thickness that the base keeps beyond the shots, at the points of triangles that are not
        surveyed, m (`hold_departure`); None where it keeps its elevation.
    delaunay : (d, 3) array of int or None
        The Delaunay triangles of the points measured that the triangles were made of; None where
        edges were kept, or faces came from a file.
    """

    points: FloatArray
    triangles: IntArray
    is_surveyed: BoolArray
    rim: IntArray | None = None
    rests: tuple[Blend, ...] = ()
    held: FloatArray | None = None
    delaunay: RowArray | None = None

    def __post_init__(self) -> None:
        if self.triangles.ndim != 2 or self.triangles.shape[1] != 3:
            raise ValueError(f"triangles must be (t, 3), not {self.triangles.shape}")
        if len(self.is_surveyed) != len(self.triangles):
            raise ValueError(f"{len(self.is_surveyed)} flags for {len(self.triangles)} triangles")
        for array in (self.points, self.triangles, self.is_surveyed):
            array.setflags(write=False)

    @property
    def corners(self) -> FloatArray:
        """Corners of every triangle, (t, 3, 3), m."""
        return self.points.take(self.triangles, axis=0)


def level_beside(surface: Surface, places: FloatArray, like: FloatArray) -> FloatArray:
    """`nearest_level` on a surface, (n,), m; beside a step, of the side that is most `like`."""
    level = nearest_level(surface.corners, places)
    return take_side(surface.corners, places, level, like) if _has_step(surface) else level


@lru_cache(maxsize=2)  # of a top, whenever shots are held against it
def _has_step(surface: Surface) -> bool:
    return has_step(surface.corners)


def merge_shots(survey: Survey) -> tuple[FloatArray, IntArray, tuple[Note, ...]]:
    """
    Make shots at one place in plan one point at their mean.

    Returns
    -------
    points : (p, 3) array of float
        One point a place, m.
    place : (n,) array of int
        The place of each shot.
    notes : tuple of Note
        Code ``shots-at-one-place`` where their elevations differ by more than the shots' own
        accuracy (three of its standard deviations for a difference).
    """
    place = merge_places(survey.points[:, :2])
    count = np.bincount(place)
    if len(count) == len(place):
        return survey.points, place, ()
    total = np.column_stack([np.bincount(place, weights=column) for column in survey.points.T])
    points = total / count[:, None]
    low, high = np.full(len(count), np.inf), np.full(len(count), -np.inf)
    np.minimum.at(low, place, survey.points[:, 2])
    np.maximum.at(high, place, survey.points[:, 2])
    apart = np.flatnonzero(high - low > max(3 * np.sqrt(2) * survey.sigma, 0.001))
    if len(apart) == 0:
        return points, place, ()
    worst = apart[np.argmax((high - low)[apart])]
    told = np.flatnonzero(np.isin(place, apart))[:20]
    note = Note(
        "shots-at-one-place",
        f"{'At one place' if len(apart) == 1 else f'At {len(apart)} places'} several shots differ "
        f"in elevation, by up to {{}} at "
        f"{' and '.join(survey.name(i) for i in np.flatnonzero(place == worst)[:4])}; their mean "
        "was used. Reshoot the wrong one or take it out.",
        (Measure(float((high - low)[worst]), Kind.LEVEL),),
        points=tuple(survey.name(i) for i in told),
        places=tuple((float(e), float(n)) for e, n in points[apart[:20], :2]),
    )
    return points, place, (note,)


def build_surface(
    points: FloatArray, *, edges: IntArray = _NO_EDGES, before: tuple[Blend, ...] = ()
) -> Surface:
    """
    Build the TIN of points at distinct places.

    Parameters
    ----------
    points : (p, 3) array of float
        Easting, northing, elevation, m; no two at one place (`merge_shots`).
    edges : (m, 2) array of int
        Breaklines: pairs of points that must be joined, by way of the points between them.
    before : tuple of Blend
        How points that were made rest on those measured.

    Returns
    -------
    Surface
        Delaunay triangles. A cell whose corners lie on one circle is a fan about their middle at
        their mean elevation, so the volume is the handbook grid method's and does not depend on
        which diagonal was drawn.

    Raises
    ------
    GeometryError
        Fewer than three points, all on one line, or breaklines that cross.
    """
    plan = np.ascontiguousarray(points[:, :2])
    edges = split_edges(plan, edges)
    mesh = triangulate(plan, edges)
    rows = close_rows(points, mesh, edges)
    cells = find_cells(plan, rows.mesh, edges)
    centres, fans, rests = [points, rows.points], [cells.rest, rows.triangles], [rows.rests]
    count = len(points) + len(rows.points)
    shares = [_cross_diagonals(points[cells.quads], cells.chance)]
    shares += [np.full(corners.shape, 1 / corners.shape[1]) for corners in cells.rounds]
    for corners, share in zip((cells.quads, *cells.rounds), shares, strict=True):
        centre = np.broadcast_to(count + np.arange(len(corners))[:, None], corners.shape)
        fans.append(
            np.stack([corners, np.roll(corners, -1, axis=1), centre], axis=2).reshape(-1, 3)
        )
        centres.append(np.einsum("ck,ckd->cd", share, points[corners]))
        rests.append(Blend(centre.ravel(), corners.ravel(), share.ravel()))
        count += len(corners)
    triangles = np.vstack(fans, dtype=np.int32, casting="same_kind")
    return Surface(
        np.vstack(centres),
        triangles,
        np.ones(len(triangles), bool),
        rows.rim,
        (*before, *rests),
        delaunay=None if len(edges) else mesh.triangles,
    )


def lies_before_row(surface: Surface) -> BoolArray:
    """Whether triangles of a TIN lie between an outer row of shots and its line, (t,)."""
    if surface.rim is None:
        return np.zeros(len(surface.triangles), bool)
    made = np.concatenate([blend.made for blend in surface.rests])
    feet = np.intersect1d(surface.rim, made)
    return np.asarray(np.isin(surface.triangles, feet).any(axis=1))


def _cross_diagonals(corners: FloatArray, chance: FloatArray) -> FloatArray:
    """
    Shares (q, 4) of the corners in the elevation where the diagonals of quads (q, 4, 3) cross.

    With a chance of nought it lies on the first diagonal, with one midway between the two: then
    the volume is the mean of those over either, and of a rectangle's the mean of its corners.
    """
    first, second = (corners[:, at + 2, :2] - corners[:, at, :2] for at in (0, 1))
    off = corners[:, 1, :2] - corners[:, 0, :2]
    twice = first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0]
    along = (off[:, 0] * second[:, 1] - off[:, 1] * second[:, 0]) / twice
    across = (off[:, 0] * first[:, 1] - off[:, 1] * first[:, 0]) / twice
    other = chance / 2
    return np.column_stack(
        [(1 - other) * (1 - along), other * (1 - across), (1 - other) * along, other * across]
    )


def surface_of_faces(points: FloatArray, triangles: IntArray) -> Surface:
    """
    Take the faces of a file as a surface: turned counter-clockwise, upright ones left out.

    Raises
    ------
    GeometryError
        If no face has an area in plan.
    """
    area = plan_area(points[triangles])
    has_area = np.abs(area) > 1e-12
    if not has_area.any():
        raise GeometryError("No face of the surface has an area in plan.")
    kept = np.where(area[has_area, None] > 0, triangles[has_area], triangles[has_area][:, ::-1])
    return Surface(points, kept.astype(np.int32), np.ones(len(kept), bool))


def known_slopes(surface: Surface) -> FloatArray:
    """
    Slope of each triangle of a surface where it is surveyed, not where it is held level beyond.

    Returns
    -------
    (t, 2) array of float
        As `slopes_of` has it; not a number beyond the survey, unless nothing else is left.
    """
    slope = slopes_of(surface.corners)
    is_known = surface.is_surveyed & np.isfinite(slope[:, 0])
    if is_known.any():
        slope[~is_known] = np.nan
    return slope
