"""Files that a job takes in another unit than they say: noted, wherever they stand in it."""

from collections.abc import Iterator
from typing import Any

from gradevol.files import Files
from gradevol.ground.notes import Note
from gradevol.job import Job
from gradevol.job.inputs import walk


def note_units(job: Job, files: Files) -> tuple[Note, ...]:
    """Note each file whose own word on its unit the job has passed over; once."""
    parts: Iterator[Any] = walk((job.base, job.slab, job.top, job.pours))
    sources = [part for part in parts if getattr(part, "ignores_unit", False)]
    if not sources:
        return ()
    from gradevol.files.ignored import note_ignored  # noqa: PLC0415  (it reads all formats)

    notes = [note for source in sources for note in note_ignored(source, files)]
    return tuple(dict.fromkeys(notes))
