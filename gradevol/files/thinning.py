"""Thinning: a cloud's points gathered in bins, of a side that their spacing and noise ask for.

Single points of a scan scatter by millimetres; on a surface through all of them the scatter itself
is thin here and high there. The mean of a bin is surer by the square root of its points.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np

from gradevol.files.bins import Bins, add_bins, bin_points, coarsen_bins, merge_bins
from gradevol.files.scatter import measure_scatter
from gradevol.ground.arrays import FloatArray
from gradevol.site.survey import SURE_MEAN, Grain

#: Points that may stand for themselves where no cell is stated, and bins that are left: what a TIN
#: and its integrals take in seconds. Ours, no source.
MOST_POINTS = 2_000_000
MOST_BINS = 1_000_000
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
#: Parts of a stated cell, at least, along a side, and their side at most, m.
_LEAST_PARTS, _LARGEST_PART = 4, 0.02


@dataclass(frozen=True, slots=True)
class Thinned:
    """
    Points that stand for a cloud.

    Attributes
    ----------
    points : (b, 3) array of float
        One a bin, at the mean place and mean elevation of its points; or all, m.
    grain : Grain
        How large the bins are, and how sure a point is.
    """

    points: FloatArray
    grain: Grain


def thin_points(
    chunks: Iterable[FloatArray],
    cell: float | None,
    *,
    step: float = STEP,
    most_points: int = MOST_POINTS,
    most_bins: int = MOST_BINS,
) -> Thinned:
    """
    Thin points that come in chunks.

    Parameters
    ----------
    chunks : iterable of (n, 3) array of float
        Easting, northing, elevation, m; at least one chunk.
    cell : float or None
        Side of a bin, m; 0: every point stands for itself. None: the smallest multiple of `step`
        at which a bin's mean is as sure as a careful shot (`SURE_MEAN`) in most bins; no bins where
        the points are far apart and each is as sure by itself.
    step : float
        `STEP` or `INCH_STEP`, m.
    most_points, most_bins : int
        More points than this never stand for themselves, and more bins are not left, where no cell
        is stated.
    """
    held = _Held(list(chunks) if cell == 0 else chunks, most_points if cell is None else 0)
    if cell:
        doublings = 2
        while cell / 2**doublings > _LARGEST_PART:
            doublings += 1
        fine, doubled = _gather(held, cell / 2**doublings, most_bins, doublings)
        return _thinned(
            coarsen_bins(fine, 2 ** (doublings - doubled), cell=cell), measure_scatter(fine)
        )
    fine, doubled = _gather(held, step / _PARTS, most_bins, None)
    scatter = measure_scatter(fine)
    bins = None
    if cell is None and len(fine):
        bins = _choose(fine, doubled, scatter or 0.0, step, most_bins=most_bins, is_few=held.is_few)
    if bins is None:
        loose = held.loose if cell is None else held.source
        return Thinned(np.concatenate(list(loose)), Grain(0.0, scatter, scatter, 1.0))
    return _thinned(bins, scatter)


class _Held:
    """Chunks as they pass; kept loose while they are few."""

    def __init__(self, source: Iterable[FloatArray], most: int) -> None:
        self.source = source
        self.loose: list[FloatArray] = []
        self.is_few = True
        self._room = most

    def __iter__(self) -> Iterator[FloatArray]:
        for chunk in self.source:
            self._room -= len(chunk)
            self.is_few = self.is_few and self._room >= 0
            self.loose = [*self.loose, chunk] if self.is_few else []
            yield chunk


def _gather(
    chunks: Iterable[FloatArray], side: float, most_bins: int, most_doublings: int | None
) -> tuple[Bins, int]:
    """Gather points in bins, and double their side while they are far more than will be left.

    The extents in a header would be a quicker guide, but one stray point makes them useless. More
    than four times `most_bins` at one side are more than `most_bins` at twice it.
    """
    parts: list[Bins] = []
    doubled = 0
    for chunk in chunks:
        parts = add_bins(parts, bin_points(chunk, side * 2**doubled))
        while doubled != most_doublings and sum(map(len, parts)) > 4 * most_bins:
            parts = [merge_bins(parts)]
            if len(parts[0]) > 4 * most_bins:
                parts = [coarsen_bins(parts[0], 2)]
                doubled += 1
    return merge_bins(parts), doubled


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


def _thinned(bins: Bins, scatter: float | None) -> Thinned:
    held = float(np.median(bins.count)) if len(bins) else 1.0
    sigma = None if scatter is None else scatter / float(np.sqrt(held))
    return Thinned(bins.means, Grain(bins.cell, scatter, sigma, held))
