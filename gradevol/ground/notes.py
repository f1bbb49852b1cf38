"""Notes: the warnings of a result, as data.

A note's text is written once, in words, with its measures left in metres; `presentation` puts
them into the job's units.
"""

from dataclasses import dataclass, field
from enum import Enum

from gradevol.ground.units import Units
from gradevol.ground.words import legible, with_minus


class Kind(Enum):
    """What a measure is, and so how it is said."""

    TAPE = "tape"
    THICKNESS = "thickness"
    FINE = "fine"
    LEVEL = "level"
    SOME_LEVEL = "some level"
    AREA = "area"
    SOME_AREA = "some area"
    VOLUME = "volume"
    EXACT_LENGTH = "exact length"
    EXACT_AREA = "exact area"
    EXACT_VOLUME = "exact volume"


def escape(text: str) -> str:
    """Text of a file, safe within a note, whose gaps are filled by format."""
    return text.replace("{", "{{").replace("}", "}}")


@dataclass(frozen=True, slots=True)
class Measure:
    """A number in metres (m², m³) that a sentence mentions."""

    value: float
    kind: Kind

    def say(self, units: Units) -> str:
        """Return the measure in words, in `units`; a minus is as long as its digits."""
        says = {
            Kind.TAPE: units.say_tape,
            Kind.THICKNESS: units.say_thickness,
            Kind.FINE: units.say_fine,
            Kind.LEVEL: units.say_level,
            Kind.SOME_LEVEL: units.say_some_level,
            Kind.AREA: units.say_area,
            Kind.SOME_AREA: units.say_some_area,
            Kind.VOLUME: units.say_volume,
            Kind.EXACT_LENGTH: units.say_exact_length,
            Kind.EXACT_AREA: units.say_exact_area,
            Kind.EXACT_VOLUME: units.say_exact_volume,
        }
        return with_minus(says[self.kind](self.value))


@dataclass(frozen=True, slots=True)
class Note:
    """
    One warning.

    Attributes
    ----------
    code : str
        Stable, for scripts: words joined by hyphens.
    text : str
        A sentence for a person, with ``{}`` where each of `measures` goes.
    measures : tuple of Measure
        What fills the gaps, in order.
    points : tuple of str
        Ids of the shots it speaks of.
    places : tuple of (float, float)
        Places it speaks of: easting, northing about the survey's origin, m.
    """

    code: str
    text: str
    measures: tuple[Measure, ...] = ()
    points: tuple[str, ...] = ()
    places: tuple[tuple[float, float], ...] = field(default=())

    def say(self, units: Units) -> str:
        """Return the note's sentence in `units`."""
        said = self.text.format(*(measure.say(units) for measure in self.measures))
        return legible(said)  # it may name files
