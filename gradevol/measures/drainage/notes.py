"""What must be said of water on the top, beside the figures."""

from collections.abc import Iterator

from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.measures.drainage import Drainage
from gradevol.site.locating import name_side
from gradevol.site.slab import Slab
from gradevol.site.tie_ins import TieIns, say_at

#: Flat stretches along measured edges that are told, the flattest first.
MOST = 5


def say_fall(fall: float) -> str:
    """Say a fall: ``1.1 %``; small ones to the hundredth."""
    return f"{100 * fall:.1f} %" if fall >= 0.00995 else f"{100 * fall:.2f} %"


def remark_on_drainage(drainage: Drainage, slab: Slab, tie_ins: TieIns) -> tuple[Note, ...]:
    """Remark on flat places and on water that stands."""
    return (*_flat(drainage), *_flat_at_tie_ins(drainage, slab, tie_ins), *_ponds(drainage))


def _flat(drainage: Drainage) -> Iterator[Note]:
    least = drainage.runoff.least_fall
    if not drainage.flat or drainage.flat_area is None or least is None:
        return
    yield Note(
        "top-flat",
        f"{{}} of the top falls less than {say_fall(least)}, down to "
        f"{say_fall(min(place.least for place in drainage.flat))}: puddles may stay "
        "there.",
        (Measure(drainage.flat_area, Kind.AREA),),
        places=tuple(place.at for place in drainage.flat),
    )


def _flat_at_tie_ins(drainage: Drainage, slab: Slab, tie_ins: TieIns) -> Iterator[Note]:
    """Flat stretches where the top meets what stands there already."""
    flat = [
        (edge, edge.cause)
        for edge in drainage.edges
        if edge.is_flat and edge.side in tie_ins.flush and edge.cause is not None
    ]
    for edge, cause in sorted(flat, key=lambda each: each[0].beside)[:MOST]:
        yield Note(
            "top-flat-at-tie-in",
            f"Along {escape(name_side(edge.side, slab.side_names))}, from {{}} to {{}} "
            f"off its first corner, the top falls {say_fall(edge.fall)}, and "
            f"{say_fall(edge.beside)} with "
            f"what it falls across: {escape(cause.name)} is {{}} "
            f"{'above' if cause.off > 0 else 'below'} the line of its neighbours. Its fall "
            "along there can't be changed while the top is flush: tell the owner.",
            (
                Measure(edge.start, Kind.TAPE),
                Measure(edge.end, Kind.TAPE),
                Measure(abs(cause.off), Kind.LEVEL),
            ),
            places=(cause.at[:2],),
        )


def _ponds(drainage: Drainage) -> Iterator[Note]:
    if not drainage.ponds:
        return
    pond = drainage.ponds[0]
    count = len(drainage.ponds) + drainage.ponds_unlisted
    head = "The top holds water" + (f" in {count} places, in the largest" if count > 1 else "")
    where = (
        f"it is lowest {escape(say_at(pond.lowest_point))} and spills "
        f"{escape(say_at(pond.sill_point))}: "
        "raise the one or lower the other by as much"
        if pond.lowest_point and pond.sill_point
        else "raise its lowest place or lower its sill by as much"
    )
    yield Note(
        "top-holds-water",
        f"{head} {{}} deep over {{}}; {where}.",
        (pond.told_depth, Measure(pond.area, Kind.AREA)),
        places=(pond.at[:2], pond.sill[:2]),
    )
