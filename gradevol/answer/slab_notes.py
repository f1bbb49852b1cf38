"""Remarks on a slab as drawn: what its parts share, and what of them lies outside of it."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.geometry.nearest import nearest_level
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import capital, list_of
from gradevol.plan.fixes.hauling import LEAST_VOLUME
from gradevol.site.slab import Slab, Void
from gradevol.site.thickening import counted_before, volume_as_drawn
from gradevol.site.voids import length_beyond, length_in_openings

#: So much of an opening that another holds, or that lies beyond the slab, m², is told: less is how
#: it was drawn. Common practice, no source.
_SOME = 0.01


def remark_on_slab(result: Result) -> tuple[Note, ...]:
    """Remark on openings, thickenings and voids as drawn."""
    return (
        *_openings(result.slab),
        *_overlapping_thickenings(result),
        *_voids(result),
    )


def _openings(slab: Slab) -> Iterator[Note]:
    """Openings that share plan, or of which part lies beyond the slab's edge: cut out once."""
    edge = shapely.Polygon(slab.edge)
    before: list[tuple[str, shapely.Polygon]] = []
    for number, ring in enumerate(slab.openings, start=1):
        name, opening = escape(slab.name_opening(number)), shapely.Polygon(ring)
        own = shapely.intersection(opening, edge)
        holders = [
            (other, held) for other, held in before if shapely.intersection(own, held).area > _SOME
        ]
        if holders:
            held = shapely.union_all([each for _, each in holders])
            shared = float(shapely.intersection(own, held).area)
            others = list_of([other for other, _ in holders])
            yield Note(
                "openings-overlap",
                f"{capital(name)} shares {{}} with {others}: it is cut out once. Check their "
                "corners.",
                (Measure(shared, Kind.SOME_AREA),),
            )
        beyond = float(opening.area - own.area)
        if beyond > _SOME:
            yield Note(
                "opening-outside-slab",
                f"{{}} of {name} lies beyond the slab's edge, where nothing is cut out: {{}} of it "
                "lies within. Check its corners.",
                (Measure(beyond, Kind.SOME_AREA), Measure(float(own.area), Kind.SOME_AREA)),
            )
        before.append((name, own))


def _overlapping_thickenings(result: Result) -> Iterator[Note]:
    """Thickenings whose volume is less than drawn, for others hold part of it."""
    slab = result.slab
    for part in slab.thickenings:
        holders = counted_before(part, slab)
        if part.surveyed == "yes" or not holders:  # what the shots show adds nothing of its own
            continue
        alone = volume_as_drawn(part, replace(slab, thickenings=(part,)))
        shared = alone - volume_as_drawn(part, slab)
        if shared < LEAST_VOLUME:
            continue
        names = " and ".join(escape(each.name) for each in holders)
        yield Note(
            "thickenings-overlap",
            f"{escape(part.name)} shares {{}} of concrete with {names}: it is counted once, "
            f"and not with {escape(part.name)}.",
            (Measure(shared, Kind.VOLUME),),
        )


def _voids(result: Result) -> Iterator[Note]:
    """Voids whose line leaves the slab, or its concrete."""
    slab = result.slab
    deepest = result.thickness.max + max((beam.depth for beam in slab.thickenings), default=0.0)
    for part in slab.voids:
        if part.line is None:
            continue
        if (inside := length_in_openings(part.line, slab)) > 0:
            numbers = range(1, len(slab.openings) + 1)
            crossed = [n for n in numbers if length_in_openings(part.line, slab, of=n) > 0]
            names = escape(list_of(list(map(slab.name_opening, crossed))))
            yield Note(
                "void-in-opening",
                f"{{}} of the line of {escape(part.name)} is in {names}, where there is no "
                f"concrete: {_say_counted(part, 'there')}.",
                (Measure(inside, Kind.TAPE),),
            )
        if (outside := length_beyond(part.line, slab)) > 0:
            yield Note(
                "void-outside-slab",
                f"{{}} of the line of {escape(part.name)} is outside the slab, and no cover is "
                f"checked there: {_say_counted(part, 'there')}. Check its line.",
                (Measure(outside, Kind.TAPE),),
            )
        below = _depth_below_top(part.line, result)
        if below - (part.diameter or 0.0) / 2 > deepest:
            yield Note(
                "void-outside-slab",
                f"The line of {escape(part.name)} is {{}} below the top of slab, under its "
                f"base: {_say_counted(part)}. Check its elevations.",
                (Measure(below, Kind.LEVEL),),
            )


def _say_counted(part: Void, where: str = "") -> str:
    """Say what of a void was counted though it is not in concrete."""
    if part.volume < 0:
        return "what it adds was counted in full"
    if part.is_by_line and where:
        return f"nothing was taken off {where}"
    stated = ", as the job states its length or volume" * (not part.is_by_line)
    return f"its volume was taken off in full{stated}"


def _depth_below_top(line: FloatArray, result: Result) -> float:
    """How far the middle of a void's line lies below the top, m; 0 without elevations."""
    if line.shape[1] < 3:
        return 0.0
    top = nearest_level(result.top.surface.corners, line[:, :2])
    return float(np.median(top - line[:, 2]))
