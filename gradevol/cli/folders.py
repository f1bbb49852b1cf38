"""Where the files of a job go."""

from pathlib import Path


def name_folder(job: Path) -> Path:
    """Folder for the files of a job: beside it and named for it, `job` for `job.toml`."""
    return job.with_suffix("") if job.suffix else job.with_name(f"{job.name}_check")
