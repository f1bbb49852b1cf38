"""What a job says of measured files: the base, and sources that the top shares with it."""

from dataclasses import dataclass, replace
from typing import Literal

from gradevol.files.sources import (
    BaseSource,
    Cloud,
    Control,
    Rechecks,
    Setups,
    Shots,
    SurfaceFile,
)
from gradevol.job.setups import read_setups, read_setups_of_top
from gradevol.job.shapes import find_files, read_ring
from gradevol.job.sheets import read_depths, read_rods
from gradevol.job.table import Table

#: Where a base may come from.
_SOURCES = ("shots", "cloud", "rods", "depths", "surface_file")
#: Keys that go with a source, and with which.
_COMPANIONS = {
    **dict.fromkeys(("codes", "breaklines", "rechecks"), ("shots",)),
    "columns": ("shots", "depths", "cloud"),
    "setups": ("shots", "rods"),
    **dict.fromkeys(("instrument_height", "benchmark", "backsight"), ("rods",)),
    **dict.fromkeys(("origin", "spacing", "bearing"), ("rods", "depths")),
    "string": ("depths",),
    "layer": ("shots", "surface_file"),
    "surface_name": ("surface_file",),
    **dict.fromkeys(("cell", "classes", "ground", "control"), ("cloud",)),
}


@dataclass(frozen=True, slots=True)
class Base:
    """
    The prepared base as measured.

    Attributes
    ----------
    source : Shots or Rods or Depths or Cloud or SurfaceFile
        The files, and how to read them.
    sigma, datum_sigma, foot_sigma : float or None
        One standard deviation of one shot's elevation, of what the shots of a setup share, and of
        what all shots share, m; None where the job does not say.
    allow_gaps : bool
        Whether a survey that covers less than half of the slab will do.
    breaklines : tuple of str
        Patterns of descriptions whose shots are joined.
    rechecks : Rechecks or None
        Later shots that retire earlier ones.
    control : Control or None
        Shots that a cloud is compared with.
    """

    source: BaseSource
    sigma: float | None = None
    datum_sigma: float | None = None
    foot_sigma: float | None = None
    allow_gaps: bool = False
    breaklines: tuple[str, ...] = ()
    rechecks: Rechecks | None = None
    control: Control | None = None


def read_base(job: Table) -> Base:
    """
    Read the [base] table of a job.

    Raises
    ------
    InputError
        If a key cannot be used, or there is not exactly one source.
    """
    table = job.read_table("base")
    source: BaseSource
    chosen = table.choose(_SOURCES, "the base")
    table.refuse_beside(chosen, _COMPANIONS)
    breaklines = table.read_texts("breaklines")
    if chosen == "shots":
        source = read_shots(table, read_setups(table))
        if source.codes and breaklines:  # shots on a breakline are shots of the base too
            source = replace(source, codes=(*source.codes, *breaklines))
    elif chosen == "cloud":
        source = _read_cloud(table)
    elif chosen == "rods":
        source = read_rods(table)
    elif chosen == "depths":
        source = read_depths(table)
    else:
        source = read_surface_file(table)
    return Base(
        source,
        sigma=table.find_length("sigma", or_zero=True),
        datum_sigma=table.find_length("datum_sigma", or_zero=True),
        foot_sigma=table.find_length("foot_sigma", or_zero=True),
        allow_gaps=table.read_flag("allow_gaps"),
        breaklines=breaklines,
        rechecks=_read_rechecks(table) if "rechecks" in table else None,
        control=_read_control(table) if "control" in table else None,
    )


def read_shots(table: Table, setups: Setups | None) -> Shots:
    """Files of shots, of the base or of the top, and the setups that their rods are taken off."""
    return Shots(
        find_files(table, "shots"),
        table.read_unit("units"),
        columns=table.read_text("columns", "") or None,
        codes=table.read_texts("codes"),
        setups=setups,
        layer=table.read_text("layer", "") or None,
        key=table.name,
    )


def read_surface_file(table: Table) -> SurfaceFile:
    """File of a surface, of the base or of the top."""
    files = find_files(table, "surface_file")
    if len(files) != 1:
        raise table.error(
            f"{table.called('surface_file')} names {len(files)} files", "Give one surface"
        )
    return SurfaceFile(
        files[0],
        table.read_unit("units"),
        layer=table.read_text("layer", "") or None,
        name=table.read_text("surface_name", "") or None,
    )


def _read_cloud(table: Table) -> Cloud:
    return Cloud(
        find_files(table, "cloud", tiles=True),
        table.read_unit("units"),
        cell=table.find_length("cell", or_zero=True),
        classes=table.read_whole_numbers("classes", 0, 255) if "classes" in table else (),
        ground=_read_ground(table),
        columns=table.read_text("columns", "") or None,
    )


def _read_ground(table: Table) -> Literal["auto"] | bool:
    if table.values.get("ground", "auto") == "auto":
        return "auto"
    if not isinstance(table.values["ground"], bool):
        raise table.wrong(
            table.called("ground"),
            table.values["ground"],
            '"auto", true or false',
            "true: take away what is not base by its shape; false: keep it",
        )
    return table.read_flag("ground")


def _read_control(base: Table) -> Control:
    table = base.read_part("control")
    table.require("shots", "Name the file of the control shots")
    unit = {key: base.values[key] for key in ("units",) if key in base.values}
    values = {**unit, **table.values}
    shots = read_shots(Table(table.path, table.kind, table.name, values, table.unit), None)
    return Control(shots, table.read_flag("apply"))


def read_shots_beside(table: Table, base: Table) -> Shots:
    """Shots of a small table within the job; what it leaves out is as the base has it."""
    like = {key: base.values[key] for key in ("columns", "units", "layer") if key in base.values}
    if "shots" not in table:
        if "shots" not in base:
            raise table.error(
                f"{table.called('shots')} is left out, and the base is not measured by shots",
                "Name the file of the coded shots",
            )
        like["shots"] = base.values["shots"]
    values = {**like, **table.values}
    setups = read_setups_of_top(table, base) if "setups" in base else None
    return read_shots(Table(table.path, table.kind, table.name, values, table.unit), setups)


def _read_rechecks(base: Table) -> Rechecks:
    table = base.read_part("rechecks")
    table.require("shots", "Name the file of the later shots")
    if ("radius" in table) == ("outline" in table):
        raise table.error(
            f"{table.name} needs a radius or an outline, one of them",
            "radius: earlier shots nearer than this to a later one are retired; outline: those "
            "within it",
        )
    outline = None
    if "outline" in table:
        outline = read_ring(table, table.values["outline"], table.called("outline"))
    shots = replace(read_shots_beside(table, base), least=1)
    return Rechecks(shots, table.find_length("radius"), outline)
