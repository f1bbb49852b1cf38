"""Statements: what is said of a result, each fact once, for any renderer to lay out."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum
from typing import TypeAlias

from gradevol.ground.words import with_minus

#: Easting and northing about the survey's origin, m.
Place: TypeAlias = tuple[float, float]


#: Keys of what stands above the volume, in that order: no figure is believed before it is seen to.
#: Each with what an order that rests on such a note says of it.
FIRST = {
    "note.thickness-far-from-design": "check bench mark, top and units first",
    "note.base-above-forms": "check bench mark, top and units first",
    "note.two-datums": "check bench marks first",
    "note.setup-step": "check the backsights first",
    "note.run-step": "check the run of shots first",
    "note.forms-off-top": "check bench mark, top and forms first",
    "note.beside-slab-step": "check the shots beside the slab first",
    "note.header-followed": "check what each column of the shots holds first",
    "note.elevations-in-another-unit": "check the unit of the elevations first",
    "note.inches-for-tenths": "check first if the readings are inches or tenths",
    "note.survey-fits-otherwise": "check eastings, northings and units first",
    "note.base-uneven": "check the top's fall and bearing first",
    "note.top-point-slip": "check the points of the top first",
    "note.top-bends-unshot": "shoot where the top bends first",
    "note.trench-walls-unshot": "shoot the edges of the trench first",
    "note.shots-in-thickening": "say if the thickening was shot first",
    "note.size-moves-order": "check the unit of a size first",
    "note.fix-list-unsure": "check the fix list with a level first",
    "note.shots-astray": "look up the shots off the slab first",
    "note.edge-lacks-corner": "check the corners of the slab first",
    "note.scans-apart": "register the scans anew first",
    "suspects.reshoot": "",
}


class Weight(IntEnum):
    """How much a statement decides: a renderer short of room leaves out the lightest first."""

    DECIDES = 6
    ACTS = 5
    MATTERS = 4
    TELLS = 3
    DETAILS = 2
    SPARE = 1


@dataclass(frozen=True, slots=True)
class Figure:
    """
    A number as a person reads it.

    Attributes
    ----------
    text : str
        Rounded, with its unit: ``72.7 yd³``; a minus is as long as its digits.
    key : str
        Where the number itself stands in the data: ``concrete.volume``; empty where it does not.
    """

    text: str
    key: str = ""

    def __post_init__(self) -> None:
        """Take a hyphen for the minus that it stands for."""
        object.__setattr__(self, "text", with_minus(self.text))

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True)
class Words:
    """A sentence, or a part of one, and the figures in it."""

    parts: tuple[str | Figure, ...] = ()

    def __str__(self) -> str:
        return "".join(map(str, self.parts))

    def __bool__(self) -> bool:
        return any(map(str, self.parts))

    def __add__(self, other: "str | Figure | Words") -> "Words":
        return Words((*self.parts, *_parts_of(other)))


Said: TypeAlias = str | Figure | Words


def words(template: str, *parts: Said) -> Words:
    """
    Put figures and other words into the gaps of a sentence.

    Parameters
    ----------
    template : str
        With ``{}`` for each of `parts`, in order; no other brace.
    *parts : str or Figure or Words

    Raises
    ------
    ValueError
        If there are not as many gaps as parts.
    """
    between = template.split("{}")
    if len(between) != len(parts) + 1:
        raise ValueError(f"{len(parts)} parts for {len(between) - 1} gaps in {template!r}")
    first, *rest = between
    found: list[str | Figure] = [first]
    for part, text in zip(parts, rest, strict=True):
        found += [*_parts_of(part), text]
    return Words(tuple(part for part in found if part != ""))


def join(separator: str, said: Sequence[Said]) -> Words:
    """Join what is not empty, as ``str.join`` does."""
    kept = [part for part in said if part]
    return words(separator.join(["{}"] * len(kept)), *kept) if kept else Words()


def _parts_of(said: Said) -> Iterator[str | Figure]:
    if isinstance(said, Words):
        yield from said.parts
    else:
        yield said


@dataclass(frozen=True, slots=True)
class Statement:
    """
    One fact, said once.

    Attributes
    ----------
    key : str
        Which fact it is, stable: ``concrete.volume``, ``fix.1``.
    weight : Weight
    label : str
        What it is told of, in a word or two: ``Least``; empty where the sentence needs none.
    figure : Figure or None
        Its one figure, where it is one.
    short : Words
        For a small room: a line or two. With a label it goes on from there.
    long : Words
        In full; empty where the short words are all.
    details : tuple of Words
        What goes with it in smaller type, where there is room.
    where : str
        Its place by tape.
    size : str
        How large the place is: ``33 x 12 ft``.
    place : (float, float) or None
        The same for a picture.
    mark : str
        What it is called on every picture: a rank, a shot's id, ``NEXT1``.
    painted : str
        Cut or fill as it is painted on the base: ``C.05``; blank where the base is not moved.
    doubt : str
        That its figure rests on what is not to be believed yet: ``suspect: 98 mm without 41``.
    is_must, is_alert : bool
        Whether more concrete can't make it good; whether it exceeds a limit.
    cells : tuple of str
        The same for a spreadsheet, under the columns of its topic.
    """

    key: str
    weight: Weight = Weight.TELLS
    label: str = ""
    figure: Figure | None = None
    short: Words = Words()
    long: Words = Words()
    details: tuple[Words, ...] = ()
    where: str = ""
    size: str = ""
    place: Place | None = None
    mark: str = ""
    painted: str = ""
    doubt: str = ""
    is_must: bool = False
    is_alert: bool = False
    cells: tuple[str, ...] = ()

    @property
    def full(self) -> Words:
        """The long words, or the short ones where there are no others."""
        return self.long or self.short


@dataclass(frozen=True, slots=True)
class Topic:
    """
    Statements that belong together.

    Attributes
    ----------
    key : str
        ``volume``, ``order``, ``work``: stable.
    title : str
        Heading of a section.
    label : str
        The same in a margin of ten letters.
    statements : tuple of Statement
    columns : tuple of str
        Headings of the statements' cells; empty where they have none.
    group : str
        Heading within a topic of the same key: several pours, each with its order.
    """

    key: str
    title: str
    label: str
    statements: tuple[Statement, ...] = ()
    columns: tuple[str, ...] = ()
    group: str = ""

    def at_least(self, weight: Weight) -> tuple[Statement, ...]:
        """Statements of a weight or more."""
        return tuple(said for said in self.statements if said.weight >= weight)

    def find(self, key: str) -> Statement | None:
        """Return the statement of a key; None where there is none."""
        return next((said for said in self.statements if said.key == key), None)
