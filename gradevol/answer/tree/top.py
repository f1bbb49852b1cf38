"""The top as declared data: its fit, how it falls, where it is flat or holds water."""

from typing import Annotated, Any

from gradevol.answer.declared import (
    Bearing,
    Beside,
    Length,
    Number,
    Place,
    Point,
    Positive,
    Rings,
    Size,
    declared,
)
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding, if_known
from gradevol.answer.said.places import say_place
from gradevol.answer.tree.edges import CauseData, EdgeData, compose_cause, compose_edges
from gradevol.measures.drainage import Drainage, Falls, FlatPlace
from gradevol.measures.drainage.ponding import Pond

_WINDS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@declared
class FallsData:
    """The falls of the whole top."""

    mean: Annotated[Size, "Mean of the fall over the plan area, whichever way it runs."]
    resultant: Annotated[
        Size, "Fall of the mean slope: far below `mean` where the top falls several ways."
    ]
    least: Annotated[Size, "Least fall of any triangle of the top."]
    least_at: Annotated[Place, "Easting, northing of its middle."]
    least_where: Annotated[str, "The same by tape."]
    bearing: Annotated[Bearing | None, "Of the resultant; absent where there is none."] = None
    towards: Annotated[str | None, "The same in words."] = None
    stated: Annotated[
        Positive | None, "`top.least_fall` of the job; absent where none is stated."
    ] = None


@declared
class FlatData:
    """One place that falls less than is stated."""

    area: Annotated[Size, "Plan area."]
    least: Annotated[Size, "Least fall there."]
    mean: Annotated[Size, "Mean fall there."]
    at: Annotated[Place, "A place in its midst."]
    where: Annotated[str, "The same by tape."]
    causes: Annotated[list[CauseData], "Measured points that make the edge of the top flat there."]
    outline: Annotated[Rings, "Rings, as those of [spots](#spots)."]


@declared
class PondData:
    """One place that holds water."""

    depth: Annotated[Positive, "The greatest."]
    area: Annotated[Size, "Of the water."]
    volume: Annotated[Size, "Of the water."]
    at: Annotated[Point, "The deepest place: easting, northing, elevation of the top."]
    where: Annotated[str, "The same by tape."]
    sill: Annotated[Point, "Where it runs over when full; the elevation is that of the water."]
    sill_where: Annotated[str, "The same by tape."]
    outline: Annotated[Rings, "Its shore, rings as those of [spots](#spots)."]
    lowest_point: Annotated[
        str | None,
        "The measured point at the deepest place, or within 1 m of it; absent where there is none.",
    ] = None
    sill_point: Annotated[str | None, "The measured point at the sill, likewise."] = None


@declared
class ArrowData:
    """Which way the top falls at one place."""

    at: Annotated[Place, "Easting, northing."]
    fall: Annotated[Size, "The fall there."]
    bearing: Annotated[Bearing, "The way it runs."]


@declared
class TopData:
    """The design top: fit, falls and water."""

    residuals: Annotated[
        list[Length] | None,
        "What each point of the top's plane stands above it; absent unless it is a plane through "
        "more than three points.",
    ] = None
    falls: Annotated[FallsData | None, "The falls of the whole top."] = None
    flat_area: Annotated[
        Size | None,
        Beside("flat"),
        "Area that falls less than the job states; absent where it states no least fall, as are "
        "`top.flat` and `top.edges[].flat`.",
    ] = None
    flat: Annotated[
        list[FlatData] | None,
        Beside("flat_area"),
        "Its places, the largest first; 20 at most, none under 0.01 m².",
    ] = None
    flat_unlisted: Annotated[
        Number | None, "How many smaller ones beside them; absent where none."
    ] = None
    closed_sides: Annotated[
        list[Number] | None,
        "Sides over which no water leaves; absent where there are none.",
    ] = None
    ponding: Annotated[
        list[PondData] | None,
        "Places that hold water half a millimetre deep or more, the one that holds most first; 20 "
        "at most.",
    ] = None
    ponding_unlisted: Annotated[
        Number | None, "How many smaller ones beside them; absent where none."
    ] = None
    edges: Annotated[
        list[EdgeData] | None,
        "Stretches of the slab's sides along which the top has one fall, from each side's first "
        "corner on.",
    ] = None
    edges_unlisted: Annotated[
        Number | None,
        "How many there are beside the 100 flattest; absent where none.",
    ] = None
    arrows: Annotated[
        list[ArrowData] | None,
        "Which way the top falls, on squares along the slab; none where it is level.",
    ] = None


def compose_top(result: Result, rounding: Rounding) -> TopData | None:
    """Compose the fit, the falls and the ponding of the top; None where there is none of them."""
    residuals = [rounding.length(float(x)) for x in result.top.residuals]
    told: dict[str, Any] = {"residuals": residuals} if residuals else {}
    if result.drainage is not None:
        told |= _compose_drainage(result.drainage, result, rounding)
    return TopData(**told) if told else None


def _compose_drainage(drainage: Drainage, result: Result, rounding: Rounding) -> dict[str, Any]:
    least, is_judged = drainage.runoff.least_fall, drainage.flat_area is not None
    return {
        "falls": _compose_falls(drainage.falls, least, result, rounding),
        "flat_area": if_known(rounding.area, drainage.flat_area),
        # where none is judged, an empty list would say that nothing is flat
        "flat": [_compose_flat(p, result, rounding) for p in drainage.flat] if is_judged else None,
        "flat_unlisted": (is_judged and drainage.flat_unlisted) or None,
        "closed_sides": list(drainage.runoff.closed_sides) or None,
        "ponding": [_compose_pond(pond, result, rounding) for pond in drainage.ponds],
        "ponding_unlisted": drainage.ponds_unlisted or None,
        "edges": compose_edges(drainage, rounding),
        "edges_unlisted": drainage.edges_unlisted or None,
        "arrows": [
            ArrowData(
                at=rounding.place(arrow.at),
                fall=rounding.share(arrow.fall),
                bearing=rounding.share(arrow.bearing) % 360,
            )
            for arrow in drainage.arrows
        ],
    }


def _compose_falls(
    falls: Falls, least_fall: float | None, result: Result, rounding: Rounding
) -> FallsData:
    bearing = falls.bearing
    return FallsData(
        mean=rounding.share(falls.mean),
        resultant=rounding.share(falls.resultant),
        least=rounding.share(falls.least),
        least_at=rounding.place(falls.least_at),
        least_where=say_place(falls.least_at, result.slab, result.units),
        bearing=None if bearing is None else rounding.share(bearing) % 360,
        towards=None if bearing is None else _WINDS[int(bearing / 45 + 0.5) % 8],
        stated=if_known(rounding.share, least_fall),
    )


def _compose_flat(place: FlatPlace, result: Result, rounding: Rounding) -> FlatData:
    return FlatData(
        area=rounding.area(place.area),
        least=rounding.share(place.least),
        mean=rounding.share(place.mean),
        at=rounding.place(place.at),
        where=say_place(place.at, result.slab, result.units),
        causes=[compose_cause(cause, rounding) for cause in place.causes],
        outline=[[rounding.place(corner) for corner in ring] for ring in place.rings],
    )


def _compose_pond(pond: Pond, result: Result, rounding: Rounding) -> PondData:
    return PondData(
        depth=rounding.length(pond.depth),
        area=rounding.area(pond.area),
        volume=rounding.volume(pond.volume),
        at=rounding.place(pond.at),
        where=say_place(pond.at, result.slab, result.units),
        sill=rounding.place(pond.sill),
        sill_where=say_place(pond.sill, result.slab, result.units),
        outline=[[rounding.place(corner) for corner in ring] for ring in pond.rings],
        lowest_point=pond.lowest_point or None,
        sill_point=pond.sill_point or None,
    )
