"""What looks wrong in the elevations of a file of points: each check is one rule.

The limits say when a thing is worth a sentence. Common practice, no source.
"""

from collections import Counter
from collections.abc import Iterator

import numpy as np

from gradevol.doubts.finding import Finding
from gradevol.doubts.written.points import (
    FEW,
    LEAST_FAR,
    LEAST_FAR_BARE,
    Points,
    find_far,
    looks_like_degrees,
)
from gradevol.files.tables.text import count_decimals
from gradevol.geometry.spread import spread_about_median
from gradevol.ground.arrays import FloatArray, IntArray
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, list_of, show

#: A gap in the sorted elevations that parts two bench marks, m (10 ft), or in bare numbers; and a
#: lesser one (a foot misread), where it is so many times the spread on either side of it.
GAP, GAP_BARE = 3.0, 10.0
LEAST_GAP, LEAST_GAP_BARE, GAP_TIMES = 0.22, 0.7, 6.0
#: An elevation written in steps coarser than this is too coarse for concrete, m.
COARSEST_STEP = 0.006
#: A base that spreads over more than this share of the site's size is steeper than any that is
#: poured on but a ramp. Common practice, no source. Fewer shots say nothing.
STEEP, LEAST_STEEP = 0.1, 8
#: Of so many readings, of which so few have a decimal more than is usual, each may have a digit
#: twice; past the last count one of them moves no volume. Common practice, no source.
LEAST_ALIKE, FEW_FINER, MOST_ALIKE = 10, 0.05, 5_000


def check_digits(points: Points) -> list[Finding]:
    """Look at how elevations or readings are written."""
    return [*_check_inches(points), *check_steps(points), *check_decimals(points)]


def tell_steepness(places: FloatArray, unit: str | None, level: str) -> Iterator[Finding]:
    """
    Say so where the levels of places (n, 3) spread too far for the size of the site.

    Elevations in a smaller unit than the places look like this, and so does a column of northings
    taken for elevations.
    """
    if len(places) < LEAST_STEEP:
        return
    low, high = np.quantile(places, [0.05, 0.95], axis=0)
    east, north, rise = high - low
    across = float(np.hypot(east, north))
    if across == 0 or rise <= STEEP * across:
        return
    word = f" {unit}" if unit else ""
    text = (
        f"The {level}s spread over {rise:.3g}{word}, on a site only {across:.3g}{word} across: a "
        f"slope of {100 * rise / across:.0f} %. If the ground is not so steep, they are in a "
        "smaller unit than northing and easting (inches or millimetres), or columns (axes) are "
        "mixed up."
    )
    yield Finding("steep-elevations", text)


def find_gap(level: FloatArray, least: float) -> tuple[IntArray, IntArray] | None:
    """Rows below and above the widest gap, by level, where it parts two groups of many."""
    ordered = np.sort(level)
    gaps = np.diff(ordered)
    at = int(np.argmax(gaps)) + 1 if len(gaps) else 0
    is_apart = at > 0 and gaps[at - 1] > least
    if not is_apart or min(at, len(level) - at) <= max(1, FEW * len(level)):
        return None
    is_above = level >= ordered[at]
    return np.flatnonzero(~is_above), np.flatnonzero(is_above)


def check_levels(points: Points) -> list[Finding]:
    """Elevations that are all equal, in two groups, or far from the rest."""
    level = points.places[:, 2]
    if np.ptp(level) == 0:
        text = f"All {points.level}s are {points.say(level[0])}: is this the column that was meant?"
        return [Finding("all-equal", text)]
    if parts := find_gap(level, points.own(GAP, GAP_BARE)):
        return [_tell_groups(points, *parts)]
    parts = find_gap(level, points.own(LEAST_GAP, LEAST_GAP_BARE))
    if parts and level[parts[1]].min() - level[parts[0]].max() > GAP_TIMES * max(
        spread_about_median(level[rows]) for rows in parts
    ):
        return [_tell_groups(points, *parts)]
    is_far = find_far(level, points.own(LEAST_FAR, LEAST_FAR_BARE))
    rows = list(map(int, np.flatnonzero(is_far)))
    if not rows:
        if looks_like_degrees(points) or points.level == "depth":  # may have a unit of its own
            return []
        return list(tell_steepness(points.places, points.unit, points.level))
    shown = [f"{points.name_with_code(row)} at {points.say(level[row])}" for row in rows]
    is_zero = (level[rows] == 0).any()
    zero = " One of exactly 0 was probably never measured." if is_zero else ""
    text = (
        f"{count_of(len(rows), points.level, 'are')} far from the rest, whose middle is "
        f"{points.say(float(np.median(level)))}: {list_of(shown)}.{zero} Look for a wrong digit or "
        "another bench mark."
    )
    return [points.point_out("far-elevations", text, rows)]


def _tell_groups(points: Points, low: IntArray, high: IntArray) -> Finding:
    level = points.places[:, 2]
    fewer = low if len(low) <= len(high) else high
    if (level[low] == 0).all():
        text = (
            f"{len(low):,} of {len(level):,} {points.level}s are exactly 0: they were probably "
            "never measured, only placed."
        )
        return points.point_out("zero-elevations", text, np.sort(low))
    text = f"The {points.level}s are in two groups: " + ", and ".join(
        f"{len(rows):,} from {points.say(level[rows].min())} to {points.say(level[rows].max())}"
        f"{_say_codes(points, rows)}"
        for rows in (low, high)
    )
    text += ". Two bench marks, or things that do not belong to the base?"
    return points.point_out("two-groups", text, np.sort(fewer))


def _say_codes(points: Points, rows: IntArray) -> str:
    names = sorted({show(points.codes[row]) or "(none)" for row in rows}) if points.codes else []
    return f" ({list_of(names)})" if 0 < len(names) <= 4 else ""


def _check_inches(points: Points) -> list[Finding]:
    """Hundredths that never pass 11 over several whole feet: inches written as decimals."""
    if points.unit not in {None, "ft", "us-ft"}:
        return []
    if len(_part(points.readings[0])[2]) != 2:
        return []
    parts = [_part(text) for text in points.readings]
    if not all(whole.isdecimal() and decimals.isdecimal() for whole, _, decimals in parts):
        return []
    decimals = [part for _, _, part in parts]
    wholes = {whole for whole, _, _ in parts}
    if len(parts) < 12 or len(wholes) < 3 or {len(part) for part in decimals} != {2}:
        return []
    if max(map(int, decimals)) > 11 or len(set(decimals)) < 4:
        return []
    text = (
        f"The decimals of the {points.level}s never pass .11, over {len(wholes)} different whole "
        f"numbers: they read like feet and inches ({points.readings[0]} for "
        f"{parts[0][0]} ft {int(decimals[0])} in), not feet and tenths. Ask who booked them."
    )
    return [Finding("inches-for-tenths", text)]


def _part(text: str) -> tuple[str, str, str]:
    return text.strip().lstrip("+-").replace(",", ".").partition(".")


def check_steps(points: Points) -> list[Finding]:
    """Elevations written too coarsely to order concrete by."""
    unit = METRES[points.unit] if points.unit else None
    first = count_decimals(points.readings[0])
    if first is None or (unit is not None and unit * 10.0**-first <= COARSEST_STEP):
        return []  # of many it is enough to look at one
    counts = _count_decimals(points)
    if not counts:
        return []
    digits = max(counts)
    step = 10.0**-digits
    metres = step * unit if unit is not None else None
    if metres is not None and metres <= COARSEST_STEP:
        return []
    if metres is None and digits > 1:
        return []
    what = "in whole numbers" if digits == 0 else f"to {count_of(digits, 'decimal')}"
    size = f", in steps of {step:g} {points.unit}" if points.unit else ""
    text = (
        f"All {points.level}s are written {what}{size}: coarse for "
        "finding thin concrete. Were the decimals lost in an export?"
    )
    return [Finding("coarse-elevations", text)]


def check_decimals(points: Points) -> list[Finding]:
    """The few elevations with one decimal more than the rest, but halves of their last."""
    if not LEAST_ALIKE <= len(points.readings) <= MOST_ALIKE:
        return []
    counts = _count_decimals(points)
    usual, _ = Counter(counts).most_common(1)[0] if counts else (0, 0)
    finer = {row: count for row, count in enumerate(counts) if count > usual}
    is_few = len(finer) <= max(1, FEW_FINER * len(counts))
    if usual == 0 or set(finer.values()) != {usual + 1} or not is_few:
        return []
    texts = {row: points.readings[row].strip() for row in finer}
    rows = [row for row in finer if not texts[row].endswith("5")]  # between two marks of the rod
    if not rows:
        return []
    said = [f"{points.name_with_code(row)} ({show(texts[row])})" for row in rows]
    text = (
        f"{count_of(len(rows), points.level, 'have')} one decimal more than the others: "
        f"{list_of(said)}. Does a digit stand twice?"
    )
    return [points.point_out("decimal-more", text, rows)]


def _count_decimals(points: Points) -> list[int]:
    """Decimals of each reading; of none where one is no plain number."""
    counts = [count_decimals(text) for text in points.readings]
    return [] if None in counts else [count for count in counts if count is not None]
