"""Files that a job names: the kinds of value that stand for them."""

from pathlib import Path

from gradevol.job.declarations import Kind
from gradevol.job.kinds import read_texts
from gradevol.job.table import Value

#: Endings of the tiles of a cloud: where a folder has some of the first kind, the others are not
#: looked for, as they may be the same points once more.
_CLOUD_SUFFIXES = ({".las", ".laz"}, {".xyz", ".pts", ".asc"}, {".ply"})


def read_file(value: Value) -> Path:
    """
    Path of a file that is there, from its name beside the job file.

    Raises
    ------
    InputError
        If the value is no name, or of no file.
    """
    name = value.given
    if not isinstance(name, str) or not name.strip():
        raise value.wrong("the name of a file", "Put it between quotes")
    path = _resolve(value)
    if not path.is_file():
        found = "is a folder, not a file" if path.is_dir() else "is not there"
        remedy = "Check the name; paths are taken from the job file's folder"
        if "\\" in name or not name.isprintable():
            remedy = f"Write / in paths: between quotes a \\ has a meaning of its own. {remedy}"
        shown = str(path) if name.isprintable() else "it"
        raise value.file.error(f"{value.name} is {name!r}, but {shown} {found}", remedy)
    return path


def read_files(value: Value) -> tuple[Path, ...]:
    """
    Files: one name, or a list of them.

    Raises
    ------
    InputError
        If one is not there, or stands twice.
    """
    names = [value.part(value.name, name) for name in read_texts(value)]
    return _refuse_twice(value, [read_file(name) for name in names])


def _read_tiles(value: Value) -> tuple[Path, ...]:
    """Files, where a folder stands for the tiles of a cloud in it, sorted by name."""
    paths: list[Path] = []
    for name in read_texts(value):
        one = value.part(value.name, name)
        paths += _find_tiles(one, _resolve(one)) if _resolve(one).is_dir() else [read_file(one)]
    return _refuse_twice(value, paths)


def _read_surface(value: Value) -> Path:
    paths = read_files(value)
    if len(paths) != 1:
        raise value.file.error(f"{value.name} names {len(paths)} files", "Give one surface")
    return paths[0]


def _refuse_twice(value: Value, paths: list[Path]) -> tuple[Path, ...]:
    for path in paths:
        if paths.count(path) > 1:
            raise value.file.error(f"{value.name} names {path} twice", "Name each file once")
    return tuple(paths)


def _find_tiles(value: Value, folder: Path) -> list[Path]:
    held = sorted(folder.iterdir())
    for suffixes in _CLOUD_SUFFIXES:
        if tiles := [path for path in held if path.suffix.lower() in suffixes]:
            return tiles
    raise value.file.error(
        f"{value.name} is the folder {folder}, which holds no .las or .laz file, nor .xyz, .pts, "
        ".asc or .ply",
        "Check its name",
    )


def _resolve(value: Value) -> Path:
    try:
        path = (value.file.path.parent / value.given).resolve()
        path.exists()  # raises for a name that is too long, or a folder closed to us
    except (OSError, RuntimeError, ValueError) as error:  # or a ring of links, or a zero byte
        problem = f"{value.name} is {value.given!r}, which cannot be read"
        raise value.file.error(problem, "Check the name") from error
    return path


FILE = Kind(read_file, '"..."')
FILES = Kind(read_files, '"..."')
TILES = Kind(_read_tiles, '"..."')
SURFACE = Kind(_read_surface, '"..."')
