"""Inputs: the files that a job reads."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from pathlib import Path

from gradevol.job import Job


def find_inputs(job: Job) -> frozenset[Path]:
    """
    Find the files that a job reads: itself, and all that it names.

    Parameters
    ----------
    job : Job

    Returns
    -------
    frozenset of Path
    """
    return frozenset(_paths_in(job))


def _paths_in(part: object) -> Iterator[Path]:
    if isinstance(part, Path):
        yield part
    elif isinstance(part, tuple):
        for item in part:
            yield from _paths_in(item)
    elif is_dataclass(part) and not isinstance(part, type):
        for held in fields(part):
            yield from _paths_in(getattr(part, held.name))
