"""What a point cloud holds, and what looks wrong in it.

References
----------
LAS Specification 1.4 R15 (ASPRS, 2019), table "ASPRS standard point classes", for their names.
"""

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from gradevol.doubts.described.cloud_facts import (
    check_spread,
    describe_density,
    describe_most,
)
from gradevol.doubts.described.facts import (
    Fact,
    Finding,
    Group,
    Inventory,
    Progress,
    describe_box,
    say_count,
)
from gradevol.doubts.described.tally import Declared, Tally, tally_points
from gradevol.files.cloud import NOISE
from gradevol.files.las_header import LasHeader, read_las_header
from gradevol.ground.units import METRES

_CLASSES = {
    **{0: "never classified", 1: "unclassified", 2: "ground", 3: "low vegetation"},
    **{4: "medium vegetation", 5: "high vegetation", 6: "building", 7: "low noise"},
    **{8: "reserved", 9: "water", 10: "rail", 11: "road surface", 12: "reserved"},
    **{13: "wire guard", 14: "wire conductor", 15: "transmission tower", 16: "wire connector"},
    **{17: "bridge deck", 18: "high noise"},
}
#: Elevations stored in steps coarser than this lose what a scanner sees, m. Ours, no source.
_COARSEST = 0.005


def describe_cloud(path: Path, *, unit: str | None, progress: Progress) -> Inventory:
    """
    Describe a LAS or LAZ file.

    Parameters
    ----------
    path : Path
        The file.
    unit : str or None
        Its unit, where the file does not say.
    progress : callable
        Called with a label and the share of points read, 0 to 1.

    Raises
    ------
    InputError
        If it is damaged or cut short, or in degrees.
    """
    header = read_las_header(path)
    declared, tally = tally_points(header, progress)
    said, elevation = header.units.plan, header.units.elevation
    own = said or unit
    digits = [max(0, min(6, int(np.ceil(-np.log10(abs(step)) - 1e-9)))) for step in header.scale]
    box = np.array([tally.low, tally.high])
    kind = "LAZ" if header.is_packed else "LAS"
    facts = [
        _describe_units(header, unit),
        Fact(
            "format",
            "Format",
            f"{kind} {declared.version}, point format {declared.point_format}",
            {"version": declared.version, "point_format": declared.point_format, "packed": kind},
        ),
        _describe_count(header, tally),
        *describe_box(box, digits, own, elevation or own),
    ]
    facts += describe_most(tally, digits[2], elevation or own)
    steps = ", ".join(f"{step:g}" for step in dict.fromkeys(header.scale))
    facts.append(Fact("scale", "Stored", f"in steps of {steps}", list(header.scale)))
    facts += describe_density(tally, own)
    return Inventory(
        name=path.name,
        kind="cloud",
        title=f"a point cloud of {say_count(tally.count, 'point')}, {kind} {declared.version}",
        facts=tuple(facts),
        findings=tuple(_check(header, declared, tally, unit)),
        looked_at="header, count, unit, extents, scale, classes, stray points",
        groups=tuple(
            Group(
                f"{number} {_CLASSES.get(number, 'of the maker' if number >= 64 else 'reserved')}",
                int(tally.counts[number]),
                float(tally.lows[number]),
                float(tally.highs[number]),
            )
            for number in map(int, np.flatnonzero(tally.counts))
        ),
        grouped_by="classes",
        digits=digits[2],
    )


def _describe_units(header: LasHeader, stated: str | None) -> Fact:
    plan, elevation = header.units.plan, header.units.elevation
    if plan is None and elevation is None:
        text = f"{stated}, as you say" if stated else "not said by the file; tell it with --units"
        return Fact("unit", "Unit", text, stated)
    own = plan or stated or "not said"
    text = f"{own}, by the file"
    if elevation and elevation != plan:
        text = f"{own} in plan, {elevation} in elevation, by the file"
    elif elevation is None:
        text += " (elevations: not said apart)"
    return Fact("unit", "Unit", text, plan or stated)


def _describe_count(header: LasHeader, tally: Tally) -> Fact:
    noise = int(tally.counts[list(NOISE)].sum())
    out = [f"{tally.withheld:,} withheld"] * (tally.withheld > 0)
    out += [f"{noise:,} noise"] * (noise > 0)
    text = f"{tally.count:,}, as many as declared"
    if out:
        text += f"; a job leaves out {' and '.join(out)}"
    value = {
        "count": tally.count,
        "declared": header.count,
        "withheld": tally.withheld,
        "noise": noise,
    }
    return Fact("points", "Points", text, value)


def _check(
    header: LasHeader, declared: Declared, tally: Tally, stated: str | None
) -> Iterator[Finding]:
    plan, elevation = header.units.plan, header.units.elevation
    if plan and stated and plan != stated:
        text = f"You say {stated}, the file says {plan}. The file was followed: check which."
        yield Finding("unit-contradicted", text)
    if elevation and plan and elevation != plan:
        text = (
            f"It says that it is in {plan} in plan and {elevation} in elevation. Check that with "
            "whoever made it: the volume rests on it."
        )
        yield Finding("units-mixed", text)
    box = np.array([tally.low, tally.high])
    step = max(map(abs, header.scale))
    if (np.abs(box - [declared.low, declared.high]) > 2 * step).any():
        yield Finding(
            "extents-differ",
            "The extents that the header declares are not those of the points, told here: a tool "
            "has changed the points and not the header.",
        )
    own = elevation or plan or stated
    if own and abs(header.scale[2]) * METRES[own] > _COARSEST:
        text = (
            f"Elevations are stored in steps of {abs(header.scale[2]):g} {own}: coarser than a "
            "scanner measures. Export with a finer scale."
        )
        yield Finding("coarse-elevations", text)
    if tally.withheld == tally.count:
        yield Finding("all-withheld", "All points are marked withheld: a job reads none of them.")
    remedy = "A job takes them away where they rise abruptly; else name the base's class, or cut "
    remedy += "them out."
    if tally.counts[2]:
        remedy = "A job takes the ground (class 2) alone, unless base.classes names others."
    is_fine = plan is None and max(header.scale[:2]) <= 1e-5  # 1 m on the ground
    yield from check_spread(tally, plan or stated, own, is_fine=is_fine, remedy=remedy)
    others = np.delete(np.arange(256), NOISE)
    if tally.counts[2] == 0 and np.count_nonzero(tally.counts[others]) > 1:
        text = "No point is classed as ground (2). Say in base.classes which classes are the base."
        yield Finding("no-ground-class", text)
