"""Squares that the slab's edge cuts: points on the slab are not averaged with those beside it.

Beside the slab the ground outside the forms may stand a foot off the base; a mean of both is
neither.
"""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.files.clouds.bins import Bins, coarsen_bins, merge_bins
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.site.beside import find_inner

#: A part of a square on the slab that holds less than this share of what is usual goes with the
#: fullest square beside it: by itself its mean would be unsure.
_FEW = 0.25


def split_at_edge(fine: Bins, bins: Bins, edge: FloatArray) -> list[Bins]:
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
    list of Bins
        Those on the slab with the whole ones off it, and parts off it of those that it cuts.
    """
    slab = find_inner(shapely.Polygon(edge))
    boundary = slab.boundary
    shapely.prepare([slab, boundary])
    near = shapely.dwithin(boundary, shapely.points(_middles(bins)), bins.cell * np.sqrt(0.5))
    if not near.any():
        return [bins]
    factor = round(bins.cell / fine.cell)
    large = fine.column // factor, fine.row // factor
    cut = fine[_are_among(*large, bins.column[near], bins.row[near])]
    is_on = shapely.intersects_xy(slab, *cut.means[:, :2].T)
    on, off = (coarsen_bins(cut[mask], factor, cell=bins.cell) for mask in (is_on, ~is_on))
    whole = bins[~near]
    on = _join_few(on, whole, slab, least=_FEW * float(np.median(bins.count)))
    # the middle of what lies around a corner of the slab may lie on it, where it shows nothing
    off = off[~shapely.intersects_xy(slab, *off.means[:, :2].T)]
    return [merge_bins([whole, on]), off]


def _middles(bins: Bins) -> FloatArray:
    return np.asarray((np.column_stack([bins.column, bins.row]) + 0.5) * bins.cell)


def _are_among(column: IntArray, row: IntArray, columns: IntArray, rows: IntArray) -> BoolArray:
    """Whether each square, by its column and row, is one of others."""
    low = min(row.min(), rows.min())
    tall = int(max(row.max(), rows.max()) - low) + 1
    return np.isin(column * tall + (row - low), columns * tall + (rows - low))


def _join_few(on: Bins, whole: Bins, slab: shapely.Geometry, *, least: float) -> Bins:
    """Count squares of few points as part of the fullest of the eight around, on the slab."""
    is_few = on.count < least
    if not is_few.any():
        return on
    off = np.repeat([-1, 0, 1], 3), np.tile([-1, 0, 1], 3)
    few = on.column[is_few], on.row[is_few]
    around = [(of[:, None] + by).ravel() for of, by in zip(few, off, strict=True)]
    whole = whole[_are_among(whole.column, whole.row, *around)]
    whole = whole[shapely.intersects_xy(slab, *_middles(whole).T)]
    counts = {
        (column, row): count
        for part in (on[~is_few], whole)
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
    return merge_bins([moved[~is_few], moved[is_few]])
