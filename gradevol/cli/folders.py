"""Where the files of a job go."""

import sys
from pathlib import Path

import click


def name_folder(job: Path) -> Path:
    """Folder for the files of a job: beside it and named for it, `job` for `job.toml`."""
    return job.with_suffix("") if job.suffix else job.with_name(f"{job.name}_check")


def name_folder_of_many(job: Path, name: str, out: Path | None) -> Path:
    """Folder for the files of one of several jobs: that, or one by its name in `out`."""
    return name_folder(job) if out is None else out / Path(name).with_suffix("")


def tell_folder(folder: Path) -> None:
    """Say to a person where the files are."""
    if sys.stderr.isatty():
        click.echo(f"Files are in {folder}", err=True)
