"""Spots as plain data, with the line of work that puts each right."""

from typing import Any

import numpy as np
import shapely

from gradevol.answer.data.words import say_where
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.measures.contours import join_rings
from gradevol.measures.spots import Spot
from gradevol.plan.fixes.fix import Fix

#: A place this near to an outline lies on it, m.
_AT_OUTLINE = 1e-6


def sort_spots(result: Result) -> tuple[Spot, ...]:
    """Sort the listed spots: the thinnest first; then high and low ones, the largest first."""
    high, low = (spots.listed if spots else () for spots in (result.high, result.low))
    return (
        *result.thin.listed,
        *sorted(high, key=lambda spot: -spot.volume),
        *sorted(low, key=lambda spot: -spot.volume),
    )


def present_spots(result: Result, rounding: Rounding) -> dict[str, list[dict[str, Any]]]:
    """
    Put the listed spots into plain data.

    Parameters
    ----------
    result : Result
    rounding : Rounding

    Returns
    -------
    dict of list of dict
        Under ``thin``, ``high`` and ``low``. A spot has the rank of the line of work that puts it
        right, the one that shares most of it; none where that is not listed; spots that are one
        place share a line. A high spot that holds thin spots of other lines has their ranks under
        ``holds``; a spot that rests on suspect shots has their ids under ``reshoot``, so that none
        is sent to cut a misread.
    """
    shown: dict[str, list[dict[str, Any]]] = {"thin": [], "high": [], "low": []}
    lines = [(fix, join_rings(fix.rings)) for fix in result.work.fixes if fix.rings]
    ranks = [_rank(spot, lines) for spot in sort_spots(result)]
    thin = np.array([spot.at[:2] for spot in result.thin.listed]).reshape(-1, 2)
    for rank, spot in zip(ranks, sort_spots(result), strict=True):
        one = {**({} if rank is None else {"rank": rank}), **_present(spot, result, rounding)}
        if spot.kind == "high":
            within = (ranks[number] for number in np.flatnonzero(_is_within(thin, spot.rings)))
            held = {other for other in within if other is not None and other != rank}
            if held:
                one["holds"] = sorted(held)
        if suspects := _suspects_in(spot, result):
            one["reshoot"] = suspects
        shown[spot.kind].append(one)
    return shown


def _rank(spot: Spot, lines: list[tuple[Fix, shapely.Geometry]]) -> int | None:
    """Rank of the line of work that shares most of a spot; None where none does."""
    area = join_rings(spot.rings)
    shares = [
        area.intersection(held).area if fix.is_fill == (spot.kind == "low") else 0.0
        for fix, held in lines
    ]
    most = max(shares, default=0.0)
    return lines[shares.index(most)][0].rank if most > 0 else None


def _present(spot: Spot, result: Result, rounding: Rounding) -> dict[str, Any]:
    return {
        "area": rounding.area(spot.area),
        "volume": rounding.volume(spot.volume),
        "worst": rounding.length(spot.worst),
        "mean": rounding.length(spot.mean),
        "length": rounding.length(spot.length),
        "width": rounding.length(spot.width),
        "bearing": round(spot.bearing, 1) % 180,
        "at": rounding.place(spot.at),
        "where": say_where(spot.where, result.units, result.slab.side_names),
        "outline": [[rounding.place(place) for place in ring] for ring in spot.rings],
    }


def _suspects_in(spot: Spot, result: Result) -> list[str]:
    """Ids of the suspect shots within a spot that err the way the spot does."""
    erring = [
        suspect.index
        for suspect in result.suspects
        if (suspect.difference < 0) == (spot.kind == "low")
    ]
    is_held = _is_within(result.survey.points[erring, :2], spot.rings)
    return [result.survey.name(erring[number]) for number in np.flatnonzero(is_held)]


def _is_within(places: FloatArray, rings: tuple[FloatArray, ...]) -> BoolArray:
    """Whether places (n, 2) lie within an outline or on it."""
    held: BoolArray = shapely.intersects_xy(join_rings(rings).buffer(_AT_OUTLINE), *places.T)
    return held
