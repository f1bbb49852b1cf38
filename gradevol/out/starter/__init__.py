"""Starter jobs: commented, on invented shots, and running as they stand."""

from importlib.resources import files
from pathlib import Path

from gradevol.ground.errors import InputError
from gradevol.out.whole import whole_file

NAMES = ("job.toml", "shots.csv")


def write_starter(folder: Path, kind: str) -> Path:
    """
    Write a starter job into a folder.

    Parameters
    ----------
    folder : Path
        Made where it does not exist; nothing in it is replaced.
    kind : str
        ``feet`` or ``metres``.

    Returns
    -------
    Path
        The job file.

    Raises
    ------
    InputError
        If the folder holds a job already, or can't be written.
    """
    standing = [name for name in NAMES if (folder / name).exists()]
    if standing:
        raise InputError(
            f"there is a {standing[0]} already", remedy="Name another folder", path=folder
        )
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(
            f"this folder can't be made ({error.strerror})", remedy="Name another", path=folder
        ) from error
    source = files("gradevol.out.starter") / kind
    for name in NAMES:
        with whole_file(folder / name) as draft:
            draft.write_bytes((source / name).read_bytes())
    return folder / "job.toml"
