"""What a job says of measured files: the base, and sources that the top shares with it."""

from dataclasses import dataclass, replace
from typing import Any

from gradevol.files.setups import Setups
from gradevol.files.sources import BaseSource, Cloud, Control, Rechecks, Shots, SurfaceFile
from gradevol.job.setups import borrow_setups, read_setups
from gradevol.job.sheets import read_depths, read_rods
from gradevol.job.table import Table


@dataclass(frozen=True, slots=True)
class Base:
    """
    The prepared base as measured: its source, and the keys of [base] that go with any, m.

    Attributes
    ----------
    source : Shots or Rods or Depths or Sheets or Cloud or SurfaceFile
        The files, and how to read them.
    breaklines : tuple of str
        Patterns of descriptions whose shots are joined.
    """

    source: BaseSource
    sigma: float | None = None
    datum_sigma: float | None = None
    foot_sigma: float | None = None
    foot_high: float | None = None
    allow_gaps: bool = False
    breaklines: tuple[str, ...] = ()
    rechecks: Rechecks | None = None
    control: Control | None = None


def read_base(table: Table) -> Base:
    """
    Read [base].

    Raises
    ------
    InputError
        If a key cannot be used, or there is not exactly one source.
    """
    source: BaseSource
    match table.choose("the base"):
        case "shots":
            source = read_shots(table, read_setups(table))
            if source.codes:  # shots on a breakline are shots of the base too
                codes = (*source.codes, *(table.read("breaklines") or ()))
                source = replace(source, codes=codes)
        case "cloud":
            source = table.fill(Cloud)
        case "rods":
            source = read_rods(table)
        case "depths":
            source = read_depths(table)
        case _:
            source = table.fill(SurfaceFile)
    return table.fill(
        Base, source=source, rechecks=_read_rechecks(table), control=_read_control(table)
    )


def read_shots(table: Table, setups: Setups | None, **given: Any) -> Shots:
    """Files of shots, of the base or of the top, and the setups that their rods are taken off."""
    return table.fill(Shots, setups=setups, key=table.name, **given)


def _read_control(base: Table) -> Control | None:
    table: Table | None = base.read("control")
    if table is None:
        return None
    return table.fill(Control, shots=read_shots(table.sharing(base, ["units"]), None))


def read_shots_beside(table: Table, base: Table, **given: Any) -> Shots:
    """Shots of a small table within the job; what it leaves out is as the base has it."""
    if "shots" not in table and "shots" not in base:
        raise table.error(
            f"{table.called('shots')} is left out, and the base is not measured by shots",
            "Name the file of the coded shots",
        )
    # what the header of a file says, and what its sheets are called, is of that file alone
    of_file = [] if "shots" in table else ["ignore_file_unit", "sheet"]
    # columns of depths, and layers of other sources, are none of shots
    of_shots = ["shots", "columns", "notation"] if "shots" in base else []
    shared = table.sharing(base, [*of_shots, "units", *of_file])
    layer = base.read("layer") if "shots" in base else None
    return read_shots(shared, borrow_setups(base), layer=layer, **given)


def _read_rechecks(base: Table) -> Rechecks | None:
    table: Table | None = base.read("rechecks")
    if table is None:
        return None
    table.choose(f"what {table.name} retire")
    table.require("shots")
    return table.fill(Rechecks, shots=read_shots_beside(table, base, least=1))
