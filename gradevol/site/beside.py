"""Ground beside the slab in a cloud: left out where the base does not go on to it."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.places import measure_away
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.survey import Survey

#: The edge is looked at in stretches this long, m. Along each the points that are nearest, within
#: a strip as wide as the second or a square of the cloud, are held against so many of the nearest
#: on the slab. Off those by more than a step, m, and what a base rises in as far beside its mean
#: plane, as to a drain, they are no base. Ours, no source.
_STRETCH, _STRIP, _NEAREST, _STEP, _STEEP = 0.5, 0.2, 4, 0.015, 0.04
#: How far from the edge points on the slab are asked, m, or so many squares; farther in where
#: there are none.
_REACH, _SQUARES = 1.0, 3.0


def leave_out_beside(survey: Survey, edge: FloatArray | None) -> Survey:
    """
    Leave out what a cloud shows beside the slab and off its base: ground outside the forms.

    Between the outermost points on the slab and such ground the surface would lie on neither.

    Parameters
    ----------
    survey : Survey
        A cloud's.
    edge : (m, 2) array of float or None
        Corners of the slab about no origin, m; None: nothing is left out.

    Returns
    -------
    Survey
        With a note `cloud-beside` where anything is left out.
    """
    if edge is None:
        return survey
    slab, plan = shapely.Polygon(edge - survey.origin[:2]), survey.points[:, :2]
    away = measure_away(slab, plan)
    off, on = np.flatnonzero(away > 0), np.flatnonzero(away == 0)
    cell = survey.grain.cell if survey.grain else 0.0
    inner = slab.buffer(-max(_REACH, _SQUARES * cell))
    rim = on[~shapely.intersects_xy(inner, *plan[on].T)]
    if len(rim) < _NEAREST or len(off) == 0:
        return survey
    stretch = shapely.line_locate_point(slab.exterior, shapely.points(plan[off]))
    stretch = (stretch // _STRETCH).astype(np.intp)
    nearest = np.full(stretch.max() + 1, np.inf)
    np.minimum.at(nearest, stretch, away[off])
    is_first = away[off] <= nearest[stretch] + max(_STRIP, cell)
    step, apart = _measure_steps(off[is_first], rim, survey.points, on)
    order = np.argsort(stretch[is_first], kind="stable")
    held, starts = np.unique(stretch[is_first][order], return_index=True)
    middle, gap = (
        np.array([np.median(part) for part in np.split(values[order], starts[1:])])
        for values in (step, apart)
    )
    is_apart = np.abs(middle) > _STEP + _STEEP * gap
    left = np.isin(stretch, held[is_apart])
    if not left.any():
        return survey
    kept = np.delete(np.arange(len(survey.points)), off[left])
    note = _note(middle[is_apart], slab.exterior.length, int(left.sum()))
    return replace(survey, points=survey.points[kept], notes=(*survey.notes, note))


def _measure_steps(
    off: IntArray, rim: IntArray, points: FloatArray, on: IntArray
) -> tuple[FloatArray, FloatArray]:
    """By how much points beside the slab leave those nearest on it, and how far apart, m."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    middle = points[on].mean(axis=0)
    flat = points[on] - middle
    slope = np.linalg.lstsq(flat[:, :2], flat[:, 2], rcond=None)[0]
    over = points[:, 2] - points[:, :2] @ slope
    apart, near = cKDTree(points[rim, :2]).query(points[off, :2], k=_NEAREST)
    steps: FloatArray = over[off] - np.median(over[rim][near], axis=1)
    return steps, apart.mean(axis=1)


def _note(steps: FloatArray, around: float, count: int) -> Note:
    low, high = float(steps.min()), float(steps.max())
    ways = [f"{{}} {'above' if end > 0 else 'below'}" for end in (low, high)]
    alike = round(low, 2) == round(high, 2)
    said = ways[0] if alike else f"from {ways[0]} to {ways[1]}"
    return Note(
        "cloud-beside",
        f"Along {{}} of the slab's edge the scan shows ground beside it that stands {said} the "
        f"base, as outside the forms: {count:,} squares or points there were left out.",
        (
            Measure(min(len(steps) * _STRETCH, around), Kind.TAPE),
            *(Measure(abs(end), Kind.LEVEL) for end in ((low,) if alike else (low, high))),
        ),
    )
