"""Grids whose rows jump from one pixel to the next, as of a packed file with a turned bit."""

import numpy as np
import shapely

from gradevol.files import Files
from gradevol.files.sources import BaseSource, SurfaceFile
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.ground.words import count_of
from gradevol.measures.base import MeasuredBase
from gradevol.site.slab import Slab

#: A row that leaves both rows beside it at once by more than this, m, and by so many times what
#: rows do, over so many pixels, was not graded so. Common practice, no source.
LEAST_JUMP, JUMP_TIMES, PIXELS = 0.025, 10.0, 3
#: So many are listed by their places.
_SHOWN = 50


def remark_on_rows(
    source: BaseSource, measured: MeasuredBase, slab: Slab, files: Files
) -> tuple[Note, ...]:
    """
    Remark on rows of a grid that jump against the rows on either side of them.

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
        Code ``grid-rows-jump``; a grid packed by LZW, or not at all, carries no sums.
    """
    is_grid = isinstance(source, SurfaceFile) and files.open(source.path).kind == "GeoTIFF"
    if not is_grid or measured.faces is None:
        return ()
    pixels = measured.survey.points[: len(measured.survey.points) - len(measured.faces) // 4]
    east, column = np.unique(np.round(pixels[:, 0], 6), return_inverse=True)
    north, row = np.unique(np.round(pixels[:, 1], 6), return_inverse=True)
    level = np.full((len(north), len(east)), np.nan)
    level[row, column] = pixels[:, 2]
    if len(north) < PIXELS or len(east) < 2 * PIXELS:
        return ()
    jump = _find_jumps(level)
    known = np.isfinite(jump)
    if not known.any():
        return ()
    limit = max(LEAST_JUMP, JUMP_TIMES * robust_spread(jump[known]))
    rows, columns = np.nonzero(known & (np.abs(jump) > limit))
    places = np.column_stack([east[columns + PIXELS - 1], north[rows + 1]])
    is_on = shapely.intersects_xy(slab.outline, *places.T)
    places, sizes = places[is_on], np.abs(jump[rows, columns])[is_on]
    if len(places) == 0:
        return ()
    text = (
        f"At {count_of(len(places), 'place')} a row of the grid jumps from one pixel to the next "
        "and leaves the rows on either side, by up to {}: was the file damaged? Export it again."
    )
    shown = tuple((float(e), float(n)) for e, n in places[np.argsort(-sizes, kind="stable")])
    worst = Measure(float(sizes.max()), Kind.LEVEL)
    return (Note("grid-rows-jump", text, (worst,), places=shown[:_SHOWN]),)


def _find_jumps(level: FloatArray) -> FloatArray:
    """
    How much farther each row leaves those on either side behind a pixel than up to it.

    Parameters
    ----------
    level : (r, c) array of float
        m; not-a-number where there is none.

    Returns
    -------
    (r - 2, c - 2 PIXELS + 1) array of float
        Of all rows but the outermost, where there are enough pixels on both sides.
    """
    below, above = level[1:-1] - level[:-2], level[1:-1] - level[2:]
    least = np.where(np.abs(below) < np.abs(above), below, above)
    off = np.where((below > 0) == (above > 0), least, 0.0) + 0 * (below + above)
    runs = np.median(np.lib.stride_tricks.sliding_window_view(off, PIXELS, axis=1), axis=2)
    jumps: FloatArray = runs[:, PIXELS:] - runs[:, :-PIXELS]
    return jumps
