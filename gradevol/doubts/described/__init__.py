"""Inventory: what a data file holds, and what looks wrong in it.

The file's first bytes say what it is; a row of `_KINDS` says who describes it.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

from gradevol.doubts.described.facts import Fact, Finding, Group, Inventory, Progress
from gradevol.files.formats import find_format
from gradevol.files.text import read_text

__all__ = ["Fact", "Finding", "Group", "Inventory", "take_inventory"]

#: Bytes that are looked at to see what a file is.
_HEAD = 65536
#: Lines of an OBJ file before its corners: Wavefront's own keywords.
_OBJ_LINE = re.compile(rb"(?:mtllib|usemtl|[gos]|v[nt]?|f|l|p)\s|#|\s*$")
_OBJ_CORNER = re.compile(rb"^v\s+[-+.\d]", re.MULTILINE)
_OBJ_LINES = 50


@dataclass(frozen=True, slots=True)
class Asked:
    """A file, what was said about it, and whom to tell how far its reading is."""

    path: Path
    unit: str | None
    columns: str | None
    progress: Progress


_Describe: TypeAlias = Callable[[Asked], Inventory]


def take_inventory(
    path: Path,
    *,
    unit: str | None = None,
    columns: str | None = None,
    progress: Progress = lambda *_: None,
) -> Inventory:
    """
    Describe a data file.

    Parameters
    ----------
    path : Path
        The file.
    unit : str, optional
        Unit of its numbers where it carries none, a key of `units.METRES`; without it what
        depends on a unit is left out.
    columns : str, optional
        One letter a column, for text without a header.
    progress : callable
        Told what is being done and the share that is done.

    Returns
    -------
    Inventory
        In the file's own unit.

    Raises
    ------
    InputError
        If the file can't be read, is damaged, or is of no kind that is known.
    """
    try:
        with path.open("rb") as file:
            head = file.read(_HEAD)
    except OSError:
        read_text(path, most=1)  # says why not, and which file was perhaps meant
        raise
    describe = next(describe for is_kind, describe in _KINDS if is_kind(head, path))
    return describe(Asked(path, unit, columns, progress))


def _is_obj(head: bytes, path: Path) -> bool:
    if path.suffix.lower() == ".obj":
        return True
    lines = head.splitlines()[:_OBJ_LINES]
    return bool(_OBJ_CORNER.search(head)) and all(map(_OBJ_LINE.match, lines))


def _cloud(asked: Asked) -> Inventory:
    from gradevol.doubts.described.cloud import describe_cloud  # noqa: PLC0415

    return describe_cloud(asked.path, unit=asked.unit, progress=asked.progress)


def _ply(asked: Asked) -> Inventory:
    from gradevol.doubts.described.plain_cloud import describe_ply_cloud  # noqa: PLC0415
    from gradevol.doubts.described.surface import describe_polygons  # noqa: PLC0415
    from gradevol.files.ply import read_ply  # noqa: PLC0415

    asked.progress(f"reading {asked.path.name}", 0.0)
    mesh = read_ply(asked.path, asked.path.read_bytes())
    if len(mesh.points) and not len(mesh.sizes):
        return describe_ply_cloud(asked.path, mesh, unit=asked.unit, progress=asked.progress)
    return describe_polygons(asked.path, mesh, "PLY", unit=asked.unit)


def _obj(asked: Asked) -> Inventory:
    from gradevol.doubts.described.surface import describe_obj  # noqa: PLC0415

    return describe_obj(asked.path, unit=asked.unit)


def _drawing(asked: Asked) -> Inventory:
    from gradevol.doubts.described.drawing import describe_drawing  # noqa: PLC0415

    return describe_drawing(asked.path, find_format(asked.path), unit=asked.unit)


def _is_drawing(_head: bytes, path: Path) -> bool:
    return find_format(path) in {"LandXML", "DXF", "GeoTIFF", "STL", "GeoJSON"}


def _text(asked: Asked) -> Inventory:
    from gradevol.doubts.described.plain_cloud import describe_text_cloud, find_cloud  # noqa: PLC0415
    from gradevol.doubts.described.points import describe_text  # noqa: PLC0415

    if (table := find_cloud(asked.path, asked.columns)) is not None:
        return describe_text_cloud(
            asked.path,
            table,
            unit=asked.unit,
            columns=asked.columns,
            progress=asked.progress,
        )
    return describe_text(asked.path, unit=asked.unit, columns=asked.columns)


#: Each kind of file: whether one with these first bytes and this path is of it, and who describes
#: it. The first that fits is taken. Another format is added here, above the text.
_KINDS: tuple[tuple[Callable[[bytes, Path], bool], _Describe], ...] = (
    (lambda head, _: head.startswith(b"LASF"), _cloud),
    (lambda head, _: re.match(rb"ply\s", head) is not None, _ply),
    (_is_obj, _obj),
    (_is_drawing, _drawing),
    (lambda _head, _path: True, _text),
)
