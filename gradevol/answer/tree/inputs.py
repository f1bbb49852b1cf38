"""What the figures were made from, and by."""

from dataclasses import dataclass
from typing import Annotated

from gradevol.answer.declared import Count
from gradevol.job.inputs import Input


@dataclass(frozen=True, slots=True, kw_only=True)
class InputData:
    """A file that was read."""

    name: Annotated[str, "From the job's folder."]
    bytes: Annotated[Count, "Its size."]
    sha256: Annotated[str, "SHA-256 of its bytes (FIPS 180-4), hexadecimal."]


def compose_inputs(inputs: tuple[Input, ...]) -> list[InputData]:
    """Put the files that were read into words and numbers."""
    return [InputData(name=held.name, bytes=held.size, sha256=held.sha256) for held in inputs]
