"""Header rows: what the names above columns mean."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import zip_longest

from gradevol.ground.units import SPELLINGS

#: What each letter of `base.columns` stands for.
MEANINGS = {
    "P": "point",
    "N": "northing",
    "E": "easting",
    "Z": "elevation",
    "D": "description",
    "S": "setup",
    "R": "rod reading",
    "T": "depth",
}

#: Names that people write above a column; common practice, no source. Of two columns for the
#: description, or for the point, the name that stands first here is taken.
_NAMES = {
    name: letter
    for letter, names in {
        "P": "point|point id|point no|point number|point name|pointid|pointno|pointnumber"
        "|pointname|pt|pt id|pt no|ptid|ptno|pnt|p|id|no|nr|number|num|#|shot|shot id|shot no"
        "|name|label|stake|stake no",
        "N": "northing|northings|north|n|y|y coord|y coordinate",
        "E": "easting|eastings|east|e|x|x coord|x coordinate",
        "Z": "elevation|elev|ele|el|z|z coord|z coordinate|level|reduced level|rl|height",
        "D": "code|feature code|description|desc|descr|d|feature|note|notes|remark|remarks"
        "|comment|comments",
        "S": "setup|set up|instrument setup|setup no|setup id|s",
        "R": "rod|rod reading|reading|staff|staff reading|r",
    }.items()
    for name in names.split("|")
}
#: Names of depths, which are thickness itself; among shots they name no column that is read.
_DEPTH_NAMES = frozenset(
    (
        *("depth", "depths", "measured depth", "depth down", "string depth", "measure down"),
        *("measured down", "measuredown", "down", "thickness", "t"),
    )
)
#: What instruments write before a coordinate's name: beside a plain one they are passed over. A
#: height above the ellipsoid is no elevation.
_KINDS = frozenset({"grid", "ground", "local", "site", "ortho", "orthometric"})
_RANKS = {name: rank for rank, name in enumerate(_NAMES)}
_WORDS = re.compile(r"[^\W_]+|['\"′″#]")
_FEET = {"ft", "us-ft"}


@dataclass(frozen=True, slots=True)
class Heading:
    """
    One cell of a header row.

    Attributes
    ----------
    text : str
        As written.
    letter : str
        What it names, a letter as in `base.columns`; ``-`` where the name is not known.
    unit : str or None
        The unit it carries: a key of `METRES`, or ``cm``.
    rank : int
        Which of two columns for one thing is taken: the lower.
    is_qualified : bool
        Whether a word before it says which coordinate it is: ``Grid Northing``.
    """

    text: str
    letter: str
    unit: str | None = None
    rank: int = 0
    is_qualified: bool = False


def read_heading(cell: str) -> Heading:
    """Understand ``Northing (Y)``, ``x_ft``, ``E (m)``, ``Pt #``; unknown names are ``-``."""
    words = _WORDS.findall(cell.lower())
    is_qualified = len(words) > 1 and words[0] in _KINDS
    words = words[is_qualified:]
    for count in range(min(len(words), 3), 0, -1):
        name = " ".join(words[:count])
        if name in _NAMES and not (is_qualified and _NAMES[name] not in "NEZ"):
            letter, rest = _NAMES[name], words[count:]
            while rest and _NAMES.get(rest[0]) == letter:  # Northing (Y), Pt #
                rest = rest[1:]
            unit, known = read_unit(rest)
            if known:
                return Heading(cell.strip(), letter, unit, _RANKS[name], is_qualified)
    return Heading(cell.strip(), "-")


def names_level(name: str) -> bool:
    """Whether a name beside one point is that of its elevation: a height may be its rod's."""
    return name.lower().startswith(("el", "z", "rl")) and read_heading(name).letter == "Z"


def read_headings(cells: Iterable[str]) -> list[Heading]:
    """Understand a header row: ``Grid Northing`` is passed over beside a plain ``Northing``."""
    read = [read_heading(cell) for cell in cells]
    plain = {heading.letter for heading in read if not heading.is_qualified}
    return [
        Heading(heading.text, "-") if heading.is_qualified and heading.letter in plain else heading
        for heading in read
    ]


def read_depth_heading(cell: str) -> Heading:
    """Understand ``depth_in`` and ``Measure-down`` too, as a column ``T``."""
    words = _WORDS.findall(cell.lower())
    for count in range(min(len(words), 3), 0, -1):
        if " ".join(words[:count]) in _DEPTH_NAMES:
            unit, known = read_unit(words[count:])
            if known:
                return Heading(cell.strip(), "T", unit)
    return read_heading(cell)


def read_unit(words: Sequence[str]) -> tuple[str | None, bool]:
    """Unit named by the rest of a heading, and whether the rest was understood."""
    kind = {"us", "survey", "usft", "sft", "ftus"} & set(words)
    rest = [word for word in words if word not in {"us", "survey", "int", "intl", "international"}]
    if not rest:
        return None, not words
    unit = "us-ft" if rest == ["ftus"] else SPELLINGS.get(rest[0])
    if unit is None or len(rest) > 1:
        return None, False
    return ("us-ft" if kind and unit in _FEET else unit), True


def take_units(names: Sequence[str], row: Sequence[str]) -> tuple[str, ...] | None:
    """
    Names of columns with the units that the row below them holds.

    Returns
    -------
    tuple of str or None
        None where it holds something else, or another unit than the name above.
    """
    cells = [cell.strip(" -") for cell in row]
    if sum(map(bool, cells)) < 2 or len(cells) > len(names):
        return None
    made = []
    for name, cell in zip_longest(names, cells, fillvalue=""):
        unit = read_unit(_WORDS.findall(cell.lower()))[0]
        own = read_unit(_WORDS.findall(name.lower())[-1:])[0]
        if cell and (unit is None or own not in {None, unit}):
            return None
        made.append(f"{name} ({cell.strip('()[] ')})" if cell and own is None else name)
    return tuple(made)


def read_letters(headings: Sequence[Heading]) -> str:
    """
    Letters of a header row, one a column; of two descriptions or points the better one.

    Raises
    ------
    ValueError
        If two columns name one coordinate.
    """
    letters = [heading.letter for heading in headings]
    for letter, meaning in MEANINGS.items():
        same = [index for index, other in enumerate(letters) if other == letter]
        if len(same) > 1 and letter in "NEZRT":
            names = " and ".join(repr(headings[index].text) for index in same)
            raise ValueError(f"{names} both name the {meaning}")
        for index in sorted(same, key=lambda index: headings[index].rank)[1:]:
            letters[index] = "-"
    return "".join(letters)


def units_of(headings: Iterable[Heading]) -> dict[str, str]:
    """Units that the headings of coordinates and readings carry, each with a heading that does."""
    return {item.unit: item.text for item in headings if item.unit and item.letter in "NEZR"}


def contradicts(heading: Heading, unit: str) -> bool:
    """Whether a heading's unit is another than `unit`; plain feet may be survey feet."""
    if heading.letter not in "NEZR" or heading.unit is None:
        return False
    return heading.unit != unit and (heading.unit, unit) != ("ft", "us-ft")
