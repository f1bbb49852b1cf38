"""Squares that the slab's edge cuts: points on the slab are not averaged with those beside it.

Beside the slab the ground outside the forms may stand a foot off the base; a mean of both is
neither.
"""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.files.bins import Bins, coarsen_bins, merge_bins
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.site.beside import find_inner

#: A part of a square on the slab that holds less than this share of what is usual goes with the
#: fullest square beside it: by itself its mean would be unsure.
_FEW = 0.25


def split_at_edge(fine: Bins, bins: Bins, edge: FloatArray) -> FloatArray:
    """
    Make squares of smaller ones, in two parts where the slab's edge cuts them.

    Parameters
    ----------
    fine : Bins
        The smaller ones; each is on the slab where the middle of its points is.
    bins : Bins
        The same points in the squares that were chosen.
    edge : (m, 2) array of float
        Corners of the slab, m.

    Returns
    -------
    (b, 3) array of float
        Mean places and elevations, m.
    """
    slab = find_inner(shapely.Polygon(edge))
    boundary = slab.boundary
    shapely.prepare([slab, boundary])
    middle = (np.column_stack([bins.column, bins.row]) + 0.5) * bins.cell
    near = shapely.dwithin(boundary, shapely.points(middle), bins.cell * np.sqrt(0.5))
    if not near.any():
        return bins.means
    factor = round(bins.cell / fine.cell)
    is_cut = _are_of(fine, factor, bins, near)
    cut = _pick(fine, is_cut)
    is_on = shapely.intersects_xy(slab, *cut.means[:, :2].T)
    on, off = (coarsen_bins(_pick(cut, mask), factor, cell=bins.cell) for mask in (is_on, ~is_on))
    whole = _pick(bins, ~near)
    within = shapely.intersects_xy(slab, *middle[~near].T)
    least = _FEW * float(np.median(bins.count))
    on = _join_few(on, _pick(whole, within), least)
    beside = off.means
    # the middle of what lies around a corner of the slab may lie on it, where it shows nothing
    beside = beside[~shapely.intersects_xy(slab, *beside[:, :2].T)]
    return np.vstack([merge_bins([whole, on]).means, beside])


def _pick(bins: Bins, rows: BoolArray) -> Bins:
    """Those of some rows."""
    east, north, level = (axis[rows] for axis in bins.total)
    kept = bins.column[rows], bins.row[rows], bins.count[rows]
    return Bins(bins.cell, bins.steps, *kept, (east, north, level))


def _are_of(fine: Bins, factor: int, bins: Bins, chosen: BoolArray) -> BoolArray:
    """Whether each small square lies in a chosen large one."""
    tall = int(bins.row.max() - bins.row.min()) + 1
    first = bins.row.min()
    wanted = bins.column[chosen] * tall + (bins.row[chosen] - first)
    return np.isin((fine.column // factor) * tall + (fine.row // factor - first), wanted)


def _join_few(on: Bins, whole: Bins, least: float) -> Bins:
    """Count squares of few points as part of the fullest of the eight around."""
    is_few = on.count < least
    counts = {
        (column, row): count
        for part in (_pick(on, ~is_few), whole)
        for column, row, count in zip(
            part.column.tolist(), part.row.tolist(), part.count.tolist(), strict=True
        )
    }
    column, row = on.column.copy(), on.row.copy()
    for at in np.flatnonzero(is_few).tolist():
        around = [
            (counts.get(place, 0), place)
            for east in (-1, 0, 1)
            for north in (-1, 0, 1)
            for place in [(int(on.column[at]) + east, int(on.row[at]) + north)]
        ]
        held, place = max(around)
        if held:
            column[at], row[at] = place
    moved = replace(on, column=column, row=row)
    return merge_bins([_pick(moved, ~is_few), _pick(moved, is_few)])
