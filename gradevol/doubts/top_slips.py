"""Slips in the lines that a ruled top is drawn between."""

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Kind, Measure
from gradevol.job import Job
from gradevol.site.top import Between, Design, Panels, parts_of

#: A point that is off the line through those beside it by more than this, m, and by so many times
#: what any other is, is a slip. Common practice, no source.
LEAST_SLIP, SLIP_TIMES = 0.25, 10.0
#: Fewer points show no slip.
_FEWEST = 4


def refuse_top_slips(job: Job, design: Design) -> None:
    """
    Refuse a ruled top of which one point stands far off the line that the others make.

    Raises
    ------
    InputError
        It names the point. Ruled through, it would make rulings without end.
    """
    for place, part in enumerate(parts_of(design), start=1):
        if not isinstance(part, Between):
            continue
        name = f"top.panel {place}" if isinstance(design, Panels) else "top"
        for number, line in enumerate((part.first, part.second), start=1):
            slip = _find_slip(line)
            if slip is None:
                continue
            at, off = slip
            raise InputError(
                f"point {at + 1} of line {number} of {name}.between stands {{}} "
                f"{'above' if off > 0 else 'below'} the line through the points beside it, and no "
                "other point of it is nearly as far off",
                remedy="Look for a wrong digit; where the edge really steps, give a point on "
                "either side of the step",
                path=job.path,
            ).measuring(Measure(abs(off), Kind.LEVEL))


def _find_slip(line: FloatArray) -> tuple[int, float] | None:
    """Which point of a line is a slip, and how far it is off, m."""
    if len(line) < _FEWEST:
        return None
    off = [_stand_off(line, at) for at in range(len(line))]
    worst = int(np.argmax(np.abs(off)))
    # an end that is reckoned from a slip looks as far off as the slip two points on
    for at in range(max(worst - 2, 0), min(worst + 3, len(line))):
        rest = np.delete(line, at, axis=0)
        others = max(abs(_stand_off(rest, other)) for other in range(len(rest)))
        if abs(off[at]) > max(LEAST_SLIP, SLIP_TIMES * others):
            return at, off[at]
    return None


def _stand_off(line: FloatArray, at: int) -> float:
    """How far a point is above the line through those on either side, or the two next to an end."""
    one, two = (at - 1, at + 1) if 0 < at < len(line) - 1 else ((1, 2) if at == 0 else (-2, -3))
    along = line[two, :2] - line[one, :2]
    length = float(along @ along)
    share = float((line[at, :2] - line[one, :2]) @ along) / length if length > 0 else 0.0
    return float(line[at, 2] - line[one, 2] - share * (line[two, 2] - line[one, 2]))
