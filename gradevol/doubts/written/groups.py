"""Shots of different codes in one file: whether they meet, and whether the base is under the forms.

The limits and the names of codes are common practice, no source.
"""

from collections import Counter

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.doubts.written.points import Points
from gradevol.files.names import FORMS
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.units import METRES
from gradevol.ground.words import show

#: Fewer shots of a code say nothing.
_LEAST = 3
#: Beginnings of codes of the base, and of what stands at the top of the slab.
_BASE = ("base", "sub", "grade", "sg")
_OF_TOP = (*FORMS, "top", "tos")
#: The share of the base over the forms from which it is no high spot.
_SHARE = 0.8


def check_groups(points: Points) -> list[Finding]:
    """Compare shots of different codes: in plan, and the base with the forms."""
    folded = [code.strip().casefold() for code in points.codes]
    counts = Counter(folded)
    rows = {
        code: np.flatnonzero([each == code for each in folded])
        for code, count in counts.items()
        if count >= _LEAST
    }
    if len(rows) < 2:
        return []
    first = next((code for code, _ in counts.most_common() if code.startswith(_BASE)), "")
    first = first if first in rows else max(rows, key=lambda code: len(rows[code]))
    findings = []
    for code, held in rows.items():
        if code != first:
            findings += _check_place(points, rows[first], held)
    return findings or _check_forms(points, rows)


def _box(plan: FloatArray) -> FloatArray:
    return np.array([plan.min(axis=0), plan.max(axis=0)])


def _meet(one: FloatArray, other: FloatArray, margin: float) -> bool:
    """Whether two boxes (2, 2) come nearer to one another than a margin."""
    return bool((one[0] - margin <= other[1]).all() and (other[0] <= one[1] + margin).all())


def _check_place(points: Points, base: IntArray, others: IntArray) -> list[Finding]:
    """Say so where shots of two codes lie farther apart than the larger group is long."""
    one, other = _box(points.places[base, :2]), _box(points.places[others, :2])
    size = max(float(np.hypot(*np.ptp(box, axis=0))) for box in (one, other))
    if _meet(one, other, size):
        return []
    names = [show(points.codes[rows[0]]) or "(none)" for rows in (base, others)]
    ends = [
        f"{name} within E {box[0, 0]:.2f} to {box[1, 0]:.2f}, N {box[0, 1]:.2f} to {box[1, 1]:.2f}"
        for name, box in zip(names, (one, other), strict=True)
    ]
    text = f"Shots of {names[0]} and {names[1]} don't meet: {'; '.join(ends)}. "
    if _meet(one, other[:, ::-1], 0.0):
        text += f"Northing and easting of {names[1]} look swapped."
        return [points.point_out("swapped-axes", text, others)]
    for unit, metres in METRES.items():
        for told in (points.unit,) if points.unit else ("m", "ft"):
            if unit != told and _meet(one, other * (metres / METRES[told]), 0.0):
                text += f"Read in {unit}, {names[1]} would meet the others: were units mixed?"
                return [points.point_out("units-mixed", text, others)]
    text += "Are both in one coordinate system?"
    return [points.point_out("far-apart", text, others)]


def _check_forms(points: Points, rows: dict[str, IntArray]) -> list[Finding]:
    """Say so where nearly all of the base stands over a plane through the forms."""
    base = [at for code, held in rows.items() if code.startswith(_BASE) for at in held]
    forms = [at for code, held in rows.items() if code.startswith(_OF_TOP) for at in held]
    if points.level != "elevation" or not base or not forms:
        return []
    centre = points.places[forms, :2].mean(axis=0)

    def lay(at: list[int]) -> FloatArray:
        return np.column_stack([np.ones(len(at)), points.places[at, :2] - centre])

    plane = np.linalg.lstsq(lay(forms), points.places[forms, 2], rcond=1e-6)[0]
    over = points.places[base, 2] - lay(base) @ plane
    share = float((over > 0).mean())
    if share < _SHARE:
        return []
    text = (
        f"{100 * share:.0f} % of the base's shots stand above the forms, by "
        f"{points.say(float(np.median(over)))} in the middle: are both from one bench mark? Rod "
        "readings or depths booked as elevations look like this too."
    )
    return [points.point_out("base-above-forms", text, base)]
