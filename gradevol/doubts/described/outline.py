"""What an outline holds: corners, area, which way it runs."""

from collections.abc import Sequence

import numpy as np
import shapely

from gradevol.doubts.described.facts import AXES, Fact, Inventory, clean, describe_extents
from gradevol.doubts.finding import Finding
from gradevol.geometry.curves import divide_ring
from gradevol.geometry.rings import open_ring, ring_area
from gradevol.ground.arrays import FloatArray
from gradevol.ground.words import count_of


def describe_rings(
    name: str,
    rings: Sequence[FloatArray],
    unit: str | None,
    head: Sequence[Fact],
    *,
    words: str,
    digits: int = 3,
    findings: Sequence[Finding] = (),
    starts: Sequence[int] = (),
) -> Inventory:
    """
    Describe an edge and the openings in it.

    Parameters
    ----------
    name : str
        The file's name.
    rings : sequence of (m, 2) arrays of float
        The edge first, in the file's own unit.
    unit : str or None
        That unit, where it is known.
    head : sequence of Fact
        What is told first.
    words : str
        What kind of file it is.
    digits : int
        Decimals written.
    findings : sequence of Finding
        What its reader found.
    starts : sequence of int
        Rows of the edge at which its sides begin, where some are curved; empty: at each.
    """
    edge, *holes = [kept if len(kept := open_ring(ring)) else ring[:1] for ring in rings]
    starts = starts if len(edge) == len(rings[0]) else ()
    length, square = (f" {unit}", f" {unit}²") if unit else ("", " unit²")
    sides = np.array(
        [np.hypot(*np.diff(side, axis=0).T).sum() for side in divide_ring(edge, starts)]
    )
    count = len(sides)
    curved = ", with curves" if starts else ""
    signed = ring_area(edge) if len(edge) else 0.0
    turn = "counter-clockwise" if signed > 0 else "clockwise"
    facts = [*head, Fact("corners", "Corners", f"{count:,}, {turn}{curved}", count)]
    facts += describe_extents(edge, (digits, digits), unit, unit, names=AXES[:2])
    facts += [
        Fact("area", "Area", f"{abs(signed):,.{min(digits, 2)}f}{square}", clean(abs(signed))),
        Fact(
            "perimeter",
            "Perimeter",
            f"{sides.sum():.{digits}f}{length}; sides from {sides.min():.{digits}f} to "
            f"{sides.max():.{digits}f}",
            clean(float(sides.sum())),
        ),
        Fact("orientation", "", "", turn),
    ]
    if holes:
        area = sum(abs(ring_area(hole)) for hole in holes)
        text = f"{len(holes)}, {area:,.{min(digits, 2)}f}{square} in all"
        facts.append(Fact("openings", "Openings", text, {"count": len(holes), "area": clean(area)}))
    return Inventory(
        name=name,
        kind="outline",
        title=f"an outline of {count_of(count, 'corner')}, {words}",
        facts=tuple(facts),
        findings=(*findings, *_check_ring(edge, digits)),
        looked_at="corners, and whether it crosses itself",
    )


def _check_ring(edge: FloatArray, digits: int) -> list[Finding]:
    if len(edge) < 3:
        text = f"It has {count_of(len(edge), 'corner')}: an outline takes at least three."
        return [Finding("too-few", text)]
    shape = shapely.Polygon(edge)
    if shape.is_valid:
        return []
    about = shapely.is_valid_reason(shape)
    place = about[about.find("[") + 1 : -1].split() if "[" in about else []
    where = ", near E {:.{d}f} N {:.{d}f}".format(*map(float, place), d=digits) if place else ""
    text = (
        f"It crosses or touches itself{where}. The corners must follow the edge, one after the "
        "other: were they shot in another order?"
    )
    return [Finding("crosses-itself", text)]
