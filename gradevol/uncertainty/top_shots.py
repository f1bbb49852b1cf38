"""A top that was measured: what its own shots, and the gaps between them, leave open.

Where it is told and argued: ``docs/explanation/interval.md``.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.geometry.blends import hand_back
from gradevol.geometry.clipping import overlay
from gradevol.geometry.neighbours import find_neighbours
from gradevol.geometry.planes import fit_plane, shares_of_corners
from gradevol.geometry.prisms import plan_area
from gradevol.geometry.rings import triangulate_polygon
from gradevol.ground.arrays import AnyArray, FloatArray, IntArray, RowArray
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import build_surface
from gradevol.site.survey import FOOT_SIGMA, SHOT_SIGMA, Survey
from gradevol.site.top import Design, Measured, Plane, divide

#: How forms stray from the straight line between two places that were shot, as a variance for each
#: metre between them, m: 3 mm, one standard deviation, half-way along 3 m. Common practice, no
#: source. Shots that stand in line tell better, and this counts as two of those.
WARP = 4 * 0.003**2 / 3.0
_WARP_COUNTS = 2
#: A shot that stands no farther off the line of two others than this share of its distance to the
#: nearer of them stands in line with them.
_IN_LINE = 0.25
#: Neighbours among which such two are looked for.
_NEAR = 8
#: Median of the square of a standard normal figure.
_MEDIAN = 0.4549
#: Bends beyond so many times the usual one are breaks of the design, and are held to it.
_BREAK = 3.0


@dataclass(frozen=True, slots=True)
class TopShots:
    """
    What the shots of a top leave open.

    Attributes
    ----------
    sigma : float
        One standard deviation of one shot's elevation, m.
    is_stated : bool
        Whether the job states it.
    shots : float
        One standard deviation of the volume from the errors of single shots, m³.
    gaps : float
        From what forms do between them, m³.
    """

    sigma: float
    is_stated: bool
    shots: float
    gaps: float

    @property
    def both(self) -> float:
        """One standard deviation of the volume from both, m³."""
        return float(np.hypot(self.shots, self.gaps))


def study_top(design: Design, slab: Slab, survey: Survey) -> TopShots | None:
    """
    Study what a top's own shots leave open.

    Parameters
    ----------
    design : Design
        The top's.
    slab : Slab
    survey : Survey
        The base's: its shots' accuracy goes for those of the top too, if the job states it and both
        were shot alike.

    Returns
    -------
    TopShots or None
        None of a top that is drawn, and of depths from it, whatever it is.
    """
    if survey.depths is not None:
        return None
    is_stated = "sigma" in survey.stated and survey.method in FOOT_SIGMA
    sigma = survey.sigma if is_stated else SHOT_SIGMA["shots"]
    shots, gaps = [], []
    for part, area in divide(design, slab):
        if isinstance(part, Measured):
            weights = measure_weights(part.points, area)
            shots.append(sigma * float(np.linalg.norm(weights)))
            gaps.append(spread_of_gaps(part.points, weights, sigma))
        elif isinstance(part, Plane) and len(part.points) > 3:
            gaps.append(_spread_of_plane(part.points, area))
    if not gaps:
        return None
    return TopShots(sigma, is_stated, float(np.linalg.norm(shots)), float(np.linalg.norm(gaps)))


def measure_weights(points: FloatArray, area: shapely.Geometry) -> FloatArray:
    """Area of a top (n,), m², that rises with each of its points: they add up to the whole."""
    surface = extend_level(build_surface(points), area)
    pieces, parent, _ = overlay(surface.corners[..., :2], triangulate_polygon(area))
    held = shares_of_corners(surface.points[surface.triangles[parent]], pieces)
    by_vertex = np.einsum("k,kcv->kv", plan_area(pieces) / 3, held)
    by_point: AnyArray = np.bincount(
        surface.triangles[parent].ravel(),
        weights=by_vertex.ravel(),
        minlength=len(surface.points),
    )
    return hand_back(by_point.astype(np.float64), surface.rests)[: len(points)]


def spread_of_gaps(points: FloatArray, weights: FloatArray, sigma: float) -> float:
    """
    Standard deviation of the volume from what a top does between its shots, m³.

    Shots in line with two others tell by how much forms stray from the straight line over a known
    length. Between the shots they are taken to stray as a random walk that is held at both ends:
    its mean over a gap has a variance of the warp times the gap over 12, each gap by itself. That
    bends go the same way in many gaps is a part of its own, and as large as their sum.
    """
    near = find_neighbours(points[:, :2], min(_NEAR, len(points) - 1))
    gap = np.hypot(*(points[near[:, :2], :2] - points[:, None, :2]).T).mean(axis=0)
    at, off, before, after = _find_in_line(points, near)
    warp, bend = WARP, np.zeros(len(points))
    if len(at):
        long = before * after / (before + after)
        read = sigma**2 * (1 + (before**2 + after**2) / (before + after) ** 2)
        shown = np.maximum(np.median((off**2 - read) / long) / _MEDIAN, 0.0)
        warp = (_WARP_COUNTS * WARP + len(at) * shown) / (_WARP_COUNTS + len(at))
        curve = 2 * off / (before * after)
        most = _BREAK * float(np.median(np.abs(curve)))
        curve = np.clip(curve, -most, most)
        count = np.bincount(at, minlength=len(points))
        total = np.bincount(at, weights=curve, minlength=len(points))
        bend = np.where(count > 0, total / np.maximum(count, 1), curve.mean())
    walk = np.linalg.norm(weights * np.sqrt(warp * gap / 12))
    return float(np.hypot(walk, weights @ (bend * gap**2 / 12)))


def _find_in_line(
    points: FloatArray, near: RowArray
) -> tuple[IntArray, FloatArray, FloatArray, FloatArray]:
    """
    Points that stand in line between the nearest such two, some of them between more than one pair.

    Returns
    -------
    at : (k,) array of int
    off : (k,) array of float
        What they stand above the straight line, m.
    before, after : (k,) array of float
        How far the two are, m.
    """
    one, other = np.triu_indices(near.shape[1], 1)
    way = points[near, :2] - points[:, None, :2]
    level = points[near, 2]
    long = np.hypot(way[..., 0], way[..., 1])
    before, after = long[:, one], long[:, other]
    first, second = way[:, one], way[:, other]
    whole = np.hypot(*np.moveaxis(first - second, 2, 0))
    beside = np.abs(first[..., 0] * second[..., 1] - first[..., 1] * second[..., 0])
    is_between = (first * second).sum(axis=2) < 0
    is_in_line = is_between & (beside <= _IN_LINE * whole * np.minimum(before, after))
    whole = np.where(is_in_line, before + after, np.inf)
    # of a lattice both ways are as short: which comes first hangs on the order of the shots
    at, pair = np.nonzero(is_in_line & (whole <= 1.000001 * whole.min(axis=1, keepdims=True)))
    before, after = before[at, pair], after[at, pair]
    ends = level[at, one[pair]] * after + level[at, other[pair]] * before
    return at, points[at, 2] - ends / (before + after), before, after


def _spread_of_plane(points: FloatArray, area: shapely.Geometry) -> float:
    """Standard deviation of the volume from how points scatter about their plane, m³."""
    residuals = fit_plane(points)[1]
    middle = points[:, :2].mean(axis=0)
    about = np.column_stack([np.ones(len(points)), points[:, :2] - middle])
    centre = shapely.get_coordinates(shapely.centroid(area))[0] - middle
    asked = np.array([1.0, *centre])
    share = float(asked @ np.linalg.solve(about.T @ about, asked))
    return float(area.area * np.sqrt(residuals @ residuals / (len(points) - 3) * share))
