"""What is asked of a file."""

from dataclasses import dataclass

from gradevol.doubts.described.facts import Progress
from gradevol.files.opened import Files
from gradevol.files.sniff import File


@dataclass(frozen=True, slots=True)
class Asked:
    """A file, what was said about it, and whom to tell how far its reading is."""

    file: File
    files: Files
    unit: str | None
    columns: str | None
    progress: Progress
