"""Places of a pour by name: the side where it begins, its panels, the part that is poured."""

import difflib

import shapely

from gradevol.files import Files, read_ring
from gradevol.geometry.rings import polygon
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import InputError
from gradevol.ground.words import list_of
from gradevol.job import Job, TopPanels
from gradevol.job.placement import place_parts
from gradevol.plan.order.parts import REST
from gradevol.site.slab import Slab


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
    names = [name.casefold() for name in slab.side_names]
    if start.casefold() in names:
        return names.index(start.casefold()) + 1
    near = difflib.get_close_matches(start.casefold(), names, n=1, cutoff=0.0)
    raise InputError(
        f"placing.from is {start!r}, which is no side of the slab",
        remedy=f"The nearest of slab.sides is {slab.side_names[names.index(near[0])]!r}"
        if near
        else "Write the side's number: side 1 runs from corner 1 to corner 2",
        path=job.path,
    )


def name_zones(
    job: Job, files: Files, origin: FloatArray, slab: Slab
) -> dict[str, shapely.Geometry]:
    """Panels and pours by name, within the slab."""
    edges = [*place_parts(job, files, origin)]
    rest = slab.outline
    for _, edge in edges:
        rest = shapely.difference(rest, shapely.Polygon(edge))
    edges += [
        (panel.name, read_ring(panel.edge, files) - origin[:2]) for panel in job.placing.panels
    ]
    if isinstance(job.top, TopPanels):
        edges += [
            (f"panel {number}", read_ring(panel.edge, files) - origin[:2])
            for number, panel in enumerate(job.top.panels, start=1)
        ]
    zones = {
        name: shapely.intersection(polygon(edge, what=f"The edge of {name}"), slab.outline)
        for name, edge in edges
    }
    return zones if rest is slab.outline else {**zones, REST: rest}


def find_part(
    job: Job, zones: dict[str, shapely.Geometry], parts: list[str]
) -> shapely.Geometry | None:
    """Part of the slab that is poured; None: all of it."""
    name = job.placing.pour
    if not name:
        return None
    if name not in parts:
        said = list_of([repr(part) for part in parts]) or "none"
        raise InputError(
            f"placing.pour is {name!r}; the parts of the slab are {said}",
            remedy="Name one of them as its [[pour]] does, or leave it out for all of the slab",
            path=job.path,
        )
    return zones[name]
