"""Where the files of a job go."""

from collections.abc import Sequence
from pathlib import Path

import click

from gradevol.cli.progress import is_watched
from gradevol.ground.errors import InputError


def name_folder(job: Path) -> Path:
    """Folder for the files of a job: beside it and named for it, `job` for `job.toml`."""
    return job.with_suffix("") if job.suffix else job.with_name(f"{job.name}_check")


def name_folders(jobs: Sequence[Path], names: Sequence[str], out: Path | None) -> list[Path]:
    """
    Folders for the files of several jobs: as of one, or by their names in `out`.

    Raises
    ------
    InputError
        If two jobs would write into one.
    """
    held: dict[Path, Path] = {}
    for job, name in zip(jobs, names, strict=True):
        folder = name_folder(job) if out is None else out / Path(name).with_suffix("")
        if folder in held:
            raise InputError(
                f"its files would go into {folder}, as those of {held[folder].name} do",
                remedy="Give one of the two another name before its ending",
                path=job,
            )
        held[folder] = job
    return list(held)


def tell_folder(folder: Path) -> None:
    """Say to a person where the files are."""
    if is_watched():
        click.echo(f"Files are in {folder}", err=True)
