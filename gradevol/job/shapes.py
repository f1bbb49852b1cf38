"""Points, lines and rings that a job lists: the kinds of value that stand for them."""

from collections.abc import Sequence
from functools import partial
from itertools import pairwise

import numpy as np

from gradevol.files.sources import OutlineFile
from gradevol.geometry.curves import Ring
from gradevol.geometry.rings import circle
from gradevol.geometry.triangulation import ONE_PLACE
from gradevol.ground.arrays import FloatArray
from gradevol.job.curves import declare_bends, read_bent_ring
from gradevol.job.declarations import Kind, TableKeys
from gradevol.job.kinds import ELEVATION
from gradevol.job.paths import read_file
from gradevol.job.table import Table, Value

_AXES = ("easting", "northing", "elevation")


def _write_point(sizes: Sequence[int]) -> str:
    return " or ".join(f"[{', '.join(_AXES[:size])}]" for size in sizes)


def _read_points(
    value: Value, *, sizes: Sequence[int] = (2,), least: int = 1, item: str = "point"
) -> FloatArray:
    """
    Points of a list.

    Parameters
    ----------
    value : Value
    sizes : sequence of int
        How many numbers a point may have.
    least : int
        The fewest points.
    item : str
        What each is called.

    Returns
    -------
    (n, k) array of float
        Easting, northing and, where given, elevation, m.
    """
    given, shape = value.given, _write_point(sizes)
    remedy = f"Write each {item} as {shape}"
    if not isinstance(given, list):
        raise value.wrong(f"a list of {item}s", remedy)
    if len(given) < least:
        raise value.wrong(f"a list of {least} {item}s or more", remedy)
    for number, point in enumerate(given, start=1):
        if not isinstance(point, list) or len(point) not in sizes:
            raise value.part(f"{item} {number} of {value.name}", point).wrong(shape, remedy)
        if len(point) != len(given[0]):
            raise value.file.error(
                f"{item} 1 of {value.name} has {len(given[0])} numbers, but {item} {number} has "
                f"{len(point)}",
                "Give each as many numbers",
            )
    points = [
        [
            ELEVATION.read(value.part(f"the {axis} of {item} {number} of {value.name}", part))
            for axis, part in zip(_AXES, point, strict=False)
        ]
        for number, point in enumerate(given, start=1)
    ]
    return _freeze(np.array(points, dtype=np.float64))


def _read_point(value: Value, *, size: int) -> FloatArray:
    if not isinstance(value.given, list) or len(value.given) != size:
        remedy = f"Write {value.name.rpartition('.')[2]} = {_write_point([size])}"
        raise value.wrong(f"a list of {size} numbers", remedy)
    points = _read_points(value.part(value.name, [value.given]), sizes=(size,))
    return _freeze(points[0].copy())


def _read_line(value: Value, *, sizes: Sequence[int] = (2,)) -> FloatArray:
    """Line of two points or more, no two in succession at one place; (n, k), m."""
    line = _read_points(value, sizes=sizes, least=2)
    _refuse_repeats(value, line, item="point")
    return line


def _read_rulings(value: Value, coded: TableKeys) -> tuple[FloatArray | Table, ...]:
    """Two lines, (n, 3) and (m, 3), m, or the tables that name their shots; not one in plan."""
    if not isinstance(value.given, list) or len(value.given) != 2:
        raise value.wrong(
            "a list of two lines",
            "Write [[[e, n, z], ...], [[e, n, z], ...]], one line along each measured edge, or "
            "{ codes = [...] } for a line that was shot",
        )
    lines = [
        Table(value.file, coded, f"{value.name} {number}", line)
        if isinstance(line, dict)
        else _read_line(value.part(f"line {number} of {value.name}", line), sizes=(3,))
        for number, line in enumerate(value.given, start=1)
    ]
    first, second = lines
    if isinstance(first, Table) or isinstance(second, Table):
        return first, second
    if any(np.array_equal(first[:, :2], line[:, :2]) for line in (second, second[::-1])):
        raise value.file.error(
            f"line 1 and line 2 of {value.name} are one line in plan",
            "Give one line along each of two edges that face each other; the top is straight "
            "between them",
        )
    return first, second


def _read_ring(value: Value) -> FloatArray:
    """Places along a ring, (m, 2), m; of straight sides, its corners."""
    return _read_sides(value).places


def _read_sides(value: Value) -> Ring:
    """Ring, in m; a first corner repeated at its end is dropped."""
    if isinstance(value.given, list) and any(isinstance(entry, dict) for entry in value.given):
        return read_bent_ring(value, BEND, point(2))
    ring = _read_points(value, least=3, item="corner")
    _refuse_repeats(value, ring, item="corner")
    if _distance(ring[0], ring[-1]) <= ONE_PLACE:
        ring = _freeze(ring[:-1].copy())
    if len(ring) < 3:
        raise value.file.error(f"{value.name} has {len(ring)} corners", "Give at least three")
    return Ring(ring)


def _read_edge(value: Value, drawn: TableKeys) -> Ring | OutlineFile:
    """Ring with its sides, or the file that holds it."""
    if isinstance(value.given, str):
        return OutlineFile(read_file(value), value.file.unit)
    if isinstance(value.given, dict):
        return Table(value.file, drawn, value.name, value.given).fill(OutlineFile)
    return _read_sides(value)


def _read_outline(value: Value, drawn: TableKeys) -> FloatArray | OutlineFile:
    """Places along a ring, (m, 2), m, or the file that holds it."""
    ring = _read_edge(value, drawn)
    return ring.places if isinstance(ring, Ring) else ring


def _read_opening(value: Value, drawn: TableKeys, round_one: TableKeys) -> FloatArray | OutlineFile:
    if not isinstance(value.given, dict) or "file" in value.given:
        return _read_outline(value, drawn)
    table = Table(value.file, round_one, value.name, value.given)
    return _freeze(circle(table.require("center"), table.require("diameter")))


def _read_openings(
    value: Value, drawn: TableKeys, round_one: TableKeys
) -> tuple[FloatArray | OutlineFile, ...]:
    given = value.given
    if isinstance(given, str | dict):  # a lone one needs no list
        return (_read_opening(value, drawn, round_one),)
    remedy = "Write a list of rings, [[[e, n], ...], ...], of files, or of { center, diameter }"
    if not isinstance(given, list):
        raise value.wrong("a list of openings", remedy)
    if any(isinstance(ring, list) and ring and not isinstance(ring[0], list) for ring in given):
        raise value.file.error(
            f"{value.name} is one list of corners, but it must be a list of rings", remedy
        )
    return tuple(
        _read_opening(value.part(f"slab.opening {number}", ring), drawn, round_one)
        for number, ring in enumerate(given, start=1)
    )


def _read_spacing(value: Value) -> tuple[float, float]:
    remedy = "Write one length, or [between columns, between rows]"
    parts = value.given if isinstance(value.given, list) else [value.given] * 2
    if len(parts) != 2:
        raise value.wrong("one length or two", remedy)
    across, up = (ELEVATION.read(value.part(value.name, part)) for part in parts)
    if across <= 0 or up <= 0:
        raise value.wrong("more than 0", remedy)
    return across, up


def points(size: int, least: int) -> Kind:
    """List of points."""
    return Kind(partial(_read_points, sizes=(size,), least=least), f"[{_write_point([size])}, ...]")


def point(size: int) -> Kind:
    """One point, (size,), m."""
    return Kind(partial(_read_point, size=size), _write_point([size]))


def outline(drawn: TableKeys) -> Kind:
    """Ring of corners, or the file that holds it, by its name or in a table of declared keys."""
    return Kind(partial(_read_outline, drawn=drawn), "[[e, n], ...]")


def edge(drawn: TableKeys) -> Kind:
    """Ring with its sides, or the file that holds it."""
    return Kind(partial(_read_edge, drawn=drawn), "[[e, n], ...]")


def openings(drawn: TableKeys, round_one: TableKeys) -> Kind:
    """Rings, files of them and circles."""
    return Kind(partial(_read_openings, drawn=drawn, round_one=round_one), "[[[e, n], ...], ...]")


def rulings(coded: TableKeys) -> Kind:
    """Two lines, each of points, or of coded shots."""
    return Kind(partial(_read_rulings, coded=coded), "[[[e, n, z], ...], [[e, n, z], ...]]")


#: What stands in a ring for a rounded corner, or for a place on an arc.
BEND = declare_bends(point(2))
LINE = Kind(_read_line, "[[e, n], ...]")
AXIS = Kind(partial(_read_line, sizes=(2, 3)), "[[e, n, z], ...]")
RING = Kind(_read_ring, "[[e, n], ...]")
SPACING = Kind(_read_spacing, '"10 ft", or [between columns, between rows]')


def _freeze(values: FloatArray) -> FloatArray:
    values.setflags(write=False)
    return values


def _distance(first: FloatArray, second: FloatArray) -> float:
    return float(np.linalg.norm(first - second))


def _refuse_repeats(value: Value, points: FloatArray, *, item: str) -> None:
    for number, (first, second) in enumerate(pairwise(points), start=1):
        if _distance(first, second) <= ONE_PLACE:
            raise value.file.error(
                f"{item}s {number} and {number + 1} of {value.name} are at one place",
                f"Give each {item} once",
            )
