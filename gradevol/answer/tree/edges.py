"""The top's falls along the slab's sides, as declared data."""

from typing import Annotated

from gradevol.answer.declared import Bearing, Length, Number, Point, Size, declared
from gradevol.answer.rounding import Rounding
from gradevol.measures.drainage import Drainage
from gradevol.measures.drainage.edge_falls import Cause, Stretch


@declared
class CauseData:
    """A measured point that makes the edge of the top flat."""

    point: Annotated[str, "Its id, or its place in the job's list."]
    at: Annotated[Point, "Easting, northing, elevation."]
    off: Annotated[Length, "What it stands above the line of its neighbours; negative: below."]


@declared
class EdgeData:
    """A stretch of a side along which the top has one fall."""

    side: Annotated[Number, "Counted from 1."]
    start: Annotated[Size, "Distance from the side's first corner."]
    end: Annotated[Size, "The same of its end."]
    fall: Annotated[Size, "Along the side; of a curve from end to end."]
    beside: Annotated[Size, "Least fall of the top next to it, whichever way."]
    bearing: Annotated[
        Bearing | None, "The way it falls along the side; absent where it is level."
    ] = None
    flat: Annotated[
        bool | None,
        "Whether `beside` is less than the job states; absent where it states no least fall.",
    ] = None
    cause: Annotated[
        CauseData | None,
        "The measured point that makes it flat; absent where it is no point's doing.",
    ] = None


def compose_edges(drainage: Drainage, rounding: Rounding) -> list[EdgeData]:
    """Compose the falls along the slab's sides."""
    is_judged = drainage.runoff.least_fall is not None
    return [_compose_edge(edge, rounding, is_judged=is_judged) for edge in drainage.edges]


def _compose_edge(edge: Stretch, rounding: Rounding, *, is_judged: bool) -> EdgeData:
    return EdgeData(
        side=edge.side,
        start=rounding.length(edge.start),
        end=rounding.length(edge.end),
        fall=rounding.share(edge.fall),
        beside=rounding.share(edge.beside),
        bearing=None if edge.bearing is None else rounding.share(edge.bearing) % 360,
        flat=edge.is_flat if is_judged else None,
        cause=compose_cause(edge.cause, rounding) if edge.cause else None,
    )


def compose_cause(cause: Cause, rounding: Rounding) -> CauseData:
    """Compose the measured point that makes an edge flat."""
    return CauseData(point=cause.name, at=rounding.place(cause.at), off=rounding.length(cause.off))
