"""What a LAS or LAZ file holds, and what looks wrong in it.

References
----------
LAS Specification 1.4 R15 (ASPRS, 2019), table "ASPRS standard point classes", for their names.
"""

from collections.abc import Iterator

import numpy as np

from gradevol.doubts.described.cloud_facts import check_spread, describe_spread
from gradevol.doubts.described.facts import Asked, Fact, Group, Inventory, settle_unit
from gradevol.doubts.finding import Finding
from gradevol.files.clouds.las_header import LasHeader, read_las_header
from gradevol.files.clouds.las_points import DEGREE_STEP
from gradevol.files.clouds.survey import GROUND, NOISE
from gradevol.files.clouds.tally import PointTally, tally_las
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of

_CLASSES = {
    **{0: "never classified", 1: "unclassified", 2: "ground", 3: "low vegetation"},
    **{4: "medium vegetation", 5: "high vegetation", 6: "building", 7: "low noise"},
    **{8: "reserved", 9: "water", 10: "rail", 11: "road surface", 12: "reserved"},
    **{13: "wire guard", 14: "wire conductor", 15: "transmission tower", 16: "wire connector"},
    **{17: "bridge deck", 18: "high noise"},
}
#: Elevations stored in steps coarser than this lose what a scanner sees, m. Ours, no source.
_COARSEST = 0.005


def describe_las(asked: Asked) -> Inventory:
    """
    Describe a LAS or LAZ file.

    Raises
    ------
    InputError
        If it is damaged or cut short, or in degrees.
    """
    path = asked.file.path
    header = read_las_header(path)
    tally = tally_las(header, asked.tell)
    unit, fact, findings = settle_unit(header.units.plan, "the file", asked.unit)
    level_unit = header.units.elevation or unit
    digits = [max(0, min(6, int(np.ceil(-np.log10(abs(step)) - 1e-9)))) for step in header.scale]
    kind = "LAZ" if header.is_packed else "LAS"
    version, form = header.version, header.point_format
    steps = ", ".join(f"{step:g}" for step in dict.fromkeys(header.scale))
    return Inventory(
        name=path.name,
        kind="cloud",
        title=f"a point cloud of {count_of(tally.count, 'point')}, {kind} {version}",
        facts=(
            _describe_units(header, fact),
            Fact(
                "format",
                "Format",
                f"{kind} {version}, point format {form}",
                {"version": version, "point_format": form, "packed": kind},
            ),
            _describe_count(header, tally),
            *describe_spread(
                tally,
                digits,
                unit,
                level_unit,
                more=(Fact("scale", "Stored", f"in steps of {steps}", list(header.scale)),),
            ),
        ),
        findings=(*findings, *_check(header, tally, unit, level_unit)),
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


def _describe_units(header: LasHeader, fact: Fact) -> Fact:
    """Tell the units of plan and elevation, which a cloud may declare apart."""
    plan, elevation = header.units.plan, header.units.elevation
    if plan is None and elevation is None:
        return fact
    own = plan or fact.value or "not said"
    text = f"{own}, by the file"
    if elevation and elevation != plan:
        text = f"{own} in plan, {elevation} in elevation, by the file"
    elif elevation is None:
        text += " (elevations: not said apart)"
    return Fact(fact.key, fact.label, text, fact.value)


def _describe_count(header: LasHeader, tally: PointTally) -> Fact:
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
    header: LasHeader, tally: PointTally, unit: str | None, level_unit: str | None
) -> Iterator[Finding]:
    plan, elevation = header.units.plan, header.units.elevation
    if elevation and plan and elevation != plan:
        text = (
            f"It says that it is in {plan} in plan and {elevation} in elevation. Check that with "
            "whoever made it: the volume rests on it."
        )
        yield Finding("units-mixed", text)
    step = max(map(abs, header.scale))
    if (np.abs(tally.box - [header.low, header.high]) > 2 * step).any():
        yield Finding(
            "extents-differ",
            "The extents that the header declares are not those of the points, told here: a tool "
            "has changed the points and not the header.",
        )
    if level_unit and abs(header.scale[2]) * METRES[level_unit] > _COARSEST:
        text = (
            f"Elevations are stored in steps of {abs(header.scale[2]):g} {level_unit}: coarser "
            "than a scanner measures. Export with a finer scale."
        )
        yield Finding("coarse-elevations", text)
    if tally.withheld == tally.count:
        yield Finding("all-withheld", "All points are marked withheld: a job reads none of them.")
    remedy = "A job takes them away where they rise abruptly; else name the base's class, or cut "
    remedy += "them out."
    if tally.counts[GROUND]:
        remedy = "A job takes the ground (class 2) alone, unless base.classes names others."
    is_fine = plan is None and max(header.scale[:2]) <= DEGREE_STEP
    yield from check_spread(tally, unit, level_unit, is_fine=is_fine, remedy=remedy)
    others = np.delete(np.arange(256), NOISE)
    if tally.counts[GROUND] == 0 and np.count_nonzero(tally.counts[others]) > 1:
        text = "No point is classed as ground (2). Say in base.classes which classes are the base."
        yield Finding("no-ground-class", text)
