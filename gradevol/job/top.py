"""What a job says of the design top of slab."""

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from gradevol.files.sources import OutlineFile, Shots, SurfaceFile
from gradevol.ground.arrays import FloatArray
from gradevol.ground.quantities import parse_fall
from gradevol.job.base import read_shots, read_surface_file
from gradevol.job.setups import read_setups_of_top
from gradevol.job.shapes import find_files, read_line, read_outline, read_point, read_points
from gradevol.job.table import Table
from gradevol.measures.drainage import Runoff
from gradevol.site.top import Between, Fall, Level, Plane

_DESIGNS = ("level", "plane", "through", "between", "shots", "surface_file")
#: Keys that go with a design, and with which.
_COMPANIONS = {
    "fall": ("through",),
    "bearing": ("through",),
    "columns": ("shots",),
    "codes": ("shots",),
    "units": ("shots", "surface_file"),
    "setups": ("shots",),
    "layer": ("shots", "surface_file"),
    "surface_name": ("surface_file",),
}


@dataclass(frozen=True, slots=True)
class TopShots:
    """A top measured by form, screed or tie-in shots."""

    shots: Shots


@dataclass(frozen=True, slots=True)
class TopFile:
    """A top that is the surface in a file."""

    file: SurfaceFile


PanelDesign: TypeAlias = Level | Plane | Fall | Between | TopShots | TopFile


@dataclass(frozen=True, slots=True)
class TopPanel:
    """A part of the slab, by its edge (m, 2), m, or a file of it, with a top of its own."""

    edge: FloatArray | OutlineFile
    design: PanelDesign


@dataclass(frozen=True, slots=True)
class TopPanels:
    """Panels that together make the slab; `top.Panels` once their files are read."""

    panels: tuple[TopPanel, ...]


TopDesign: TypeAlias = PanelDesign | TopPanels


def read_top_design(job: Table) -> tuple[TopDesign, float | None]:
    """
    Read the [top] table of a job.

    Returns
    -------
    design : TopDesign
        In the job's coordinates, m.
    sigma : float or None
        One standard deviation of the finished top's mean level about it, m.

    Raises
    ------
    InputError
        If a key cannot be used, or there is not exactly one design.
    """
    table = job.read_table("top")
    design: TopDesign
    chosen = table.choose((*_DESIGNS, "panel"), "the top")
    base = job.read_table("base")
    design = _read_panels(table, base) if chosen == "panel" else _read_design(table, base)
    return design, table.find_length("sigma", or_zero=True)


def read_runoff(job: Table, *, n_sides: int | None) -> Runoff:
    """
    Read what the [top] table of a job says of water.

    Parameters
    ----------
    job : Table
    n_sides : int or None
        Sides of the slab; None where its edge is in a file.

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    table = job.read_table("top")
    least: float | None = None
    closed: tuple[int, ...] = ()
    if "least_fall" in table:
        value, called = table.values["least_fall"], table.called("least_fall")
        least = table.parse(value, called, "a fall", parse_fall, "1 %")
        if not 0 < least < 1:
            remedy = 'Write 1 per cent as "1 %" or 0.01; leave it out to judge nothing'
            raise table.wrong(called, value, "a ratio above 0 and below 1", remedy)
    if "closed_sides" in table:
        closed = table.read_whole_numbers("closed_sides", 1, n_sides or 9999)
    return Runoff(least, closed)


def _read_panels(table: Table, base: Table) -> TopPanels:
    table.refuse_beside("panel", _COMPANIONS)
    panels = []
    for part in table.read_tables("panel"):
        edge = part.require("edge", "List the corners of the panel: [[e, n], ...]")
        ring = read_outline(part, edge, part.called("edge"))
        panels.append(TopPanel(ring, _read_design(part, base)))
    if not panels:
        raise table.error("top.panel is empty", "Write [[top.panel]] above each panel")
    return TopPanels(tuple(panels))


def _read_design(table: Table, base: Table) -> PanelDesign:
    chosen = table.choose(
        _DESIGNS, "the top" if table.kind == "top" else f"the top of {table.name}"
    )
    table.refuse_beside(chosen, _COMPANIONS)
    value, called = table.values[chosen], table.called(chosen)
    match chosen:
        case "level":
            return Level(table.read_length("level", signed=True))
        case "plane":
            return Plane(read_points(table, value, called, sizes=(3,), least=3))
        case "through":
            return _read_fall(table)
        case "between":
            return _read_between(table, value, called)
        case "shots":
            shots = read_shots(table, read_setups_of_top(table, base))
            _refuse_forms_as_base(table, shots, base)
            return TopShots(shots)
    return TopFile(read_surface_file(table))


def _refuse_forms_as_base(table: Table, shots: Shots, base: Table) -> None:
    """Refuse a base that takes every shot of a file in which others are known to be the top."""
    if not shots.codes or "codes" in base or "shots" not in base:
        return
    if shared := set(shots.paths) & set(find_files(base, "shots")):
        raise table.error(
            f"{table.called('codes')} picks {', '.join(shots.codes)} out of "
            f"{sorted(path.name for path in shared)[0]}, but [base] takes every shot of it, those "
            "too",
            'Say which of its shots are base, such as base.codes = ["BASE*"]',
        )


def _read_fall(table: Table) -> Fall:
    through = read_point(table, "through", size=3)
    value = table.require("fall", 'Write fall = "1/4 in per ft", "2 %" or a ratio such as 0.02')
    called = table.called("fall")
    fall = table.parse(value, called, "a fall", parse_fall, "1/4 in per ft")
    if not 0 <= fall < 1:
        raise table.wrong(
            called,
            value,
            "a ratio from 0 to less than 1",
            'Write 2 per cent as "2 %" or 0.02; turn the bearing where the water runs back',
        )
    remedy = "Write the azimuth towards which water runs, in degrees clockwise from north"
    table.require("bearing", remedy)
    bearing = table.read_number("bearing", 0, 360, expected="an azimuth from 0 to 360 degrees")
    return Fall(through, fall, bearing)


def _read_between(table: Table, value: object, called: str) -> Between:
    if not isinstance(value, list) or len(value) != 2:
        raise table.wrong(
            called,
            value,
            "a list of two lines",
            "Write [[[e, n, z], ...], [[e, n, z], ...]], one line along each measured edge",
        )
    first, second = (
        read_line(table, line, f"line {number} of {called}", sizes=(3,))
        for number, line in enumerate(value, start=1)
    )
    if any(np.array_equal(first[:, :2], line[:, :2]) for line in (second, second[::-1])):
        raise table.error(
            f"line 1 and line 2 of {called} are one line in plan",
            "Give one line along each of two edges that face each other; the top is straight "
            "between them",
        )
    return Between(first, second)
