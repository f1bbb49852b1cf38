"""How far apart the shots of a file are, and where the widest gap among them is."""

import numpy as np

from gradevol.doubts.described.facts import Fact, clean
from gradevol.doubts.written.points import Points, is_far_in_plan
from gradevol.geometry.gaps import find_empty_circle
from gradevol.geometry.neighbours import measure_nearest


def describe_spacing(points: Points, plan_unit: str | None) -> list[Fact]:
    """
    Tell the typical distance from a shot to the nearest other, and the widest gap.

    Shots at one place count once, and those far from all others are left aside.
    """
    plan = points.places[~is_far_in_plan(points), :2] if len(points.places) > 2 else None
    if plan is None or len(places := np.unique(plan, axis=0)) < 3:
        return []
    origin = np.floor(places.min(axis=0))
    typical = float(np.median(measure_nearest(places - origin)))
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
