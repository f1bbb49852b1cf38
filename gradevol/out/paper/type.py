"""Type: words set in lines of a width, and blocks of them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from gradevol.out.pictures.badges import draw_number
from gradevol.out.pictures.binding import loosen, split_bound
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.widths import measure_width

#: Points; a copy at half size is still read.
SIZE, HEADING = 8.0, 8.8
#: From one line to the next, in.
LINE = 0.132
_BELOW_HEADING, _BETWEEN = 0.05, 0.025
#: Room for the number of an item, in.
_NUMBER = 0.23
#: Widths are measured on letters of this size, points, which are not fitted to pixels: so large,
#: all sizes are alike.
_MEASURED = 64.0
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
    most: int = 12


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
    least : float
        Width under which it can't be set, in.
    """

    measure: Callable[[float], float]
    draw: Callable[[float, float, float], None]
    least: float = 0.0


@dataclass(frozen=True, slots=True)
class Typesetter:
    """Sets words on a sheet, in letters of a size, points."""

    sheet: Sheet
    size: float = SIZE

    @property
    def line(self) -> float:
        """From one line to the next, in."""
        return LINE * self.size / SIZE

    @property
    def head_high(self) -> float:
        """Height of a heading with the line below it, in."""
        return self.line + _BELOW_HEADING

    def width(self, text: str, size: float | None = None, *, bold: bool = False) -> float:
        """Width of a word or a line of text as it is printed, in."""
        return measure_width(text, _MEASURED, bold) * (size or self.size) / _MEASURED

    def wrap(
        self,
        words: Sequence[tuple[str, bool]],
        wide: float,
        *,
        size: float | None = None,
        most: int,
    ) -> list[_Words]:
        """Break words into at most `most` lines no wider than `wide`, in."""
        size = size or self.size
        space = self.width("a a", size) - self.width("aa", size)
        wide *= _SURE
        lines: list[_Words] = [[]]
        used = 0.0
        for given, bold in words:
            word, needed = given, self.width(given, size, bold=bold)
            if needed > wide:
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

    def write(self, x: float, y: float, line: _Words, *, size: float | None = None) -> None:
        """Write a line of words, in, each run of one weight at once."""
        size = size or self.size
        space = self.width("a a", size) - self.width("aa", size)
        while line:
            bold = line[0][1]
            count = next((n for n, (_, other) in enumerate(line) if other != bold), len(line))
            text = " ".join(word for word, _ in line[:count])
            self.sheet.write(x, y, text, size=size, bold=bold, colour="black")
            if line := line[count:]:
                x += self.width(text, size, bold=bold) + space

    def set_block(self, heading: str, items: Sequence[Item]) -> Block:
        """Return a block of a heading and paragraphs."""

        def lines_of(item: Item, wide: float) -> list[_Words]:
            room = wide - (_NUMBER if item.number else 0.0)
            return self.wrap(split(item.lead, bold=True) + split(item.text), room, most=item.most)

        def measure(wide: float) -> float:
            lines = [len(lines_of(item, wide)) for item in items]
            head = self.head_high if heading else 0.0
            return head + self.line * sum(lines) + _BETWEEN * len(items)

        def draw(left: float, top: float, wide: float) -> None:
            y = top
            if heading:
                self.head(left, top, wide, heading)
                y -= self.head_high
            for item in items:
                indent = _NUMBER if item.number else 0.0
                if item.number:
                    draw_number(self.sheet, left + 0.085, y - self.line / 2, item.number)
                for line in lines_of(item, wide):
                    self.write(left + indent, y - self.line / 2, line)
                    y -= self.line
                y -= _BETWEEN

        return Block(measure, draw, self.width(heading, bold=True))

    def head(self, left: float, top: float, wide: float, heading: str) -> None:
        """Write the heading of a block, with a line below it, in."""
        large = self.size * HEADING / SIZE
        size = large if self.width(heading, large, bold=True) <= wide else self.size
        self.sheet.write(left, top - self.line / 2, heading, size=size, bold=True, colour="black")
        below = top - self.line - 0.012
        self.sheet.lines([np.array([(left, below), (left + wide, below)])], width=0.8, layer=1)


def split(text: str, *, bold: bool = False) -> _Words:
    """Words of a text; measures stay whole."""
    return [(loosen(word), bold) for word in split_bound(text)]
