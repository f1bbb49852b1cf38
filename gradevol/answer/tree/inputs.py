"""What the figures were made from, and by."""

import json
from typing import Annotated

from gradevol.answer.declared import Count, declared
from gradevol.job.inputs import Input


@declared
class InputData:
    """A file that was read."""

    name: Annotated[str, "From the job's folder."]
    bytes: Annotated[Count, "Its size."]
    sha256: Annotated[str, "SHA-256 of its bytes (FIPS 180-4), hexadecimal."]


@declared
class DefaultData:
    """What held where the job leaves a key out."""

    key: Annotated[str, "In the job file: `interval`, `slab.least_thickness`, `pour 2.partial`."]
    value: Annotated[
        str,
        "As one would write it there; of `order.costs` areas in m², volumes in m³, weights in kg.",
    ]


def compose_defaults(defaults: tuple[tuple[str, object], ...]) -> list[DefaultData]:
    """Put what held where the job says nothing into words, by key."""
    return [DefaultData(key=key, value=json.dumps(value)) for key, value in defaults]


def compose_inputs(inputs: tuple[Input, ...]) -> list[InputData]:
    """Put the files that were read into words and numbers."""
    return [InputData(name=held.name, bytes=held.size, sha256=held.sha256) for held in inputs]
