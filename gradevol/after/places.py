"""Places of a pour by name: the side where it begins, its panels, the part that is poured."""

from collections.abc import Mapping
from dataclasses import replace

import shapely

from gradevol.files import Files, read_ring
from gradevol.files.tickets.table import Load, Tickets
from gradevol.files.tickets.times import count_hours
from gradevol.geometry.rings import polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, list_of
from gradevol.job import Job, TopPanels
from gradevol.job.placement import place_parts
from gradevol.job.sides import find_side
from gradevol.plan.order.parts import REST, find_zones
from gradevol.site.slab import Slab

#: So little of two places is a slip of the pen, a share of the area of one.
_SLIP = 0.01


def find_start(job: Job, slab: Slab) -> int | None:
    """Number of the side where placing begins."""
    start = job.placing.start
    if not isinstance(start, str):
        if start is not None and not 1 <= start <= len(slab.sides):
            raise InputError(
                f"placing.from is {start}, but the slab has {len(slab.sides)} sides",
                remedy="Side 1 runs from corner 1 to corner 2",
                path=job.path,
            )
        return start
    found = find_side(start, slab.side_names)
    if isinstance(found, int):
        return found
    problem, remedy = found
    raise InputError(f"placing.from is {start!r}, {problem}", remedy=remedy, path=job.path)


def name_zones(
    job: Job, files: Files, origin: FloatArray, slab: Slab
) -> dict[str, shapely.Geometry]:
    """Panels and pours by name, within the slab."""
    edges = [
        (panel.name, read_ring(panel.edge, files) - origin[:2]) for panel in job.placing.panels
    ]
    if isinstance(job.top, TopPanels):
        edges += [
            (f"panel {number}", read_ring(panel.edge, files) - origin[:2])
            for number, panel in enumerate(job.top.panels, start=1)
        ]
    panels = [
        (name, shapely.intersection(polygon(edge, what=f"The edge of {name}"), slab.outline))
        for name, edge in edges
    ]
    zones: dict[str, shapely.Geometry] = {}
    for name, zone in [*find_zones(place_parts(job, files, origin), slab), *panels]:
        other = next((zones[one] for one in zones if one.casefold() == name.casefold()), zone)
        if shapely.symmetric_difference(zone, other).area > _SLIP * zone.area:
            raise InputError(
                f"two places of the slab are called {name!r}, and tickets say by it what is done",
                remedy="Give each [[pour]] and [[placing.panel]] a name of its own, and none that "
                'of a [[top.panel]], such as "panel 1"',
                path=job.path,
            )
        zones.setdefault(name, zone)
    return zones


def name_parts(job: Job) -> tuple[str, ...]:
    """Names of the parts of the slab that are poured by themselves, and of what they leave."""
    return (*(part.name for part in job.parts), REST)


def name_places(job: Job) -> tuple[str, ...]:
    """Names of all that is of the slab: what went there went into it."""
    tops = len(job.top.panels) if isinstance(job.top, TopPanels) else 0
    return (
        *name_parts(job),
        *(panel.name for panel in job.placing.panels),
        *(f"panel {number}" for number in range(1, tops + 1)),
    )


def find_part(job: Job, zones: dict[str, shapely.Geometry]) -> shapely.Geometry | None:
    """Part of the slab that is poured; None: all of it."""
    name = job.placing.pour
    if not name:
        return None
    parts = [part for part in name_parts(job) if part in zones] if job.parts else []
    if name not in parts:
        said = list_of([repr(part) for part in parts]) or "none"
        raise InputError(
            f"placing.pour is {name!r}; the parts of the slab are {said}",
            remedy="Name one of them as its [[pour]] does, or leave it out for all of the slab",
            path=job.path,
        )
    return zones[name]


def keep_own(tickets: Tickets, pour: str, zones: Mapping[str, shapely.Geometry]) -> Tickets:
    """
    Leave out loads that went into another part of the slab than the one that is poured.

    Parameters
    ----------
    tickets : Tickets
    pour : str
        Name of that part; empty: all of the slab.
    zones : mapping of str to shapely geometry
        Panels and pours by name: what has nothing of the part is of another one.
    """
    if not pour:
        return tickets
    mine = zones[pour]
    others = {
        name.casefold()
        for name, zone in {REST: shapely.Polygon(), **zones}.items()  # there may be no rest
        if shapely.intersection(zone, mine).area <= _SLIP * min(zone.area, mine.area)
    }
    own = {"slab", *map(str.casefold, zones)} - others
    calls = tuple(
        each for each in tickets.calls if others.isdisjoint(map(str.casefold, each.went_to))
    )
    kept: list[Load] = []
    gone: list[Load] = []
    for load in tickets.loads:
        named = {name.casefold() for name in load.went_to}
        is_gone = not named.isdisjoint(others)
        finished = [name for name in load.done if name.casefold() in others]
        if finished and not named:
            raise InputError(
                f"by {load.name} {list_of(list(map(repr, finished)))} is done, and which loads "
                f"went there, and which into {pour!r}, can't be told",
                remedy="Write under went_to into which of them each load went",
                path=tickets.path,
                line=load.line,
            )
        if is_gone and named & own:
            raise InputError(
                f"{load.name} went to {' + '.join(load.went_to)}: what of it went into {pour!r} "
                "can't be told",
                remedy="Write a row for each part, with its volume: 8a and 8b",
                path=tickets.path,
                line=load.line,
            )
        (gone if is_gone else kept).append(load)
    if not gone:
        return replace(tickets, calls=calls)
    text = (
        f"{count_of(len(gone), 'load')} of the tickets went into other parts of the slab than "
        f"{escape(pour)}: left out here."
    )
    notes = (*tickets.notes, Note("tickets-of-other-pours", text))
    loads = count_hours(kept) if kept else ()
    return replace(tickets, loads=loads, calls=calls, notes=notes)
