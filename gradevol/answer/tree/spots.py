"""Spots as declared data, with the line of work that puts each right."""

from typing import Annotated

import numpy as np
import shapely

from gradevol.answer.declared import (
    HalfBearing,
    Kind,
    Length,
    Names,
    Number,
    Point,
    Rings,
    Size,
    declared,
)
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.answer.said.places import say_where
from gradevol.measures.contours import join_rings, lie_within
from gradevol.measures.spots import Spot, SpotKind
from gradevol.plan.fixes.fix import Fix


@declared
class SpotData:
    """One connected place that is thin, high or low."""

    rank: Annotated[
        Number | None,
        "Rank of the row of the fix list that puts it right, the one that shares most of "
        "it; absent where that is not listed; spots that are one place share it.",
    ] = None
    area: Annotated[Size, "Plan area."]
    unshot: Annotated[
        Size,
        "What of it lies beyond the outermost shots, where the base is assumed: no work is listed "
        "there.",
    ]
    volume: Annotated[
        Size,
        "To cut (thin, high) or to fill (low) within the outline to reach the design base, bank "
        "measure.",
    ]
    worst: Annotated[
        Length,
        "Thin: the least thickness, negative where the base stands above the top. High, low: the "
        "greatest distance from the design base.",
    ]
    mean: Annotated[Size, "Mean cut or fill within the outline."]
    length: Annotated[Size, "Of the smallest rectangle around it."]
    width: Annotated[Size, "Of the same rectangle."]
    bearing: Annotated[
        HalfBearing, "Direction of its length, degrees clockwise from north, 0 to 180."
    ]
    at: Annotated[Point, "The worst place: easting, northing, elevation of the base."]
    where: Annotated[
        str,
        "The same by tape: from two sides of the slab, along one and off it, or from two corners.",
    ]
    outline: Annotated[
        Rings,
        "Rings, the first corner not repeated: outer ones counter-clockwise, holes clockwise.",
    ]
    holds: Annotated[
        list[Number] | None,
        Kind(min_items=1),
        "High spots: ranks of other rows, for thin spots within it.",
    ] = None
    reshoot: Annotated[
        Names | None,
        "Ids of the suspect shots it rests on: reshoot them before it is put right.",
    ] = None


def sort_spots(result: Result) -> tuple[Spot, ...]:
    """Sort the listed spots: the thinnest first; then high and low ones, the largest first."""
    high, low = (spots.listed if spots else () for spots in (result.high, result.low))
    return (
        *result.thin.listed,
        *sorted(high, key=lambda spot: -spot.volume),
        *sorted(low, key=lambda spot: -spot.volume),
    )


def compose_spots(result: Result, rounding: Rounding) -> dict[SpotKind, list[SpotData]]:
    """
    Compose the listed spots.

    Returns
    -------
    dict of list of SpotData
        Under ``thin``, ``high`` and ``low``. A spot that rests on suspect shots has their ids, so
        that none is sent to cut a misread.
    """
    composed: dict[SpotKind, list[SpotData]] = {"thin": [], "high": [], "low": []}
    lines = [(fix, join_rings(fix.rings)) for fix in result.work.fixes if fix.rings]
    spots = sort_spots(result)
    areas = [join_rings(spot.rings) for spot in spots]
    ranks = [_rank(spot, area, lines) for spot, area in zip(spots, areas, strict=True)]
    thin = np.array([spot.at[:2] for spot in result.thin.listed]).reshape(-1, 2)
    for rank, spot, area in zip(ranks, spots, areas, strict=True):
        held: set[int] = set()
        if spot.kind == "high":
            within = (ranks[number] for number in np.flatnonzero(lie_within(area, thin)))
            held = {other for other in within if other is not None and other != rank}
        composed[spot.kind].append(
            _compose(
                spot,
                result,
                rounding=rounding,
                rank=rank,
                holds=sorted(held) or None,
                reshoot=_suspects_in(spot, area, result) or None,
            )
        )
    return composed


def _rank(
    spot: Spot, area: shapely.Geometry, lines: list[tuple[Fix, shapely.Geometry]]
) -> int | None:
    """Rank of the line of work that shares most of a spot; None where none does."""
    shares = [
        area.intersection(held).area if fix.is_fill == (spot.kind == "low") else 0.0
        for fix, held in lines
    ]
    most = max(shares, default=0.0)
    return lines[shares.index(most)][0].rank if most > 0 else None


def _compose(
    spot: Spot,
    result: Result,
    *,
    rounding: Rounding,
    rank: int | None,
    holds: list[int] | None,
    reshoot: list[str] | None,
) -> SpotData:
    return SpotData(
        rank=rank,
        area=rounding.area(spot.area),
        unshot=rounding.area(spot.unshot),
        volume=rounding.volume(spot.volume),
        worst=rounding.length(spot.worst),
        mean=rounding.length(spot.mean),
        length=rounding.length(spot.length),
        width=rounding.length(spot.width),
        bearing=round(spot.bearing, 1) % 180,
        at=rounding.place(spot.at),
        where=say_where(spot.where, result.units, result.slab.side_names),
        outline=[[rounding.place(place) for place in ring] for ring in spot.rings],
        holds=holds,
        reshoot=reshoot,
    )


def _suspects_in(spot: Spot, area: shapely.Geometry, result: Result) -> list[str]:
    """Ids of the suspect shots within a spot that err the way the spot does."""
    erring = [
        suspect.index
        for suspect in result.suspects
        if (suspect.difference < 0) == (spot.kind == "low")
    ]
    is_held = lie_within(area, result.survey.points[erring, :2])
    return [result.survey.name(erring[number]) for number in np.flatnonzero(is_held)]
