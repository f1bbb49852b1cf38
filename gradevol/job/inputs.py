"""Inputs: the files that a job reads."""

from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass
from pathlib import Path

from gradevol.files import Files
from gradevol.ground.words import legible
from gradevol.job import Job


def find_inputs(job: Job) -> frozenset[Path]:
    """Find the files that a job reads: itself, and all that it names."""
    return frozenset(part for part in walk(job) if isinstance(part, Path))


@dataclass(frozen=True, slots=True)
class Input:
    """
    A file that was read, so that a figure can be held against it later.

    Attributes
    ----------
    name : str
        Its path from the job's folder, where it lies within or beside it; else its name.
    size : int
        Bytes.
    sha256 : str
        Of its bytes.
    """

    name: str
    size: int
    sha256: str


@dataclass(frozen=True, slots=True)
class Record:
    """
    What figures were made from, beside the program.

    Attributes
    ----------
    inputs : tuple of Input
        The files that were read.
    defaults : tuple of (str, object)
        What held where the job leaves a key out, by the key's name (`Job.defaults`).
    options : tuple of str
        Of the command, where they choose what is written.
    """

    inputs: tuple[Input, ...] = ()
    defaults: tuple[tuple[str, object], ...] = ()
    options: tuple[str, ...] = ()


def record_job(job: Job, files: Files) -> Record:
    """
    Record the files that a job reads, and what it leaves out; a file that is gone is left out.

    Parameters
    ----------
    job : Job
    files : Files
        What the run has opened: what it held whole is not read again.
    """
    folder = job.path.parent.absolute()
    found = []
    for path in find_inputs(job):
        try:
            size, digest = files.digest(path)
        except OSError:
            continue
        whole = path.absolute()
        is_within = whole.is_relative_to(folder)
        name = whole.relative_to(folder).as_posix() if is_within else path.name
        found.append(Input(legible(name), size, digest))
    inputs = sorted(found, key=lambda held: (held.name, held.sha256))
    return Record(tuple(inputs), tuple(sorted(job.defaults.items())))


def walk(part: object) -> Iterator[object]:
    """Walk through a part of a job, and all that stands in it."""
    yield part
    if isinstance(part, tuple):
        for item in part:
            yield from walk(item)
    elif is_dataclass(part) and not isinstance(part, type):
        for held in fields(part):
            yield from walk(getattr(part, held.name))
