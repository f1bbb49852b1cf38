"""What a job says of the design top of slab."""

from dataclasses import dataclass
from typing import TypeAlias

from gradevol.files.sources import OutlineFile, Shots, SurfaceFile, is_one_sheet
from gradevol.ground.arrays import FloatArray
from gradevol.job.base import read_shots, read_shots_beside
from gradevol.job.declarations import Kind
from gradevol.job.setups import read_setups_of_top
from gradevol.job.table import Table
from gradevol.measures.drainage import Runoff
from gradevol.site.top import Between, Fall, Level, Plane


@dataclass(frozen=True, slots=True)
class TopShots:
    """A top measured by form, screed or tie-in shots."""

    shots: Shots


@dataclass(frozen=True, slots=True)
class TopFile:
    """A top that is the surface in a file."""

    file: SurfaceFile


@dataclass(frozen=True, slots=True)
class TopLines:
    """Rulings between two lines, (n, 3), m, or coded shots; `top.Between` once those are read."""

    first: FloatArray | Shots
    second: FloatArray | Shots


PanelDesign: TypeAlias = Level | Plane | Fall | Between | TopLines | TopShots | TopFile


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
    table, base = job.read("top"), job.read("base")
    way = table.choose("the top")
    is_whole = way != "panel"
    design = _read_design(table, base, way) if is_whole else _read_panels(table, base)
    return design, table.read("sigma")


def read_runoff(job: Table, *, sides: Kind) -> Runoff:
    """
    Read what the [top] table of a job says of water.

    Parameters
    ----------
    job : Table
    sides : Kind
        How sides of the slab are told (`sides_of`).

    Raises
    ------
    InputError
        If a key cannot be used.
    """
    table: Table = job.read("top")
    closed = table.read("closed_sides", sides)
    return table.fill(Runoff, closed_sides=closed or ())


def _read_design(table: Table, base: Table, way: str) -> PanelDesign:
    match way:
        case "level":
            return Level(table.read("level"))
        case "plane":
            return Plane(table.read("plane"))
        case "through":
            return Fall(table.read("through"), table.require("fall"), table.require("bearing"))
        case "between":
            return _read_between(table, base)
        case "shots":
            shots = _read_shots(table, base)
            _refuse_forms_as_base(table, shots, base)
            return TopShots(shots)
    return TopFile(table.fill(SurfaceFile))


def _read_shots(table: Table, base: Table) -> Shots:
    """Shots of a top: in the base's own files they stand as it says, in others it is not known."""
    setups = read_setups_of_top(table, base)
    if "shots" not in base:
        return read_shots(table, setups)
    is_shared = set(table.read("shots")) <= set(base.read("shots"))
    if is_shared and is_one_sheet(table.read("sheet"), base.read("sheet")):
        shared = ["sheet", "columns", "notation", "units", "ignore_file_unit"]
        return read_shots(table.sharing(base, shared), setups)
    of_base = None if "columns" in table else base.read("columns")
    return read_shots(table, setups, columns_of_base=of_base)


def _read_between(table: Table, base: Table) -> Between | TopLines:
    lines: list[FloatArray | Shots] = []
    for line in table.read("between"):
        if not isinstance(line, Table):
            lines.append(line)
            continue
        shots = read_shots_beside(line, base, least=2)
        _refuse_forms_as_base(line, shots, base)
        lines.append(shots)
    first, second = lines
    if isinstance(first, Shots) or isinstance(second, Shots):
        return TopLines(first, second)
    return Between(first, second)


def _read_panels(table: Table, base: Table) -> TopPanels:
    panels = [
        TopPanel(
            part.read("edge"), _read_design(part, base, part.choose(f"the top of {part.name}"))
        )
        for part in table.read("panel")
    ]
    if not panels:
        raise table.error("top.panel is empty", "Write [[top.panel]] above each panel")
    return TopPanels(tuple(panels))


def _refuse_forms_as_base(table: Table, shots: Shots, base: Table) -> None:
    """Refuse a base that takes every shot of a file in which others are known to be the top."""
    if not shots.codes or "codes" in base or "shots" not in base:
        return
    if not is_one_sheet(shots.sheet, base.read("sheet")):
        return
    if shared := set(shots.paths) & set(base.read("shots")):
        raise table.error(
            f"{table.called('codes')} picks {', '.join(shots.codes)} out of "
            f"{sorted(path.name for path in shared)[0]}, but [base] takes every shot of it, those "
            "too",
            'Say which of its shots are base, such as base.codes = ["BASE*"]',
        )
