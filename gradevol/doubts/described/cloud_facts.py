"""What is told of the points of any cloud, and what looks wrong in them."""

from collections.abc import Iterator, Sequence

import numpy as np

from gradevol.doubts.described.facts import Fact, clean, describe_extents
from gradevol.doubts.finding import Finding
from gradevol.doubts.written.levels import GAP, GAP_BARE, find_gap, tell_steepness
from gradevol.files.clouds.survey import NOISE
from gradevol.files.clouds.tally import PointTally, find_share
from gradevol.files.globe import DEGREES, SITE, are_degrees
from gradevol.ground.units import METRES

#: Elevations this many times as far apart as all but 2 % of them : stray points. Ours, no source.
_STRAY = 3.0


def describe_spread(
    tally: PointTally,
    digits: Sequence[int],
    unit: str | None,
    level_unit: str | None,
    *,
    more: Sequence[Fact] = (),
) -> list[Fact]:
    """Tell from where to where points go, between which elevations most lie, and how densely."""
    facts = describe_extents(tally.box, digits, unit, level_unit)
    if len(tally.most):
        low, high = tally.most
        word = f" {level_unit}" if level_unit else ""
        text = f"98 % within {low:.{digits[2]}f} to {high:.{digits[2]}f}{word}"
        value = {"low": clean(low), "high": clean(high)}
        facts.append(Fact("most_elevations", "", text, value))
    return [*facts, *more, *_describe_density(tally, unit)]


def _describe_density(tally: PointTally, unit: str | None) -> list[Fact]:
    """Tell how many points there are to a square, and how much of the rectangle they cover."""
    share = find_share(tally)
    wide, tall = (tally.high - tally.low)[:2].tolist()
    area = wide * tall * share
    if not 0 < area < float("inf"):
        return []
    density = tally.count / area
    spacing = density**-0.5
    square = f"{unit}²" if unit else "unit²"
    text = (
        f"about {_round(density)} points a {square}, {spacing:.2g}{f' {unit}' if unit else ''} "
        f"apart; they cover {100 * share:.0f} % of the rectangle around them"
    )
    value = {"density": clean(density), "spacing": clean(spacing), "covered": clean(share)}
    return [Fact("density", "Density", text, value)]


def _round(value: float) -> str:
    """A number to two digits that count, without a power of ten."""
    digits = 1 - int(np.floor(np.log10(value)))
    return f"{round(value, digits):,.{max(digits, 0)}f}"


def check_spread(
    tally: PointTally, plan: str | None, elevation: str | None, *, is_fine: bool, remedy: str
) -> Iterator[Finding]:
    """
    Look at where the points lie, and how far their elevations go.

    Whether places are fine enough for degrees is known to who read them, `is_fine`; and how points
    that are not base may be left out, `remedy`, a sentence.
    """
    most = tally.most
    if len(most) == 0:
        return
    if is_degrees := is_fine and are_degrees(tally.low[:2], tally.high[:2], widest=SITE):
        yield Finding(
            DEGREES,
            "The coordinates look like degrees of longitude and latitude. Export the cloud in site "
            "or projected coordinates.",
        )
    word = f" {elevation}" if elevation else ""
    sampled = tally.sampled
    level = sampled[:, 2]
    if parts := find_gap(level, GAP / METRES[elevation] if elevation else GAP_BARE):
        text = "The elevations are in two groups: " + ", and ".join(
            f"{100 * len(part) / len(level):.0f} % of the points from {part.min():.2f} to "
            f"{part.max():.2f}"
            for part in (level[rows] for rows in parts)
        )
        yield Finding("two-groups", f"{text}{word}. Two datums, or floors, in one file?")
    elif plan == elevation and not is_degrees:
        yield from tell_steepness(sampled, elevation, "elevation")
    others = np.delete(np.arange(256), NOISE)
    low, high = float(tally.lows[others].min()), float(tally.highs[others].max())
    if high - low > _STRAY * (most[1] - most[0]) and high > low:
        text = (
            f"98 % of the elevations lie within {most[1] - most[0]:.3g}{word}, but all of them "
            f"span {high - low:.3g}{word} ({low:.2f} to {high:.2f}): people, machines, dust or "
            f"stray points stand above or below the base. {remedy}"
        )
        yield Finding("stray-points", text)
