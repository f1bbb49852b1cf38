"""How the lengths of a column are written, as its source or the column itself says."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from gradevol.ground.lengths import NOTATIONS, name_form, parse_length, quote, split_sign, tidy

#: What can't stand in a column of each notation, and without one: how it could be read.
_TWO_WAYS = {
    "two": "feet and inches, or a number with a dash for its point",
    "three": "feet, inches and eighths of an inch, or something else",
    "fraction": "inches, or parts of a foot or metre",
    "dashed": "inches and a fraction, or feet and a fraction of an inch",
}
_QUICK = re.compile(r"[-+]?[0-9]+(?:[.,][0-9]*)?")
#: Stands for a marked cell where the source says inches and none of a column's cells does.
_INCHES = "inches"
#: Forms that carry no mark at all.
_UNMARKED = ("number", "fraction", "dashed")


@dataclass(frozen=True, slots=True)
class Notation:
    """
    What a source says of how its lengths are written.

    Attributes
    ----------
    name : str or None
        One of `lengths.NOTATIONS`; None: nothing.
    key : str
        Where it can be said, for messages.
    is_open : bool
        Whether the unit itself is not known yet: fractions are then parts of whatever it is.
    """

    name: str | None = None
    key: str = "base.notation"
    is_open: bool = False


@dataclass(frozen=True, slots=True)
class Hand:
    """
    How the lengths of one column are written.

    Attributes
    ----------
    unit : str
        Unit of a bare number, a key of `METRES`.
    notation : str or None
        Of what carries no marks; None: neither the job nor the other cells settle it.
    key : str
        Where the job can.
    marked : str
        A cell that is marked in another unit than `unit`, where most are: a bare number beside
        it is not believed. Empty: none.
    bare : str
        Where fewer are marked, a cell that is not: a marked number beside it is not believed.
    is_open : bool
        As in `Notation`.
    """

    unit: str
    notation: str | None = None
    key: str = "base.notation"
    marked: str = ""
    bare: str = ""
    is_open: bool = False

    @property
    def example(self) -> str:
        """A marked cell of the column; empty where none is marked."""
        return "" if self.marked == _INCHES else self.marked

    def parse(self, text: str) -> float:
        """
        Read a cell that is no plain number, m.

        Raises
        ------
        ValueError
            If it is no length, or is not written as the column is; the message is what follows
            the cell in a sentence.
        """
        form = name_form(split_sign(tidy(text))[1])
        if self.marked and form in _UNMARKED and not _is_zero(text):
            raise ValueError(
                f"carries no mark, while others in its column do, such as {quote(self.marked)}: "
                "no unit is guessed for it"
                if self.marked != _INCHES
                else f"carries no mark of inches, which {self.key} says, while numbers without "
                f"marks are in {self.unit}"
            )
        if form in _TWO_WAYS and not self._settles(form):
            raise ValueError(self._say_two_ways(form))
        if self.is_open and form in {"fraction", "dashed"}:
            metres = parse_length(f"{text} {self.unit}", unit=self.unit)
        else:
            metres = parse_length(text, unit=self.unit, notation=self.notation)
        if self.bare and form != "number":
            raise ValueError(
                f"carries a mark, while most in its column are bare numbers in {self.unit}, such "
                f"as {quote(self.bare)}: write all of them in one way"
            )
        return metres

    def _settles(self, form: str) -> bool:
        if form in {"fraction", "dashed"}:
            return self.is_open or _are_inches(self.unit, self.notation)
        if form == "two":
            return self.notation in {"feet-inches", "feet-inches-eighths"}
        return self.notation == "feet-inches-eighths"

    def _say_two_ways(self, form: str) -> str:
        if self.bare and self.notation is None:
            return f"is not a number, as most in its column are, such as {quote(self.bare)}"
        if self.notation is not None:
            return f"is not written in {self.notation}, as the others are or {self.key} says"
        ways = ", ".join(f'"{name}"' for name in NOTATIONS)
        return (
            f"can be read in two ways ({_TWO_WAYS[form]}): say how lengths are written in "
            f"{self.key}, one of {ways}"
        )


def _are_inches(unit: str, notation: str | None) -> bool:
    """Whether a fraction without a mark can be nothing but inches."""
    return notation == "inches" or (notation is None and unit == "in")


def _is_zero(text: str) -> bool:
    try:
        return float(text.replace(",", ".")) == 0
    except ValueError:
        return False


def settle_hand(
    cells: Iterable[str],
    *,
    unit: str,
    notation: Notation | None = None,
    is_level: bool = False,
) -> Hand:
    """
    Settle how the lengths of a column are written.

    Parameters
    ----------
    cells : iterable of str
        All of the column.
    unit : str
        Unit of its bare numbers, a key of `METRES`.
    notation : Notation, optional
        What its source says.
    is_level : bool
        Whether they are heights or depths: of a source in inches, those are not read in another
        unit because none of them carries a mark.

    Returns
    -------
    Hand
        Feet and inches where a cell can be nothing else (``4'-6"``, ``6-4-3/4``) and the source
        says nothing. In a source in inches, a column with any mark or fraction is in inches.
    """
    notation = notation or Notation()
    cells = list(cells)
    if notation.name is None and all(map(_QUICK.fullmatch, cells)):
        return Hand(unit, key=notation.key, is_open=notation.is_open)
    firsts: dict[str, str] = {}
    counts: Counter[str] = Counter()
    for cell in cells:
        try:
            form = name_form(split_sign(tidy(cell.replace(",", ".")))[1])
        except ValueError:
            continue
        if form and not (form == "number" and _is_zero(cell)):
            firsts.setdefault(form, cell)
            counts[form] += 1
    settled = notation.name or ("feet-inches" if "feet" in counts else None)
    is_marked = set(counts) - {"number"}
    own = "in" if settled == "inches" and is_marked else unit
    if settled == "inches" and is_level and not is_marked and own != "in" and counts["number"]:
        return Hand(unit, settled, notation.key, marked=_INCHES)
    bare = counts["number"]
    alike = {own}
    if notation.is_open or _are_inches(own, settled):
        alike |= {"fraction", "dashed"}
    others = sorted(is_marked - alike)
    few = bool(others) and sum(counts[form] for form in others) < bare
    marked = max(set(others) - set(_UNMARKED), key=lambda form: counts[form], default="")
    return Hand(
        own,
        settled,
        notation.key,
        marked=firsts[marked] if marked and not few else "",
        bare=firsts["number"] if few else "",
        is_open=notation.is_open,
    )
