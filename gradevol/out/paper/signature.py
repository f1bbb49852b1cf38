"""The sheet's box to sign: who measured when with what, and who has looked at it since."""

import numpy as np

from gradevol.answer.tree.survey import CreditsData
from gradevol.out.paper.type import LINE, Block, Typesetter, split

HEADING = "Who measured, who checked"
_ROW, _HEAD = 0.225, LINE + 0.06
#: Width from which two rows stand beside one another, in.
_WIDE = 5.0


def signature_block(type_: Typesetter, measured: CreditsData | None) -> Block:
    """Return the box: what the job says is printed, the rest are lines to fill by hand."""
    told = measured or CreditsData()
    rows: tuple[tuple[str, str], ...] = (
        ("Measured by", told.by or ""),
        ("Instrument", told.instrument or ""),
        ("Bench mark and closure", told.benchmark or ""),
        ("Rain, traffic since", ""),
        ("Checked by, date", ""),
        ("Signature", ""),
    )

    def measure(wide: float) -> float:
        heights = [height_of(row, wide) for row in rows]
        return _HEAD + max(sum(heights[part]) for part in parts_of(wide)) + 0.06

    def parts_of(wide: float) -> list[slice]:
        """Rows of each column."""
        half = -(-len(rows) // 2)
        return [slice(half), slice(half, None)] if wide >= _WIDE else [slice(None)]

    def room_of(wide: float) -> float:
        return (wide - 0.12) / 2 - 0.1 if wide >= _WIDE else wide - 0.12

    def lines_of(row: tuple[str, str], wide: float) -> list[list[tuple[str, bool]]]:
        return type_.wrap(split(row[0]) + split(row[1], bold=True), room_of(wide), most=3)

    def height_of(row: tuple[str, str], wide: float) -> float:
        return max(_ROW, len(lines_of(row, wide)) * LINE + 0.07)

    def draw(left: float, top: float, wide: float) -> None:
        high = measure(wide) - 0.02
        type_.sheet.box(left, top - high, wide, high, edgecolor="black", linewidth=1.0)
        heading = type_.wrap(split(HEADING, bold=True), wide - 0.12, most=1)[0]
        type_.write(left + 0.06, top - 0.03 - LINE / 2, heading)
        for number, part in enumerate(parts_of(wide)):
            x, y = left + 0.06 + number * (room_of(wide) + 0.1), top - _HEAD
            for row in rows[part]:
                draw_row(row, x, y, wide)
                y -= height_of(row, wide)

    def draw_row(row: tuple[str, str], x: float, top: float, wide: float) -> None:
        for number, line in enumerate(lines_of(row, wide)):
            type_.write(x, top - 0.62 * _ROW - number * LINE, line)
        if not row[1]:
            start, y = x + type_.width(row[0]) + 0.06, top - 0.62 * _ROW - 0.06
            path = np.array([(start, y), (x + room_of(wide), y)])
            type_.sheet.lines([path], width=0.5, colour="black")

    return Block(measure, draw)
