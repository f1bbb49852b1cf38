"""Ground beside the slab in a cloud or a surface: left out where the base does not go on to it."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.places import measure_away
from gradevol.geometry.spread import robust_spread
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.survey import Survey

#: Each side is looked at in stretches about this long, m. Along each the points that are nearest,
#: within a strip as wide as the second or a square of the cloud, are held against so many of the
#: nearest on the slab. Off those by more than a step, m, and what a base rises in as far beside its
#: mean plane, as to a drain, they are no base. Ours, no source.
_STRETCH, _STRIP, _NEAREST, _STEP, _STEEP = 0.5, 0.2, 4, 0.015, 0.04
#: So near to the edge, m, a scan that is a little off in plan may show what stands beside it: such
#: points are left out with it. Ours, no source.
_UNSURE = 0.025
#: What a base rises in more than this, m, is allowed only where points, or squares, lie so far
#: apart that this many fit in: ground 4 m off the last of the base is not told from it by a slope.
_REACH, _APART = 1.0, 3.0
#: Where the edge turns by more than this, radians, is a corner. Ours, no source.
_CORNER = np.radians(30)
#: A point so near to the edge, m, is on it: rounding. So many standard deviations of the steps from
#: point to point on the slab are no step beside it; of so many points they are taken.
_ON_EDGE, _ROUGH, _SAMPLE = 0.001, 3.0, 2000


def leave_out_beside(
    survey: Survey, faces: IntArray | None, edge: FloatArray | None
) -> tuple[Survey, IntArray | None]:
    """
    Leave out what is shown beside the slab and off its base: ground outside the forms.

    Between the outermost points on the slab and such ground the surface would lie on neither.

    Parameters
    ----------
    survey : Survey
        Points of a cloud, or of a surface with faces of its own.
    faces : (t, 3) array of int or None
        Of such a surface.
    edge : (m, 2) array of float or None
        Corners of the slab about no origin, m; None: nothing is left out.

    Returns
    -------
    Survey
        With a note `cloud-beside` or `surface-beside` where anything is left out.
    (t, 3) array of int or None
        Without the faces that reach out to such ground.
    """
    found = None if edge is None else _find_beside(survey, edge, is_sparse=faces is not None)
    if found is None:
        return survey, faces
    left, steps, along = found
    is_kept = np.ones(len(survey.points), bool)
    is_kept[left] = False
    if faces is None:
        gone = f"{len(left):,} squares or points there"
        note = Note("cloud-beside", *_say("scan", steps, along, gone))
    else:
        stays = is_kept[faces].all(axis=1)
        gone = f"{np.count_nonzero(~stays):,} faces there"
        note = Note("surface-beside", *_say("surface", steps, along, gone))
        faces = (np.cumsum(is_kept) - 1)[faces[stays]]
    errors = None if survey.errors is None else survey.errors[is_kept]
    points, notes = survey.points[is_kept], (*survey.notes, note)
    return replace(survey, points=points, errors=errors, notes=notes), faces


def _find_beside(
    survey: Survey, edge: FloatArray, *, is_sparse: bool
) -> tuple[IntArray, FloatArray, float] | None:
    """
    Points of ground beside the slab, its steps off the base, and along how much of the edge, m.

    Where a stretch of the edge has but one or two points, they are off by more than points on the
    slab are off one another.
    """
    slab, plan = shapely.Polygon(edge - survey.origin[:2]), survey.points[:, :2]
    inner = find_inner(slab)
    shapely.prepare([slab, inner])
    away = measure_away(inner, plan)
    off, on = np.flatnonzero(away > 0), np.flatnonzero(away == 0)
    is_out = ~shapely.intersects_xy(slab.buffer(_ON_EDGE), *plan[off].T)
    cell = survey.grain.cell if survey.grain else 0.0
    if len(on) < _NEAREST or not is_out.any():
        return None
    station = shapely.line_locate_point(slab.exterior, shapely.points(plan[off]))
    # beyond a corner a place lies along the stretches on both sides of it, and is held against none
    (before, stretch), lengths = _find_stretches(slab.exterior, station, _ON_EDGE)
    is_along = is_out & (before == stretch)
    nearest = np.full(len(lengths), np.inf)
    np.minimum.at(nearest, stretch[is_along], away[off[is_along]])
    is_first = is_along & (away[off] <= nearest[stretch] + max(_STRIP, cell))
    if not is_first.any():
        return None
    step, apart = _measure_steps(survey.points[off[is_first]], survey.points[on])
    order = np.argsort(stretch[is_first], kind="stable")
    held, starts = np.unique(stretch[is_first][order], return_index=True)
    middle, gap = (
        np.array([np.median(part) for part in np.split(values[order], starts[1:])])
        for values in (step, apart)
    )
    spacing = max(cell, float(np.sqrt(slab.area / len(on))))
    rough = _ROUGH * _measure_roughness(survey.points[on]) if is_sparse else 0.0
    is_apart = np.abs(middle) > rough + _STEP + _STEEP * np.minimum(
        gap, max(_REACH, _APART * spacing)
    )
    if not is_apart.any():
        return None
    # a square at the end of what is left out may hold some of it
    wide, _ = _find_stretches(slab.exterior, station, max(cell, _ON_EDGE))
    left = np.isin([before, stretch, *wide], held[is_apart]).any(axis=0)
    return off[left], middle[is_apart], float(lengths[held[is_apart]].sum())


def _find_stretches(
    ring: shapely.LinearRing, station: FloatArray, beside: float
) -> tuple[list[IntArray], FloatArray]:
    """Stretches of an edge so far, m, before and after stations on it; and how long each is, m."""
    ends = shapely.get_coordinates(ring)
    lengths = np.hypot(*np.diff(ends, axis=0).T)
    heading = np.arctan2(*np.diff(ends, axis=0).T)
    turn = (heading - np.roll(heading, 1) + np.pi) % (2 * np.pi) - np.pi
    is_corner = np.abs(turn) > _CORNER
    is_corner[0] = True
    corners = np.append((np.cumsum(lengths) - lengths)[is_corner], ring.length)
    count = np.maximum(np.round(np.diff(corners) / _STRETCH), 1).astype(np.intp)
    step, first = np.diff(corners) / count, np.cumsum(count) - count
    found = []
    for by in (-beside, beside):
        at = (station + by) % ring.length  # which rounding may make the whole of it
        side = np.searchsorted(corners[1:-1], at, side="right")
        part = ((at - corners[side]) / step[side]).astype(np.intp)
        found.append(first[side] + np.minimum(part, count[side] - 1))
    return found, np.repeat(step, count)


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


def _measure_roughness(points: FloatArray) -> float:
    """One standard deviation of the steps of points off the nearest others, m."""
    some = np.zeros(len(points), bool)
    some[np.linspace(0, len(points) - 1, min(len(points) // 2, _SAMPLE)).astype(int)] = True
    if np.count_nonzero(~some) < _NEAREST:
        return 0.0
    return robust_spread(_measure_steps(points[some], points[~some])[0])


def _say(shown: str, steps: FloatArray, along: float, gone: str) -> tuple[str, tuple[Measure, ...]]:
    """Words of a note of what is left out, and their measures."""
    low, high = float(steps.min()), float(steps.max())
    ways = [f"{{}} {'above' if end > 0 else 'below'}" for end in (low, high)]
    alike = round(low, 2) == round(high, 2)
    said = ways[0] if alike else f"from {ways[0]} to {ways[1]}"
    text = (
        f"Along {{}} of the slab's edge the {shown} shows ground beside it that stands {said} the "
        f"base, as outside the forms: {gone} were left out."
    )
    ends = (Measure(abs(end), Kind.LEVEL) for end in ((low,) if alike else (low, high)))
    return text, (Measure(along, Kind.TAPE), *ends)
