"""Files that a job takes in another unit than they say: noted, wherever they stand in it."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from gradevol.files import Files
from gradevol.ground.notes import Note
from gradevol.job import Job


def note_units(job: Job, files: Files) -> tuple[Note, ...]:
    """Note each file whose own word on its unit the job has passed over; once."""
    from gradevol.files.ignored import note_ignored  # noqa: PLC0415

    sources = _find_ignoring((job.base, job.slab, job.top, job.pours))
    notes = [note for source in sources for note in note_ignored(source, files)]
    return tuple(dict.fromkeys(notes))


def _find_ignoring(part: object) -> Iterator[Any]:
    """Sources that pass over what their file says of its unit, wherever they stand in a job."""
    if isinstance(part, tuple):
        for item in part:
            yield from _find_ignoring(item)
    elif is_dataclass(part) and not isinstance(part, type):
        if getattr(part, "ignores_unit", False):
            yield part
        for held in fields(part):
            yield from _find_ignoring(getattr(part, held.name))
