"""Grids of which a row leaves those on either side, as in a packed file with a turned bit."""

import numpy as np
import shapely

from gradevol.files import Files
from gradevol.files.sources import BaseSource, SurfaceFile
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.ground.words import count_of, verb_of
from gradevol.measures.base import MeasuredBase
from gradevol.site.slab import Slab

#: A row that leaves those on either side by more than this, m, and by so many times what rows do,
#: over so many pixels, was hardly graded so. Common practice, no source.
LEAST_OFF, OFF_TIMES, PIXELS = 0.025, 10.0, 3
#: So many are listed by their places.
_SHOWN = 50


def remark_on_rows(
    source: BaseSource, measured: MeasuredBase, slab: Slab, files: Files
) -> tuple[Note, ...]:
    """
    Remark on rows of a grid that leave those on either side of them.

    Parameters
    ----------
    source : Shots or Rods or Depths or Sheets or Cloud or SurfaceFile
    measured : MeasuredBase
        Of a grid: its pixels, then the middles of its cells, each of four faces.
    slab : Slab
    files : Files
        What the run has opened.

    Returns
    -------
    tuple of Note
        Code ``grid-rows-apart``; a grid packed by LZW, or not at all, carries no sums.
    """
    is_grid = isinstance(source, SurfaceFile) and files.open(source.path).kind == "GeoTIFF"
    if not is_grid or measured.faces is None:
        return ()
    pixels = measured.survey.points[: len(measured.survey.points) - len(measured.faces) // 4]
    east, column = np.unique(np.round(pixels[:, 0], 6), return_inverse=True)
    north, row = np.unique(np.round(pixels[:, 1], 6), return_inverse=True)
    level = np.full((len(north), len(east)), np.nan)
    level[row, column] = pixels[:, 2]
    if len(north) < 5 or len(east) < PIXELS:  # two rows on either side
        return ()
    off = _leave_sides(level)
    known = np.isfinite(off)
    if not known.any():
        return ()
    limit = max(LEAST_OFF, OFF_TIMES * robust_spread(off[known]))
    rows, columns = np.nonzero(known & (np.abs(off) > limit))
    places = np.column_stack([east[columns + PIXELS // 2], north[rows + 2]])
    is_on = shapely.intersects_xy(slab.outline, *places.T)
    places, sizes = places[is_on], np.abs(off[rows, columns])[is_on]
    if len(places) == 0:
        return ()
    count = len(np.unique(places[:, 1]))
    text = (
        f"{count_of(count, 'row')} of the grid {verb_of(count, 'leave')} those on either side over "
        "several pixels, by up to {}: was the file damaged, or is there a rut or a hose? Look "
        "there, or export it again."
    )
    shown = tuple((float(e), float(n)) for e, n in places[np.argsort(-sizes, kind="stable")])
    worst = Measure(float(sizes.max()), Kind.LEVEL)
    return (Note("grid-rows-apart", text, (worst,), places=shown[:_SHOWN]),)


def _leave_sides(level: FloatArray) -> FloatArray:
    """
    How far each row leaves what lies on either side of it, over some pixels.

    Parameters
    ----------
    level : (r, c) array of float
        m; not-a-number where there is none.

    Returns
    -------
    (r - 4, c - PIXELS + 1) array of float
        The least of how far it is off the next rows, and off where the next two would lead, where
        it is above or below all of them: at the foot of a slope or of a step it is not.
    """
    own, before, after = level[2:-2], level[1:-3], level[3:-1]
    off = own - np.stack([before, after, 2 * before - level[:-4], 2 * after - level[4:]])
    is_apart = (off > 0).all(axis=0) | (off < 0).all(axis=0)
    least = np.where(is_apart, np.abs(off).min(axis=0), 0.0) * np.sign(off[0])
    runs = np.lib.stride_tricks.sliding_window_view(least, PIXELS, axis=1)
    return np.median(runs, axis=2) + 0 * runs.sum(axis=2)
