"""The sheet's key in marks and words, and the strip that turns feet into inches."""

from collections.abc import Sequence

from gradevol.answer.drawing import Drawing
from gradevol.ground.units import METRES, eighths
from gradevol.out.paper.type import Block, Typesetter, split
from gradevol.out.pictures.key import Entry, list_entries

_SWATCH = 0.4
_ROW = 0.035
#: Least width of a column of the key, and from one to the next, in.
_COLUMN, _GAP = 1.55, 0.1
#: Least width of the strip, and from which on it has five columns instead of three, in.
_LEAST, _WIDE = 2.3, 3.4
_ROWS = 10


#: Marks of the plan in colours that the sheet's map does without.
_NOT_HERE = ("design", "shot", "removed", "flat", "pond", "cover", "means")


def key_block(type_: Typesetter, drawing: Drawing, *, tick: float | None) -> Block:
    """Return the key: what the marks mean, and what is drawn on the map."""
    entries = list_entries(drawing, tick=tick, hidden=_NOT_HERE, is_short=True)

    def sense_lines(wide: float) -> list[list[tuple[str, bool]]]:
        return [
            line
            for number, text in enumerate(drawing.captions.sense)
            for line in type_.wrap(split(text, bold=number == 0), wide, most=6)
        ]

    def lines_of(entry: Entry, wide: float) -> list[list[tuple[str, bool]]]:
        return type_.wrap(split(entry.words), wide - _SWATCH - 0.06, most=4)

    def height_of(column: Sequence[Entry], wide: float) -> float:
        return sum(type_.line * len(lines_of(entry, wide)) + _ROW for entry in column)

    def columns_of(wide: float) -> tuple[Sequence[Sequence[Entry]], float]:
        """Entries in as many columns as there is room for, and the width of each, in."""
        count = max(1, int((wide + _GAP) / (_COLUMN + _GAP)))
        each = -(-len(entries) // count)
        columns = [entries[first : first + each] for first in range(0, len(entries), each)]
        return columns, (wide - _GAP * (count - 1)) / count

    def measure(wide: float) -> float:
        columns, each = columns_of(wide)
        high = max((height_of(column, each) for column in columns), default=0.0)
        return type_.head_high + type_.line * len(sense_lines(wide)) + high + 0.04

    def draw(left: float, top: float, wide: float) -> None:
        type_.head(left, top, wide, "Marks")
        y = top - type_.head_high
        for line in sense_lines(wide):
            type_.write(left, y - type_.line / 2, line)
            y -= type_.line
        columns, each = columns_of(wide)
        for number, column in enumerate(columns):
            draw_column(column, left + number * (each + _GAP), y - 0.04, each)

    def draw_column(column: Sequence[Entry], left: float, y: float, wide: float) -> None:
        for entry in column:
            entry.draw(type_.sheet, left + _SWATCH / 2, y - type_.line / 2)
            for line in lines_of(entry, wide):
                type_.write(left + _SWATCH + 0.06, y - type_.line / 2, line)
                y -= type_.line
            y -= _ROW

    return Block(measure, draw)


def strip_block(type_: Typesetter, *, in_inches: bool) -> Block:
    """Return ten rows from the unit of the marks to the other: hundredths of a foot, or inches."""
    heading = "Hundredths of a foot in inches"
    pairs = [
        (f".{number:02}", eighths(number / 100 * METRES["ft"] / METRES["in"]))
        for number in range(1, _ROWS + 1)
    ]
    if in_inches:
        heading = "Inches in hundredths of a foot"
        pairs = [
            (eighths(number / 8), f"{number / 8 * METRES['in'] / METRES['ft']:.2f}".lstrip("0"))
            for number in range(1, _ROWS + 1)
        ]

    def rows_of(wide: float) -> int:
        return 2 if wide >= _WIDE else 4

    def measure(wide: float) -> float:
        return type_.head_high + type_.line * rows_of(wide)

    def draw(left: float, top: float, wide: float) -> None:
        type_.head(left, top, wide, heading)
        rows = rows_of(wide)
        for number, (given, other) in enumerate(pairs):
            column, row = divmod(number, rows)
            x = left + column * wide / -(-_ROWS // rows)
            y = top - type_.head_high - (row + 0.5) * type_.line
            type_.write(x, y, split(given, bold=True) + split(f"= {other}"))

    return Block(measure, draw, _LEAST)
