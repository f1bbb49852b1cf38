"""What a job says of its pours: parts of the slab, and small pours elsewhere."""

from dataclasses import dataclass
from functools import partial

from gradevol.files.sources import OutlineFile
from gradevol.ground.arrays import FloatArray
from gradevol.ground.quantities import parse_area, parse_volume
from gradevol.job.shapes import read_outline
from gradevol.job.table import Table
from gradevol.job.terms import SmallPour

#: More of one small pour than this is no small pour.
_MOST = 100


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
    name = table.read_text("name", table.name)
    way = table.choose(("edge", "volume", "area"), f"what {name!r} takes")
    table.refuse_beside(
        way, {"thickness": ("area",), "count": ("volume", "area"), "partial": ("volume", "area")}
    )
    if way == "edge":
        return PartDesign(name, read_outline(table, table.values[way], table.called(way)))
    parser, kind, example = {
        "volume": (parse_volume, "a volume", "1.5 yd3"),
        "area": (parse_area, "an area", "80 ft2"),
    }[way]
    size = table.parse(
        table.values[way], table.called(way), kind, partial(parser, unit=table.unit), example
    )
    if size <= 0:
        raise table.wrong(table.called(way), table.values[way], "more than 0", "Check its sign")
    volume = size * table.read_length("thickness") if way == "area" else size
    count = 1
    if "count" in table:
        expected = f"a whole number from 1 to {_MOST}"
        number = table.read_number("count", 1, _MOST, expected=expected)
        if number != int(number):
            raise table.wrong(table.called("count"), table.values["count"], expected, "Or leave it")
        count = int(number)
    return SmallPour(name, volume, count, table.read_flag("partial"))
