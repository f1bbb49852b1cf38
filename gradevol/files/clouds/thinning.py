"""Thinning: a cloud's points gathered in bins, of a side that their spacing and noise ask for.

Single points of a scan scatter by millimetres; on a surface through all of them the scatter itself
is thin here and high there. The mean of a bin is surer by the square root of its points.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from gradevol.files.clouds.bins import Bins, coarsen_bins
from gradevol.files.clouds.chunks import Bounds
from gradevol.files.clouds.cut_squares import split_at_edge
from gradevol.files.clouds.gathering import Gathering
from gradevol.files.clouds.scatter import measure_scatter
from gradevol.files.clouds.stored import FINE, Steps
from gradevol.files.sources import MOST_BINS
from gradevol.ground.arrays import FloatArray
from gradevol.site.survey import SURE_MEAN, Grain

#: Points that may stand for themselves where no cell is stated; ours, no source.
MOST_POINTS = 2_000_000
#: Sides that are chosen from are these multiples of a step, 50 mm or 2 in: from what a grader's
#: tool can tell apart, a hand's breadth, to half of the least place worth work (common practice, no
#: source). Only more than `MOST_BINS` make larger ones.
STEP, INCH_STEP = 0.05, 2 * 0.0254
LEAST = 2
_MULTIPLES = (LEAST, 3, 4, 5, 6, 8, 10)
#: A mean must be sure in this share of the bins: those along a rim hold few points.
_SURE_SHARE = 0.75
#: Points are gathered first in squares of a step by this, to tell their scatter; doubled where
#: those are too many.
_PARTS = 4
#: How often the parts of a stated cell are doubled, at least, and their side at most, m.
_LEAST_DOUBLED, _LARGEST_PART = 2, 0.02


@dataclass(frozen=True, slots=True)
class Thinned:
    """
    Points that stand for a cloud.

    Attributes
    ----------
    points : (b, 3) array of float
        One a bin, at the mean place and mean elevation of its points; or all, m.
    grain : Grain
        How large the bins are, and how sure a point is on the middle.
    errors : (b,) array of float or None
        How sure each is: its standard error, m; None: too few to tell, or all alike.
    """

    points: FloatArray
    grain: Grain
    errors: FloatArray | None = None


def start_thinning(
    cell: float | None,
    steps: Steps = FINE,
    *,
    step: float = STEP,
    expected: Bounds | None = None,
    most_points: int = MOST_POINTS,
    most_bins: int = MOST_BINS,
) -> Gathering:
    """
    Begin to thin points.

    They are gathered in squares far smaller than will be left, to tell their scatter; more than
    four times `most_bins` at one side are more than `most_bins` at twice it. The extents in a
    header would be a quicker guide, but one stray point makes them useless.

    Parameters
    ----------
    cell : float or None
        Side of a bin, m; 0: every point stands for itself. None: not stated.
    steps : Steps
        What coordinates are added up in.
    step : float
        `STEP` or `INCH_STEP`, m.
    expected : (float, float, float, float), optional
        As for `Gathering`.
    most_points, most_bins : int
        More points than this never stand for themselves, and more bins are not left, where no cell
        is stated.
    """
    if not cell:
        loose = most_points if cell is None else None
        return Gathering(step / _PARTS, steps, 4 * most_bins, None, loose, expected)
    doublings = _count_doublings(cell)
    return Gathering(cell / 2**doublings, steps, 4 * most_bins, doublings, 0, expected)


def _count_doublings(cell: float) -> int:
    """How often the side of the parts of a stated cell is doubled to make it."""
    doublings = _LEAST_DOUBLED
    while cell / 2**doublings > _LARGEST_PART:
        doublings += 1
    return doublings


def finish_thinning(
    gathering: Gathering,
    cell: float | None,
    *,
    step: float = STEP,
    most_bins: int = MOST_BINS,
    edge: FloatArray | None = None,
) -> Thinned:
    """
    Thin the points that were gathered.

    Parameters
    ----------
    gathering : Gathering
    cell, step, most_bins
        As for `start_thinning`. Where no cell is stated, it is the smallest multiple of `step` at
        which a bin's mean is as sure as a careful shot (`SURE_MEAN`) in most bins; no bins where
        the points are far apart and each is as sure by itself.
    edge : (m, 2) array of float, optional
        Corners of the slab, m: squares that its edge cuts are parted there.
    """
    fine = gathering.finish()
    scatter = measure_scatter(fine)
    if cell:
        factor = 2 ** (_count_doublings(cell) - gathering.doubled)
        return _thinned(fine, coarsen_bins(fine, factor, cell=cell), scatter, edge)
    bins = None
    if cell is None and len(fine):
        bins = _choose(
            fine,
            gathering.doubled,
            scatter or 0.0,
            step,
            most_bins=most_bins,
            is_few=gathering.keeps_loose,
        )
    if bins is None:
        return Thinned(gathering.loose(), Grain(0.0, scatter, scatter, 1.0))
    return _thinned(fine, bins, scatter, edge)


def _choose(
    fine: Bins,
    doubled: int,
    scatter: float,
    step: float,
    *,
    most_bins: int,
    is_few: bool,
) -> Bins | None:
    """Bins of the side that is asked for; None where each point may stand for itself."""
    needed = (scatter / SURE_MEAN) ** 2
    for multiple in _multiples():
        factor, left = divmod(multiple * _PARTS, 2**doubled)
        if left:
            continue
        bins = coarsen_bins(fine, factor, cell=round(step * multiple, 10))
        count = np.quantile(bins.count, 1 - _SURE_SHARE)
        if needed <= 1 and count <= 1 and is_few:
            return None
        is_sure = count >= needed or multiple >= _MULTIPLES[-1]
        if is_sure and len(bins) <= most_bins:
            return bins
    raise AssertionError("the multiples have no end")


def _multiples() -> Iterator[int]:
    yield from _MULTIPLES
    multiple = 16  # powers of two, as the parts are doubled
    while True:
        yield multiple
        multiple *= 2


def _thinned(fine: Bins, bins: Bins, scatter: float | None, edge: FloatArray | None) -> Thinned:
    held = float(np.median(bins.count)) if len(bins) else 1.0
    sigma = None if scatter is None else scatter / float(np.sqrt(held))
    parts = [bins] if edge is None or len(bins) == 0 else split_at_edge(fine, bins, edge)
    points = np.vstack([part.means for part in parts])
    count = np.concatenate([part.count for part in parts])
    errors = None if scatter is None else scatter / np.sqrt(count)
    return Thinned(points, Grain(bins.cell, scatter, sigma, held), errors)
