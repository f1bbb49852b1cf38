"""What a drawing, a mesh or a grid holds: LandXML, DXF, GeoTIFF, GeoJSON, PLY, OBJ, STL."""

from collections.abc import Callable
from dataclasses import replace

from gradevol.doubts.described.facts import (
    Asked,
    Fact,
    Inventory,
    describe_extents,
    group_codes,
    say_error,
    settle_unit,
)
from gradevol.doubts.described.outline import describe_rings
from gradevol.doubts.described.plain_cloud import describe_ply_cloud
from gradevol.doubts.described.spacing import describe_spacing
from gradevol.doubts.described.surface import describe_surface
from gradevol.doubts.finding import Finding
from gradevol.doubts.written.checks import check_points, say_looked_at
from gradevol.doubts.written.points import Points
from gradevol.files.drawings.dxf_file import list_layers, open_dxf
from gradevol.files.drawings.dxf_outline import LINES
from gradevol.files.drawings.formats import find_declared, find_points, find_surface
from gradevol.files.drawings.outline import read_sides
from gradevol.files.drawings.points import DrawnPoints, build_survey
from gradevol.files.drawings.polygons import SEVERAL
from gradevol.files.drawings.units import check_units
from gradevol.files.globe import DEGREES
from gradevol.files.sources import OutlineFile, Shots, SurfaceFile
from gradevol.geometry.rings import ring_area
from gradevol.ground.errors import InputError
from gradevol.ground.units import METRES
from gradevol.ground.words import count_of, first_of, show


def describe_drawing(asked: Asked) -> Inventory:
    """
    Describe a drawing: its surface, or failing that its points, or its ring, or rings by layer.

    Raises
    ------
    InputError
        If it holds nothing that a job can use: the reason its surface could not be read.
    """
    path, kind = asked.file.path, asked.file.kind
    asked.tell(0.0)
    declared = find_declared(asked.file, asked.files)
    own = declared[0].unit if declared else None
    if own is not None and own not in METRES:
        raise InputError(
            f"it says that it is in {own}, which is not read",
            remedy=f"Have it exported in one of {', '.join(METRES)}",
            path=path,
        )
    check_units(declared, unit=own or "m", path=path)
    unit, head, findings = settle_unit(own, "the file", asked.unit)
    faults: list[InputError] = []
    for way in _WAYS.get(kind, (_surface,)):
        try:
            inventory = way(asked, unit, head)
        except InputError as error:
            faults.append(error)
        else:
            inventory = replace(inventory, findings=(*findings, *inventory.findings))
            return _list_layers(inventory, asked) if kind == "DXF" else inventory
    # whoever looks for a ring has nothing to say of points in degrees
    raise next((fault for fault in faults if fault.code == DEGREES), faults[0])


def _list_layers(inventory: Inventory, asked: Asked) -> Inventory:
    """Add what else lies on which layer of a DXF."""
    path = asked.file.path
    layers = list_layers(asked.files.parse(path, open_dxf), path)
    shown = [
        f"{show(layer)}: {', '.join(f'{count:,} {name}' for name, count in held.items())}"
        for layer, held in layers.items()
    ]
    fact = Fact("layers", "Layers", first_of(shown, mark="; "), layers)
    return replace(inventory, facts=(*inventory.facts, fact))


def _surface(asked: Asked, unit: str | None, head: Fact) -> Inventory:
    path, kind = asked.file.path, asked.file.kind
    try:
        mesh = find_surface(SurfaceFile(path, unit or "m"), asked.files)
    except InputError as error:
        if error.code != SEVERAL:
            raise
        key = "base.layer" if kind == "DXF" else "base.surface_name"
        text = f'base.surface_file = "{show(path.name)}", with {key} for the one that is wanted'
        return Inventory(
            name=path.name,
            kind="surface",
            title=f"several surfaces, {kind}",
            facts=(Fact("next", "In a job", text, key),),
            findings=(Finding(SEVERAL, say_error(error)),),
            looked_at="which surfaces there are",
        )
    if kind == "PLY" and len(mesh.points) and not len(mesh.sizes):
        return describe_ply_cloud(asked, mesh)
    return describe_surface(path, mesh, kind, unit=unit, head=head)


def _points(asked: Asked, unit: str | None, head: Fact) -> Inventory:
    path, kind = asked.file.path, asked.file.kind
    drawn = find_points(Shots((path,), unit or "m"), asked.files)
    build_survey(drawn, unit=unit or "m")  # refuses what a job could not use
    points = _gather(drawn, unit)
    facts = [head, *describe_extents(points.places, points.digits, unit, unit)]
    return Inventory(
        name=path.name,
        kind="points",
        title=f"{count_of(len(points.places), 'point')}, {kind}",
        facts=(*facts, *describe_spacing(points, unit)),
        findings=check_points(points),
        looked_at=say_looked_at(points),
        groups=group_codes(points.codes, points.places[:, 2]),
        digits=points.digits[2],
    )


def _gather(drawn: DrawnPoints, unit: str | None) -> Points:
    count = len(drawn.places)
    return Points(
        places=drawn.places,
        lines=tuple(range(1, count + 1)),
        ids=tuple(name or f"point {at}" for at, name in enumerate(drawn.ids, start=1)),
        codes=drawn.codes if any(drawn.codes) else (),
        setups=(),
        readings=drawn.readings or tuple(f"{level:.3f}" for level in drawn.places[:, 2]),
        level="elevation",
        digits=(3, 3, 3),
        unit=unit,
    )


def _rings(asked: Asked, unit: str | None, head: Fact) -> Inventory:
    path, own = asked.file.path, unit or "in"  # arcs are drawn to 1 mm, whatever they are in
    edge, holes = read_sides(OutlineFile(path, own), asked.files)
    rings = [ring / METRES[own] for ring in (edge.places, *holes)]
    return describe_rings(path.name, rings, unit, [head], words=asked.file.kind, starts=edge.starts)


def _rings_by_layer(asked: Asked, unit: str | None, head: Fact) -> Inventory:
    """Tell of each layer whether its lines make the one ring that a job can take from it."""
    path, own = asked.file.path, unit or "in"
    held = list_layers(asked.files.parse(path, open_dxf), path)
    drawn = [layer for layer, kinds in held.items() if not kinds.keys().isdisjoint(LINES)]
    rings: dict[str, float] = {}
    findings = []
    for layer in drawn:
        try:
            edge, _ = read_sides(OutlineFile(path, own, layer=layer), asked.files)
        except InputError as error:
            why = say_error(error) if unit else "With --units it is said why."
            text = f"The lines of layer {show(layer)} do not make one ring. {why}"
            findings.append(Finding("no-ring", text))
        else:
            rings[layer] = abs(ring_area(edge.places)) / METRES[own] ** 2
    if not drawn:
        raise InputError("it holds no lines", remedy="Name another file", path=path)
    square = f"{unit}²" if unit else "unit²"
    facts = [head]
    if rings:
        rings = dict(sorted(rings.items(), key=lambda ring: -ring[1]))
        shown = [f"{show(layer)}, {area:,.2f} {square}" for layer, area in rings.items()]
        job = f'{{ file = "{show(path.name)}", layer = "{show(next(iter(rings)))}" }}'
        facts += [
            Fact("rings", "Rings", first_of(shown, mark="; "), rings),
            Fact("next", "In a job", f"slab.edge = {job}, with the layer of the edge", "slab.edge"),
        ]
    return Inventory(
        name=path.name,
        kind="outline",
        title=f"{count_of(len(rings), 'layer')} with a ring, DXF" if rings else "lines, DXF",
        facts=tuple(facts),
        findings=tuple(findings),
        looked_at="whether the lines of each layer make one ring",
    )


#: What may be found in a drawing, in the order in which it is looked for; in others, a surface.
_WAYS: dict[str, tuple[Callable[[Asked, str | None, Fact], Inventory], ...]] = {
    "LandXML": (_surface, _points),
    "DXF": (_surface, _points, _rings, _rings_by_layer),
    "GeoJSON": (_rings, _points),
}
