"""Notes as declared data, and what each code says."""

from typing import Annotated

from gradevol.answer.declared import Code, Place, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding


@declared
class NoteData:
    """A warning."""

    code: Annotated[Code, "Stable, for scripts: see [notes](#notes)."]
    text: Annotated[str, "A sentence in the job's units."]
    points: Annotated[list[str] | None, "Ids of the shots it speaks of."] = None
    places: Annotated[list[Place] | None, "Places it speaks of: easting, northing."] = None


def compose_notes(result: Result, rounding: Rounding) -> list[NoteData]:
    """Compose the warnings."""
    return [
        NoteData(
            code=note.code,
            text=note.say(result.units),
            points=list(note.points) or None,
            places=[rounding.place(place) for place in note.places] or None,
        )
        for note in result.notes
    ]
