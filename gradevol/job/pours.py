"""What a job says of its pours: parts of the slab, and small pours elsewhere."""

from dataclasses import dataclass

from gradevol.files.sources import OutlineFile
from gradevol.ground.arrays import FloatArray
from gradevol.job.table import Table
from gradevol.job.terms import SmallPour


@dataclass(frozen=True, slots=True)
class PartDesign:
    """
    A part of the slab that is poured on its own.

    Attributes
    ----------
    name : str
    edge : (m, 2) array of float or OutlineFile
        Its corners in the job's coordinates, m, or the file that holds them.
    """

    name: str
    edge: FloatArray | OutlineFile


def read_pours(job: Table) -> tuple[PartDesign | SmallPour, ...]:
    """
    Read every [[pour]].

    Raises
    ------
    InputError
        If one cannot be used, or two have one name: slips and tickets tell them by it.
    """
    pours = tuple(read_pour(table) for table in job.read("pour") or ())
    names = [pour.name.casefold() for pour in pours]
    for at, name in enumerate(names):
        if name in names[:at]:
            raise job.error(
                f"pour {names.index(name) + 1} and pour {at + 1} are both called "
                f"{pours[at].name!r}",
                "Give each a name of its own: the order and the tickets tell them by it. Small "
                "pours that are alike are one, with a count",
            )
    return pours


def read_pour(table: Table) -> PartDesign | SmallPour:
    """
    Read one [[pour]].

    Raises
    ------
    InputError
        If a key cannot be used, or it is not given in exactly one way.
    """
    way = table.choose(f"what {table.read('name')!r} takes")
    if way == "edge":
        return table.fill(PartDesign)
    if way == "area":
        volume = table.read("area") * table.require("thickness")
        return table.fill(SmallPour, volume=volume)
    return table.fill(SmallPour)
