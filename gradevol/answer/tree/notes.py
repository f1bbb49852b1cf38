"""Notes as declared data."""

from collections.abc import Iterable
from typing import Annotated

from gradevol.answer.declared import Code, Place, declared
from gradevol.answer.result import Result
from gradevol.answer.rounding import Rounding
from gradevol.ground.notes import Note
from gradevol.ground.units import Units


@declared
class NoteData:
    """A warning."""

    code: Annotated[Code, "Stable, for scripts: see [notes](#notes)."]
    text: Annotated[str, "A sentence in the job's units."]
    points: Annotated[list[str] | None, "Ids of the shots it speaks of."] = None
    places: Annotated[list[Place] | None, "Places it speaks of: easting, northing."] = None


@declared
class BareNoteData:
    """A warning that speaks of no shot and no place."""

    code: Annotated[Code, "Stable, for scripts."]
    text: Annotated[str, "A sentence in the job's units."]


def compose_bare(notes: Iterable[Note], units: Units) -> list[BareNoteData]:
    """Compose warnings of tickets, and of what was shot after the pour."""
    return [BareNoteData(code=note.code, text=note.say(units)) for note in notes]


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
