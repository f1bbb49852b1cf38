"""Ground beside the slab in a cloud: left out where the base does not go on to it."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.places import measure_away
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.survey import Survey

#: The edge is looked at in stretches this long, m. Along each the points that are nearest, within
#: a strip as wide as the second or a square of the cloud, are held against so many of the nearest
#: on the slab. Off those by more than a step, m, and what a base rises in as far beside its mean
#: plane, as to a drain, they are no base. Ours, no source.
_STRETCH, _STRIP, _NEAREST, _STEP, _STEEP = 0.5, 0.2, 4, 0.015, 0.04
#: So near to the edge, m, a scan that is a little off in plan may show what stands beside it: such
#: points are left out with it. Ours, no source.
_UNSURE = 0.025
#: What a base rises in more than this, m, is allowed only where points, or squares, lie so far
#: apart that this many fit in: ground 4 m off the last of the base is not told from it by a slope.
_REACH, _APART = 1.0, 3.0


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
    inner = find_inner(slab)
    shapely.prepare([slab, inner])
    away = measure_away(inner, plan)
    off, on = np.flatnonzero(away > 0), np.flatnonzero(away == 0)
    is_out = ~shapely.intersects_xy(slab, *plan[off].T)
    cell = survey.grain.cell if survey.grain else 0.0
    if len(on) < _NEAREST or not is_out.any():
        return survey
    stretch = shapely.line_locate_point(slab.exterior, shapely.points(plan[off]))
    stretch = (stretch // _STRETCH).astype(np.intp)
    nearest = np.full(stretch.max() + 1, np.inf)
    np.minimum.at(nearest, stretch[is_out], away[off[is_out]])
    is_first = is_out & (away[off] <= nearest[stretch] + max(_STRIP, cell))
    step, apart = _measure_steps(survey.points[off[is_first]], survey.points[on])
    order = np.argsort(stretch[is_first], kind="stable")
    held, starts = np.unique(stretch[is_first][order], return_index=True)
    middle, gap = (
        np.array([np.median(part) for part in np.split(values[order], starts[1:])])
        for values in (step, apart)
    )
    spacing = max(cell, float(np.sqrt(slab.area / len(on))))
    is_apart = np.abs(middle) > _STEP + _STEEP * np.minimum(gap, max(_REACH, _APART * spacing))
    left = np.isin(stretch, held[is_apart])
    if not left.any():
        return survey
    kept = np.delete(np.arange(len(survey.points)), off[left])
    note = _note(middle[is_apart], slab.exterior.length, int(left.sum()))
    return replace(
        survey,
        points=survey.points[kept],
        errors=None if survey.errors is None else survey.errors[kept],
        notes=(*survey.notes, note),
    )


def find_inner(slab: shapely.Polygon) -> shapely.Geometry:
    """The slab without the strip at its edge where points may be of what stands beside it."""
    inner = slab.buffer(-_UNSURE, join_style="mitre")
    return slab if inner.is_empty else inner


def _measure_steps(off: FloatArray, on: FloatArray) -> tuple[FloatArray, FloatArray]:
    """By how much points beside the slab leave those nearest on it, and how far apart, m."""
    from scipy.spatial import cKDTree  # noqa: PLC0415

    middle = on.mean(axis=0)
    flat, beside = on - middle, off - middle
    slope = np.linalg.lstsq(flat[:, :2], flat[:, 2], rcond=None)[0]
    apart, near = cKDTree(flat[:, :2], balanced_tree=False).query(beside[:, :2], k=_NEAREST)
    level = np.median((flat[:, 2] - flat[:, :2] @ slope)[near], axis=1)
    steps: FloatArray = beside[:, 2] - beside[:, :2] @ slope - level
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
