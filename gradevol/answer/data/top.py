"""The top as plain data: how it falls, where it holds water, what moving it would do."""

from typing import Any

from gradevol.answer.data.words import say_place
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.measures.adjustments import Move
from gradevol.measures.drainage import Falls, FlatPlace
from gradevol.measures.drainage.edge_falls import Cause, Stretch
from gradevol.measures.drainage.ponding import Pond
from gradevol.site.locating import name_side

_WINDS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


def present_top(result: Result, rounding: Rounding) -> dict[str, Any]:
    """
    Put the fit, the falls and the ponding of the top into plain data.

    Parameters
    ----------
    result : Result
    rounding : Rounding

    Returns
    -------
    dict
        Empty where there is nothing to tell. Falls are ratios.
    """
    top: dict[str, Any] = {}
    if len(result.top.residuals):
        top["residuals"] = [rounding.length(float(x)) for x in result.top.residuals]
    drainage = result.drainage
    if drainage is None:
        return top
    least = drainage.runoff.least_fall
    top["falls"] = _falls(drainage.falls, least, result, rounding)
    if drainage.flat_area is not None:  # an empty list would say that nothing is flat
        top["flat_area"] = rounding.area(drainage.flat_area)
        top["flat"] = [_flat(place, result, rounding) for place in drainage.flat]
        if drainage.flat_unlisted:
            top["flat_unlisted"] = drainage.flat_unlisted
    if drainage.runoff.closed_sides:
        top["closed_sides"] = list(drainage.runoff.closed_sides)
    top["ponding"] = [_pond(pond, result, rounding) for pond in drainage.ponds]
    if drainage.ponds_unlisted:
        top["ponding_unlisted"] = drainage.ponds_unlisted
    top["edges"] = [_edge(edge, least is not None, rounding) for edge in drainage.edges]
    if drainage.edges_unlisted:
        top["edges_unlisted"] = drainage.edges_unlisted
    top["arrows"] = [
        {
            "at": rounding.place(arrow.at),
            "fall": rounding.share(arrow.fall),
            "bearing": rounding.share(arrow.bearing),
        }
        for arrow in drainage.arrows
    ]
    return top


def _falls(
    falls: Falls, least_fall: float | None, result: Result, rounding: Rounding
) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "mean": rounding.share(falls.mean),
        "resultant": rounding.share(falls.resultant),
        "least": rounding.share(falls.least),
        "least_at": rounding.place(falls.least_at),
        "least_where": say_place(falls.least_at, result.slab, result.units),
    }
    if falls.bearing is not None:
        shown["bearing"] = rounding.share(falls.bearing) % 360
        shown["towards"] = _WINDS[int(falls.bearing / 45 + 0.5) % 8]
    if least_fall is not None:
        shown["stated"] = rounding.share(least_fall)
    return shown


def _flat(place: FlatPlace, result: Result, rounding: Rounding) -> dict[str, Any]:
    return {
        "area": rounding.area(place.area),
        "least": rounding.share(place.least),
        "mean": rounding.share(place.mean),
        "at": rounding.place(place.at),
        "where": say_place(place.at, result.slab, result.units),
        "causes": [_cause(cause, rounding) for cause in place.causes],
        "outline": [[rounding.place(corner) for corner in ring] for ring in place.rings],
    }


def _cause(cause: Cause, rounding: Rounding) -> dict[str, Any]:
    return {
        "point": cause.name,
        "at": rounding.place(cause.at),
        "off": rounding.length(cause.off),
    }


def _pond(pond: Pond, result: Result, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "depth": rounding.length(pond.depth),
        "area": rounding.area(pond.area),
        "volume": rounding.volume(pond.volume),
        "at": rounding.place(pond.at),
        "where": say_place(pond.at, result.slab, result.units),
        "sill": rounding.place(pond.sill),
        "sill_where": say_place(pond.sill, result.slab, result.units),
        "outline": [[rounding.place(corner) for corner in ring] for ring in pond.rings],
    }
    if pond.lowest_point:
        shown["lowest_point"] = pond.lowest_point
        shown["sill_point"] = pond.sill_point
    return shown


def _edge(edge: Stretch, is_judged: bool, rounding: Rounding) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "side": edge.side,
        "start": rounding.length(edge.start),
        "end": rounding.length(edge.end),
        "fall": rounding.share(edge.fall),
        "beside": rounding.share(edge.beside),
    }
    if edge.bearing is not None:
        shown["bearing"] = rounding.share(edge.bearing) % 360
    if is_judged:
        shown["flat"] = edge.is_flat
    if edge.cause is not None:
        shown["cause"] = _cause(edge.cause, rounding)
    return shown


def present_moves(result: Result, rounding: Rounding) -> list[dict[str, Any]]:
    """Put what moving the top would do into plain data, in words first."""
    return [
        {
            "kind": move.kind,
            "by": rounding.length(move.by),
            **({} if move.held is None else {"held": move.held}),
            "text": say_move(move, result),
            "volume": rounding.volume(move.volume),
            "thin_area": rounding.area(move.thin_area),
            "least": rounding.length(move.least),
            "cover": [rounding.length(cover) for cover in move.cover],
            "least_fall": rounding.share(move.least_fall),
            "leaves": sorted((*move.off_flush, *move.off_measured)),
        }
        for move in result.moves
    ]


def say_move(move: Move, result: Result) -> str:
    """Say a way of moving the top, and which edges it would no longer meet."""
    by = result.units.say_thickness(abs(move.by))
    up = "up" if move.by > 0 else "down"
    held = name_side(move.held, result.slab.side_names) if move.held is not None else ""
    said = {
        "raise": f"the whole top {by} {up}",
        "tilt": f"held at {held}, the far side {by} {up}",
        "crown": f"held at {held} and at the far side, midway {by} {up}",
    }[move.kind]
    for sides, words in (
        (move.off_flush, "no longer flush with"),
        (move.off_measured, "no longer as measured along"),
    ):
        if sides:
            *most, last = [name_side(side, result.slab.side_names) for side in sides]
            said += f"; {words} {' and '.join([*filter(None, [', '.join(most)]), last])}"
    return said
