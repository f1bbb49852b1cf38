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
