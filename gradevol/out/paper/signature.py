"""The sheet's box to sign: who measured when with what, and who has looked at it since."""

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from gradevol.answer.tree.survey import CreditsData
from gradevol.out.paper.type import Block, Typesetter, split

#: Room for a line of words and a pen; beside the words of the box; from one blank to the next, in.
_ROW, _PAD, _GAP = 0.185, 0.06, 0.12
#: A blank is at least this wide; the box, too, in.
_BLANK, _LEAST = 0.85, 2.0
#: A name, and what is printed after it: nothing where it is to be filled by hand.
_Field: TypeAlias = tuple[str, str]


def signature_block(type_: Typesetter, measured: CreditsData | None) -> Block:
    """Return the box: what the job says is printed, the rest are blanks to fill by hand."""
    told = measured or CreditsData()
    fields: tuple[_Field, ...] = (
        ("Measured by", told.by or ""),
        ("Instrument", told.instrument or ""),
        ("Bench mark and closure", told.benchmark or ""),
        ("Rain, traffic since", ""),
        ("Checked by, date", ""),
        ("Signature", ""),
    )

    def width_of(field: _Field) -> float:
        name, given = field
        after = type_.width(given, bold=True) if given else _BLANK
        return type_.width(name) + _PAD + after + _GAP

    def rows_of(wide: float) -> list[list[_Field]]:
        """Fields one after the other, as many in a row as have room."""
        rows: list[list[_Field]] = []
        for field in fields:
            if rows and sum(map(width_of, [*rows[-1], field])) <= wide - _PAD:
                rows[-1].append(field)
            else:
                rows.append([field])
        return rows

    def lines_of(row: Sequence[_Field], wide: float) -> list[list[tuple[str, bool]]]:
        """Lines of a field that has a row of its own, and may be longer than that."""
        ((name, given),) = row
        return type_.wrap(split(name) + split(given, bold=True), wide - 2 * _PAD, most=3)

    def height_of(row: Sequence[_Field], wide: float) -> float:
        return _ROW + (type_.line * (len(lines_of(row, wide)) - 1) if len(row) == 1 else 0.0)

    def measure(wide: float) -> float:
        return sum(height_of(row, wide) for row in rows_of(wide)) + 0.06

    def draw(left: float, top: float, wide: float) -> None:
        high = measure(wide) - 0.02
        type_.sheet.box(left, top - high, wide, high, edgecolor="black", linewidth=1.0)
        y = top - 0.02
        for row in rows_of(wide):
            draw_row(row, left + _PAD, y, wide)
            y -= height_of(row, wide)

    def draw_row(row: Sequence[_Field], left: float, top: float, wide: float) -> None:
        x, y = left, top - 0.62 * _ROW
        if len(row) == 1 and row[0][1]:
            for number, line in enumerate(lines_of(row, wide)):
                type_.write(x, y - number * type_.line, line)
            return
        blanks = sum(not given for _, given in row)
        spare = wide - _PAD - sum(map(width_of, row))
        for field in row:
            name, given = field
            type_.write(x, y, split(name) + split(given, bold=True))
            if not given:
                start = x + type_.width(name) + _PAD
                x += spare / blanks
                end = x + width_of(field) - _GAP
                type_.sheet.lines([np.array([(start, y - 0.05), (end, y - 0.05)])], width=0.5)
            x += width_of(field)

    return Block(measure, draw, _LEAST)
