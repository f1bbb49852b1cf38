"""The sheet's key in marks and words, the strip of inches, the bar of lengths and the north."""

from collections.abc import Mapping, Sequence

from gradevol.answer.drawing import Drawing
from gradevol.ground.units import METRES, eighths
from gradevol.out.paper.type import LINE, SIZE, Block, Typesetter, draw_number, split
from gradevol.out.pictures import styles
from gradevol.out.pictures.key import COMMON, Entry, Swatch, draw_north, list_entries, north_size
from gradevol.out.pictures.sheet import Sheet

_SWATCH = 0.4
_ROW = 0.03
_HEAD = LINE + 0.055
#: From this width on the key has two columns, and the strip five instead of three, in.
_WIDE, _GAP = 3.4, 0.15
_HUNDREDTHS = 10


def _show_number(sheet: Sheet, x: float, y: float) -> None:
    draw_number(sheet, x, y, 1)


#: How the sheet's marks are drawn in its key.
ON_SHEET: Mapping[str, Swatch] = {
    **COMMON,
    "thin": styles.THIN_GREY.show,
    "high": styles.HIGH_GREY.show,
    "low": styles.LOW_GREY.show,
    "work": _show_number,
    "tape": styles.TAPE.show,
    "flush": styles.FLUSH.show,
    "outermost": styles.OUTERMOST.show,
}


def key_block(type_: Typesetter, drawing: Drawing, *, tick: float | None) -> Block:
    """Return the key: what the marks mean, and what is drawn on the map."""
    entries = list_entries(drawing, ON_SHEET, tick=tick, is_short=True)

    def sense_lines(wide: float) -> list[list[tuple[str, bool]]]:
        return [
            line
            for number, text in enumerate(drawing.captions.sense)
            for line in type_.wrap(split(text, bold=number == 0), wide, most=4)
        ]

    def lines_of(entry: Entry, wide: float) -> list[list[tuple[str, bool]]]:
        return type_.wrap(split(entry.words), wide - _SWATCH - 0.06, most=3)

    def columns_of(wide: float) -> tuple[list[Sequence[Entry]], float]:
        """Entries in one column, or in two where there is room; and their width, in."""
        if wide < _WIDE:
            return [entries], wide
        half = -(-len(entries) // 2)
        return [entries[:half], entries[half:]], (wide - _GAP) / 2

    def measure(wide: float) -> float:
        columns, each = columns_of(wide)
        high = max(
            sum(LINE * len(lines_of(entry, each)) + _ROW for entry in column) for column in columns
        )
        return _HEAD + LINE * len(sense_lines(wide)) + high + 0.04

    def draw(left: float, top: float, wide: float) -> None:
        type_.head(left, top, wide, "Marks")
        y = top - _HEAD
        for line in sense_lines(wide):
            type_.write(left, y - LINE / 2, line)
            y -= LINE
        columns, each = columns_of(wide)
        for number, column in enumerate(columns):
            draw_column(column, left + number * (each + _GAP), y - 0.04, each)

    def draw_column(column: Sequence[Entry], left: float, y: float, wide: float) -> None:
        for entry in column:
            entry.draw(type_.sheet, left + _SWATCH / 2, y - LINE / 2)
            for line in lines_of(entry, wide):
                type_.write(left + _SWATCH + 0.06, y - LINE / 2, line)
                y -= LINE
            y -= _ROW

    return Block(measure, draw)


def north_block(sheet: Sheet, drawing: Drawing, scale: float) -> Block:
    """Return the bar of lengths and the arrow to the north; `scale` in inches a metre."""

    def measure(_wide: float) -> float:
        return north_size()[1] + 0.06

    def draw(left: float, top: float, _wide: float) -> None:
        draw_north(sheet, (left, top), drawing, scale)

    return Block(measure, draw)


def strip_block(type_: Typesetter) -> Block:
    """Return ten rows from hundredths of a foot to inches and eighths."""

    def rows_of(wide: float) -> int:
        return 2 if wide >= _WIDE else 4

    def measure(wide: float) -> float:
        return _HEAD + LINE * rows_of(wide)

    def draw(left: float, top: float, wide: float) -> None:
        type_.head(left, top, wide, "Hundredths of a foot in inches")
        rows = rows_of(wide)
        for number in range(1, _HUNDREDTHS + 1):
            column, row = divmod(number - 1, rows)
            x = left + column * wide / -(-_HUNDREDTHS // rows)
            y = top - _HEAD - (row + 0.5) * LINE
            inches = eighths(number / 100 * METRES["ft"] / METRES["in"])
            type_.write(x, y, split(f".{number:02}", bold=True) + split(f"= {inches}"), size=SIZE)

    return Block(measure, draw)
