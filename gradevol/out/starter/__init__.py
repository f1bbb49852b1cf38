"""Starter jobs: commented, on invented shots, and running as they stand."""

from collections.abc import Iterator
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from gradevol.ground.errors import InputError
from gradevol.out.whole import whole_folder

#: The starters of a system of units, by the way the base is measured.
WAYS = ("shots", "rods", "tape", "scan", "curve")
#: What a starter's job file is joined of: what a way has none of its own of is shared by all.
_PARTS = ("head.toml", "base.toml", "slab.toml", "top.toml", "extras.toml", "rest.toml")


def write_starter(folder: Path, units: str, way: str = "shots") -> Path:
    """
    Write a starter job into a folder.

    Parameters
    ----------
    folder : Path
        Made where it does not exist; nothing in it is replaced.
    units : str
        ``feet`` or ``metres``.
    way : str
        How the base is measured, one of `WAYS`.

    Returns
    -------
    Path
        The job file.

    Raises
    ------
    InputError
        If the folder holds a job already, or can't be written.
    """
    texts = dict(find_texts(units, way))
    standing = [name for name in texts if (folder / name).exists()]
    if standing:
        raise InputError(
            f"there is a {standing[0]} already", remedy="Name another folder", path=folder
        )
    with whole_folder(folder) as draft:
        for name, text in texts.items():
            (draft / name).write_bytes(text)
    return folder / "job.toml"


def find_texts(units: str, way: str) -> Iterator[tuple[str, bytes]]:
    """
    Find what a starter holds.

    Parameters
    ----------
    units, way : str
        As for `write_starter`.

    Yields
    ------
    name : str
    content : bytes
        Of each file, the job first.
    """
    shared = files("gradevol.out.starter") / units
    own = shared / way
    parts = [_find_part(own, shared, name).read_bytes() for name in _PARTS]
    yield "job.toml", b"\n".join(parts)
    for source in sorted(own.iterdir(), key=lambda source: source.name):
        if source.name not in _PARTS:
            yield source.name, source.read_bytes()


def _find_part(own: Traversable, shared: Traversable, name: str) -> Traversable:
    return own / name if (own / name).is_file() else shared / name
