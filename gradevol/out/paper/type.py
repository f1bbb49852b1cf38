"""Type: words set in lines of a width, and blocks of them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from gradevol.out.pictures.badges import draw_number
from gradevol.out.pictures.binding import loosen, split_bound
from gradevol.out.pictures.sheet import Sheet

#: Points; a copy at half size is still read.
SIZE, HEADING = 8.0, 8.8
#: From one line to the next, in.
LINE = 0.136
_BELOW_HEADING, _BETWEEN = 0.055, 0.03
#: Room for the number of an item, in.
_NUMBER = 0.23
#: Widths are measured on letters this much larger, which are not fitted to pixels.
_LARGER = 8.0
#: Share of a width that is filled: a viewer may set letters a little wider.
_SURE = 0.985
#: Words, each bold or not.
_Words: TypeAlias = list[tuple[str, bool]]


@dataclass(frozen=True, slots=True)
class Item:
    """
    A paragraph of a block.

    Attributes
    ----------
    text : str
    lead : str
        Bold words before it.
    number : int
        Of a line of the fix list, in a circle before it; 0 for none.
    most : int
        Lines that it may take; what is beyond is cut off and ends in an ellipsis.
    """

    text: str
    lead: str = ""
    number: int = 0
    most: int = 4


@dataclass(frozen=True, slots=True)
class Block:
    """
    A part of the sheet beside the map.

    Attributes
    ----------
    measure : callable
        Its height, in, at a width, in.
    draw : callable
        Draws it: left, top and width, in.
    """

    measure: Callable[[float], float]
    draw: Callable[[float, float, float], None]


@dataclass(frozen=True, slots=True)
class Typesetter:
    """Sets words on a sheet."""

    sheet: Sheet

    def width(self, text: str, size: float = SIZE, *, bold: bool = False) -> float:
        """Width of a word or a line of text as it is printed, in."""
        return self.sheet.measure(text, _LARGER * size, bold=bold)[0] / _LARGER

    def wrap(
        self, words: Sequence[tuple[str, bool]], wide: float, *, size: float = SIZE, most: int
    ) -> list[_Words]:
        """Break words into at most `most` lines no wider than `wide`, in."""
        space = self.width("a a", size) - self.width("aa", size)
        wide *= _SURE
        lines: list[_Words] = [[]]
        used = 0.0
        for given, bold in words:
            word = self._shorten(given, wide, size, bold=bold)
            needed = self.width(word, size, bold=bold)
            if lines[-1] and used + space + needed > wide:
                if len(lines) == most:
                    last, was_bold = lines[-1][-1]
                    short = self._shorten(f"{last}…", wide - used + self.width(last, size), size)
                    lines[-1][-1] = (short, was_bold)
                    break
                lines.append([])
                used = 0.0
            used += needed + (space if lines[-1] else 0.0)
            lines[-1].append((word, bold))
        return lines

    def _shorten(self, word: str, wide: float, size: float, *, bold: bool = False) -> str:
        if self.width(word, size, bold=bold) <= wide or len(word) < 3:
            return word
        word = word.rstrip("…")
        while len(word) > 1 and self.width(word + "…", size, bold=bold) > wide:
            word = word[:-1]
        return word + "…"

    def write(self, x: float, y: float, line: _Words, *, size: float = SIZE) -> None:
        """Write a line of words, in, each run of one weight at once."""
        space = self.width("a a", size) - self.width("aa", size)
        while line:
            bold = line[0][1]
            count = next((n for n, (_, other) in enumerate(line) if other != bold), len(line))
            text = loosen(" ".join(word for word, _ in line[:count]))
            self.sheet.write(x, y, text, size=size, bold=bold, colour="black")
            x += self.width(text, size, bold=bold) + space
            line = line[count:]

    def set_block(self, heading: str, items: Sequence[Item]) -> Block:
        """Return a block of a heading and paragraphs."""

        def lines_of(item: Item, wide: float) -> list[_Words]:
            room = wide - (_NUMBER if item.number else 0.0)
            return self.wrap(split(item.lead, bold=True) + split(item.text), room, most=item.most)

        def measure(wide: float) -> float:
            lines = [len(lines_of(item, wide)) for item in items]
            head = LINE + _BELOW_HEADING if heading else 0.0
            return head + LINE * sum(lines) + _BETWEEN * len(items)

        def draw(left: float, top: float, wide: float) -> None:
            y = top
            if heading:
                self.head(left, top, wide, heading)
                y -= LINE + _BELOW_HEADING
            for item in items:
                indent = _NUMBER if item.number else 0.0
                if item.number:
                    draw_number(self.sheet, left + 0.085, y - LINE / 2, item.number)
                for line in lines_of(item, wide):
                    self.write(left + indent, y - LINE / 2, line)
                    y -= LINE
                y -= _BETWEEN

        return Block(measure, draw)

    def head(self, left: float, top: float, wide: float, heading: str) -> None:
        """Write the heading of a block, with a line below it, in."""
        self.sheet.write(left, top - LINE / 2, heading, size=HEADING, bold=True, colour="black")
        below = top - LINE - 0.012
        self.sheet.lines([np.array([(left, below), (left + wide, below)])], width=0.8, layer=1)


def split(text: str, *, bold: bool = False) -> _Words:
    """Words of a text; measures stay whole."""
    return [(word, bold) for word in split_bound(text)]
