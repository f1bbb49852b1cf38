"""How far apart the shots of a file are, and where the widest gap among them is."""

import numpy as np
import shapely

from gradevol.doubts.described.facts import Fact, clean
from gradevol.doubts.described.shots import Points, is_far_in_plan
from gradevol.ground.arrays import FloatArray

#: Places beyond this are not triangulated to find the widest gap: it would take many seconds.
_MOST = 200_000


def describe_spacing(points: Points, plan_unit: str | None) -> list[Fact]:
    """
    Tell the typical distance from a shot to the nearest other, and the widest gap.

    Shots at one place count once, and those far from all others are left aside.
    """
    from scipy.spatial import cKDTree  # noqa: PLC0415

    plan = points.places[~is_far_in_plan(points), :2] if len(points.places) > 2 else None
    if plan is None or len(places := np.unique(plan, axis=0)) < 3:
        return []
    origin = np.floor(places.min(axis=0))
    nearest = cKDTree(places - origin).query(places - origin, 2)[0][:, 1]
    typical = float(np.median(nearest))
    if typical < 1e-9:
        return []
    unit = f" {plan_unit}" if plan_unit else ""
    digits = max(0, 2 - int(np.floor(np.log10(typical))))
    digits = min(digits, max(points.digits[:2]))
    text = f"{typical:.{digits}f}{unit} typical"
    value: dict[str, object] = {"typical": clean(typical)}
    if (found := find_empty_circle(places - origin)) is not None:
        (east, north), width = found[0] + origin, found[1]
        text += (
            f"; widest gap {width:.{max(digits - 1, 0)}f}{unit} across, about "
            f"E {east:.{max(digits - 1, 0)}f} N {north:.{max(digits - 1, 0)}f}"
        )
        value |= {"widest_gap": clean(width), "widest_gap_at": [clean(east), clean(north)]}
    return [Fact("spacing", "Spacing", text, value)]


def find_empty_circle(places: FloatArray) -> tuple[FloatArray, float] | None:
    """
    Find the largest circle without a shot in it whose centre lies among the shots.

    Parameters
    ----------
    places : (n, 2) array of float
        Distinct places, about a local origin.

    Returns
    -------
    centre : (2,) array of float
    diameter : float
        None where the places lie on one line, or are too many.
    """
    from scipy.spatial import Delaunay, QhullError  # noqa: PLC0415

    if not 3 <= len(places) <= _MOST:
        return None
    try:
        mesh = Delaunay(places)
    except QhullError:
        return None
    first = places[mesh.simplices[:, 0]]
    b, c = (places[mesh.simplices[:, corner]] - first for corner in (1, 2))
    twice = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    is_flat = np.abs(twice) <= 1e-12 * np.ptp(places, axis=0).max() ** 2
    b2, c2 = (b**2).sum(axis=1), (c**2).sum(axis=1)
    off = np.column_stack([c[:, 1] * b2 - b[:, 1] * c2, b[:, 0] * c2 - c[:, 0] * b2])
    off = off[~is_flat] / twice[~is_flat, None]
    centres = first[~is_flat] + off
    inside = shapely.contains_xy(shapely.MultiPoint(places).convex_hull, centres)
    if not inside.any():
        return None
    radii = np.where(inside, np.hypot(*off.T), 0)
    at = int(np.argmax(radii))
    return centres[at], 2 * float(radii[at])
