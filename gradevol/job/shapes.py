"""Points, rings and files that a job names."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np

from gradevol.files.sources import OutlineFile
from gradevol.geometry.rings import circle
from gradevol.ground.arrays import FloatArray
from gradevol.job.table import Table

#: Points nearer than this in plan are at one place, m, as for shots.
ONE_PLACE = 0.001
_AXES = ("easting", "northing", "elevation")
#: Endings of the tiles of a cloud: where a folder has some of the first kind, the others are not
#: looked for, as they may be the same points once more.
_CLOUD_SUFFIXES = ({".las", ".laz"}, {".xyz", ".pts", ".asc"}, {".ply"})


def read_points(
    table: Table,
    value: object,
    what: str,
    *,
    sizes: Sequence[int] = (2,),
    least: int = 1,
    item: str = "point",
) -> FloatArray:
    """
    Points of a list.

    Parameters
    ----------
    table : Table
        Where the list stands.
    value : object
        As the file has it.
    what, item : str
        What the list and each of its points are called.
    sizes : sequence of int
        How many numbers a point may have.
    least : int
        The fewest points.

    Returns
    -------
    (n, k) array of float
        Easting, northing and, where given, elevation, m.

    Raises
    ------
    InputError
        If it is not such a list.
    """
    shape = " or ".join(f"[{', '.join(_AXES[:size])}]" for size in sizes)
    remedy = f"Write each {item} as {shape}"
    if not isinstance(value, list):
        raise table.wrong(what, value, f"a list of {item}s", remedy)
    if len(value) < least:
        raise table.wrong(what, value, f"a list of {least} {item}s or more", remedy)
    for number, point in enumerate(value, start=1):
        if not isinstance(point, list) or len(point) not in sizes:
            raise table.wrong(f"{item} {number} of {what}", point, shape, remedy)
        if len(point) != len(value[0]):
            raise table.error(
                f"{item} 1 of {what} has {len(value[0])} numbers, but {item} {number} has "
                f"{len(point)}",
                "Give each as many numbers",
            )
    points = [
        [
            table.parse_length(part, f"the {axis} of {item} {number} of {what}")
            for axis, part in zip(_AXES, point, strict=False)
        ]
        for number, point in enumerate(value, start=1)
    ]
    return _freeze(np.array(points, dtype=np.float64))


def read_point(table: Table, key: str, *, size: int) -> FloatArray:
    """One point, (size,), m."""
    example = f"Write {key} = [{', '.join(_AXES[:size])}]"
    value = table.require(key, example)
    if not isinstance(value, list) or len(value) != size:
        raise table.wrong(table.called(key), value, f"a list of {size} numbers", example)
    point = read_points(table, [value], table.called(key), sizes=(size,))
    return _freeze(point[0].copy())


def read_line(table: Table, value: object, what: str, *, sizes: Sequence[int] = (2,)) -> FloatArray:
    """Line of two points or more, no two in succession at one place; (n, k), m."""
    line = read_points(table, value, what, sizes=sizes, least=2)
    _refuse_repeats(table, line, what, item="point")
    return line


def read_ring(table: Table, value: object, what: str) -> FloatArray:
    """Corners of a ring, (m, 2), m; a first corner repeated at its end is dropped."""
    ring = read_points(table, value, what, least=3, item="corner")
    _refuse_repeats(table, ring, what, item="corner")
    if _distance(ring[0], ring[-1]) <= ONE_PLACE:
        ring = _freeze(ring[:-1].copy())
    if len(ring) < 3:
        raise table.error(f"{what} has {len(ring)} corners", "Three are the fewest")
    return ring


def read_outline(table: Table, value: object, what: str) -> FloatArray | OutlineFile:
    """Ring of corners, (m, 2), m, or the file that holds it."""
    if isinstance(value, str):
        return OutlineFile(find_file(table, value, what), table.unit)
    if isinstance(value, Mapping):
        drawn = Table(table.path, "drawn ring", what, value, table.unit)
        drawn.require("file", f'Write {what} = {{ file = "...", layer = "..." }}')
        return OutlineFile(
            find_file(drawn, drawn.values["file"], drawn.called("file")),
            drawn.read_unit("units"),
            layer=drawn.read_text("layer", "") or None,
        )
    return read_ring(table, value, what)


def read_opening(table: Table, value: object, what: str) -> FloatArray | OutlineFile:
    """Ring of an opening: corners, a file, or ``{ center, diameter }``."""
    if not isinstance(value, Mapping) or "file" in value:
        return read_outline(table, value, what)
    circular = Table(table.path, "opening", what, value, table.unit)
    centre = read_point(circular, "center", size=2)
    return _freeze(circle(centre, circular.read_length("diameter")))


def find_files(table: Table, key: str, *, tiles: bool = False) -> tuple[Path, ...]:
    """
    Files of a key: one name, or a list of them.

    Parameters
    ----------
    table : Table
    key : str
    tiles : bool
        Whether a folder stands for the tiles in it, sorted by name: its LAS and LAZ files, or
        if there are none its text clouds, or its PLY.

    Raises
    ------
    InputError
        If one is not there, or stands twice.
    """
    paths: list[Path] = []
    for name in table.read_texts(key):
        if tiles and (folder := _resolve(table, name, table.called(key))).is_dir():
            paths += _find_tiles(table, folder, table.called(key))
        else:
            paths.append(find_file(table, name, table.called(key)))
    if len(set(paths)) < len(paths):
        twice = next(path for path in paths if paths.count(path) > 1)
        raise table.error(f"{table.called(key)} names {twice} twice", "Name each file once")
    return tuple(paths)


def find_file(table: Table, name: object, what: str) -> Path:
    """Path of a file that is there, from its name beside the job file."""
    if not isinstance(name, str) or not name.strip():
        raise table.wrong(what, name, "the name of a file", "Put it between quotes")
    path = _resolve(table, name, what)
    if not path.is_file():
        found = "is a folder, not a file" if path.is_dir() else "is not there"
        remedy = "Check the name; paths are taken from the job file's folder"
        if "\\" in name or not name.isprintable():
            remedy = f"Write / in paths: between quotes a \\ has a meaning of its own. {remedy}"
        shown = str(path) if name.isprintable() else "it"
        raise table.error(f"{what} is {name!r}, but {shown} {found}", remedy)
    return path


def _find_tiles(table: Table, folder: Path, what: str) -> list[Path]:
    held = sorted(folder.iterdir())
    for suffixes in _CLOUD_SUFFIXES:
        if tiles := [path for path in held if path.suffix.lower() in suffixes]:
            return tiles
    raise table.error(
        f"{what} is the folder {folder}, which holds no .las or .laz file, nor .xyz, .pts, .asc or "
        ".ply",
        "Check its name",
    )


def _resolve(table: Table, name: str, what: str) -> Path:
    try:
        path = (table.path.parent / name).resolve()
        path.exists()  # raises for a name that is too long, or a folder closed to us
    except (OSError, RuntimeError, ValueError) as error:  # or a ring of links, or a zero byte
        raise table.error(f"{what} is {name!r}, which cannot be read", "Check the name") from error
    return path


def _freeze(values: FloatArray) -> FloatArray:
    values.setflags(write=False)
    return values


def _distance(first: FloatArray, second: FloatArray) -> float:
    return float(np.linalg.norm(first - second))


def _refuse_repeats(table: Table, points: FloatArray, what: str, *, item: str) -> None:
    for number, (first, second) in enumerate(pairwise(points), start=1):
        if _distance(first, second) <= ONE_PLACE:
            raise table.error(
                f"{item}s {number} and {number + 1} of {what} are at one place",
                f"Give each {item} once",
            )
