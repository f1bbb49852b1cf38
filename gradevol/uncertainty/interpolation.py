"""What the base does between its shots: the process that its departures from the design follow."""

from dataclasses import dataclass, field

import numpy as np
import shapely

from gradevol.geometry.clipping import clip_by_line, fan
from gradevol.geometry.coarse import coarsen
from gradevol.geometry.prisms import span_of_corners
from gradevol.ground.arrays import AnyArray, FloatArray, IntArray
from gradevol.ground.notes import Note
from gradevol.measures.base import BaseSurface
from gradevol.measures.concrete import Concrete
from gradevol.measures.field import ThicknessField, each_piece
from gradevol.site.slab import Slab
from gradevol.site.surface import level_beside
from gradevol.site.survey import Survey
from gradevol.site.thickening import drawn_depth
from gradevol.site.top import Top
from gradevol.uncertainty.kernel import find_bearing, find_bearing_of_sides
from gradevol.uncertainty.mixture import Mixture
from gradevol.uncertainty.process import Process, fit_process
from gradevol.uncertainty.sensitivity import measure_shares
from gradevol.uncertainty.unseen import (
    Rows,
    find_rows,
    measure_unseen,
    remark_on_forms,
    remark_on_rows,
)

#: More places than this are thinned to cells for the process.
MOST_PLACES = 500
#: An outline of more corners is coarsened for the process: a small hole, or a chord of an arc,
#: moves no margin.
MOST_CORNERS = 400
#: Fewer places than this make an interval that a note goes with.
FEW_PLACES = 10
#: Concrete on a strip narrower than this, m, on the mean, is what rounding leaves of a base at the
#: top; nodes in such would be without number.
_SLIVER = 0.001
#: The greater of the published spreads of slabs on ground, 0.90 in (`process.USUAL_SPREAD`), m: how
#: far a base can lie from one shot, where nothing better is known.
WIDEST_SPREAD = 0.023


@dataclass(frozen=True, slots=True)
class Between:
    """
    What the base does between the shots, and what that makes of the volume.

    Attributes
    ----------
    region : shapely polygon or multipolygon
        What of the slab holds concrete, as far as the shots show it, m.
    volume : Mixture
        Of the concrete's volume, the shots' own errors and what they share apart, m³.
    process : Process or None
        Of the base's departure from its design: top less thickness, thickenings that the shots
        show included. None where the shots tell too little for one.
    size : float
        Shots that a reading of the process stands for, on the mean: more than one where many were
        thinned to cells.
    unevenness : float
        Variance of the base within a cell about the cell's mean, the shots' own errors taken away,
        m²; nought where shots were not thinned.
    unseen : float
        Part of the volume's spread that is for what rows of shots don't show, one standard
        deviation, m³.
    rows : tuple of Rows
        How the shots stand along the slab and across it.
    shares : (p,) array of float or None
        Area that each place of the base stands for (`measure_shares`), m².
    """

    region: shapely.Geometry
    volume: Mixture
    process: Process | None = field(default=None, repr=False)
    size: float = 1.0
    unevenness: float = 0.0
    unseen: float = 0.0
    rows: tuple[Rows, ...] = ()
    notes: tuple[Note, ...] = ()
    shares: FloatArray | None = field(default=None, repr=False)


def fit_between(
    thickness: ThicknessField,
    base: BaseSurface,
    survey: Survey,
    top: Top,
    slab: Slab,
    *,
    concrete: Concrete,
) -> Between:
    """
    Fit what the base does between the shots.

    Parameters
    ----------
    thickness : ThicknessField
    base : BaseSurface
    survey : Survey
        With the accuracy of its shots.
    top : Top
    slab : Slab
    concrete : Concrete
        The stated volume.
    """
    region = _find_region(thickness, slab)
    if region.area == 0:
        return Between(region, Mixture.of_one(concrete.volume, 0.0))
    shares = measure_shares(thickness, base)
    places = _thin(base.surface.points[: base.used], shares, region)
    notes: tuple[Note, ...] = (_few(len(places.plan)),) if len(places.plan) < FEW_PLACES else ()
    guess = Mixture.of_one(concrete.volume, float(region.area) * WIDEST_SPREAD)
    if len(places.plan) < 3:
        return Between(region, guess, notes=notes)
    departure = places.depart(top, slab)
    size = float(places.size.mean())
    try:
        process = fit_process(
            places.plan,
            departure,
            region,
            floor=survey.sigma / float(np.sqrt(size)),
            members=(places.shots[:, :2], places.cell) if len(places.shots) else None,
        )
    except np.linalg.LinAlgError:
        return Between(region, guess, notes=(_FAILED,))
    whole = concrete.volume - concrete.slab + region.area * slab.thickness
    if any(part.surveyed == "yes" for part in slab.thickenings):
        # the drawn beams are in the TIN as they were shot: only departures are compared
        whole = concrete.volume + float(places.share @ departure)
        if (beside := places.beside) is not None:
            whole += float(beside.share @ beside.depart(top, slab))
    unevenness = 0.0
    if size > 1 and survey.ids:
        # points without names, as a cloud's, are dense: what lies between them is not asked
        unevenness = max(_spread_within(places, top, slab) - survey.sigma**2, 0.0)
    # of all the shots, for means of cells stand in rows whatever they are means of
    plan = base.surface.points[: base.used, :2]
    rows = find_rows(plan, region, find_bearing(places.plan, region))
    unseen = measure_unseen(rows, region)
    volume = process.integral.turn(whole).widen(unseen)
    if not notes and survey.ids:
        notes = (
            *remark_on_rows(rows, unseen, float(np.sqrt(volume.variance)), region),
            *remark_on_forms(plan, process.trend),
        )
    return Between(region, volume, process, size, unevenness, unseen, tuple(rows), notes, shares)


@dataclass(frozen=True, slots=True)
class _Places:
    """
    Places of shots, or means of cells: plan (c, 2), level, count of each, and their shares.

    Of cells also the shots in them, (n, 3), and the cell of each; and what lies beside the slab,
    to which the process is not fitted.
    """

    plan: FloatArray
    level: FloatArray
    size: FloatArray
    share: FloatArray
    shots: FloatArray = field(default_factory=lambda: np.zeros((0, 3)))
    cell: IntArray = field(default_factory=lambda: np.zeros(0, np.intp))
    beside: "_Places | None" = None

    @classmethod
    def of(cls, points: FloatArray, share: FloatArray) -> "_Places":
        """Points (n, 3), each by itself."""
        return cls(points[:, :2], points[:, 2], np.ones(len(points)), share)

    def depart(self, top: Top, slab: Slab) -> FloatArray:
        """How the base departs from its design at each, beams that the shots show included, m."""
        underside = self.level + drawn_depth(slab, self.plan, of=["yes"]) + slab.thickness
        return underside - level_beside(top.surface, self.plan, underside)


def _spread_within(places: _Places, top: Top, slab: Slab) -> float:
    """Variance of single shots about the mean of their cell, by their departures, m²."""
    each = _Places.of(places.shots, np.ones(len(places.shots))).depart(top, slab)
    mean = np.bincount(places.cell, weights=each) / places.size
    left = each - mean[places.cell]
    return float(left @ left) / (len(each) - len(places.size))


def _find_region(thickness: ThicknessField, slab: Slab) -> shapely.Geometry:
    """
    What of the slab holds concrete, as far as the shots show.

    Where the base reaches above the top beyond the shots it is a guess, and as unsure as elsewhere.
    """
    least = each_piece(thickness, lambda part: span_of_corners(part.thickness)[0])
    is_short = thickness.is_surveyed & (least < 0)
    if not is_short.any():
        return coarsen(slab.outline, most=MOST_CORNERS)
    # what is missing is mostly little of the whole: its pieces are put together, not the rest's
    short = thickness.take(is_short)
    corners, counts = clip_by_line(short.corners, np.full(len(short.area), 3), -short.thickness)
    missing = shapely.union_all(shapely.polygons(fan(corners, counts)[0]), grid_size=1e-9)
    left = shapely.difference(slab.outline, missing, grid_size=1e-9)
    parts = shapely.get_parts(left)
    is_wide = 2 * shapely.area(parts) > _SLIVER * shapely.length(parts)
    if not is_wide.all():
        left = shapely.multipolygons(parts[is_wide])
    return coarsen(left, most=MOST_CORNERS)


def _thin(points: FloatArray, shares: FloatArray, region: shapely.Geometry) -> _Places:
    """Places that the volume rests on and those not far from the slab; too many: means of cells."""
    reach = np.sqrt(region.area) / 4
    is_near = shares != 0
    others = np.flatnonzero(~is_near)
    shapely.prepare(region)
    is_near[others] = shapely.dwithin(region, shapely.points(points[others, :2]), reach)
    points, shares = points[is_near], shares[is_near]
    is_on = shapely.intersects_xy(region, *points[:, :2].T)
    beside = None
    if is_on.sum() > MOST_PLACES:
        # of a dense survey what lies beside the slab tells nothing more, and may be other ground
        is_beside = ~is_on & (shares != 0)
        beside = _Places.of(points[is_beside], shares[is_beside])
        points, shares = points[is_on], shares[is_on]
    if len(points) <= MOST_PLACES:
        return _Places.of(points, shares)
    # along the slab's sides, about its middle: coordinates may be turned
    bearing = find_bearing_of_sides(region, points[:, :2])
    middle = complex(*region.centroid.coords[0])
    off = (points[:, :2] @ [1, 1j] - middle) * np.exp(-1j * bearing)
    side = float(np.sqrt(region.area / MOST_PLACES))
    while True:
        column, row = (
            np.floor(part / side + 0.5).astype(np.int64) for part in (off.real, off.imag)
        )
        row -= row.min()
        cells, cell = np.unique(column * (row.max() + 1) + row, return_inverse=True)
        if len(cells) <= MOST_PLACES:
            break
        side *= 1.1
    size = np.bincount(cell).astype(float)
    sums: list[AnyArray] = [np.bincount(cell, weights=held) for held in (*points.T, shares)]
    east, north, level = (total / size for total in sums[:3])
    return _Places(np.column_stack([east, north]), level, size, sums[3], points, cell, beside)


_FAILED = Note(
    "interval-fit-failed",
    "How the base lies between the shots could not be worked out from them: the margin takes it as "
    "no better known than from a single shot.",
)


def _few(count: int) -> Note:
    return Note(
        "interval-few-shots",
        f"Only {count} places were shot: too few to tell how uneven the base is between them, so "
        "the margin is wide and leans on what is usual for slabs on ground. Take more shots.",
    )
