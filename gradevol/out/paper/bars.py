"""The way from drawn to ticketed on paper: bars whose texture says what each rests on."""

from collections.abc import Sequence

import numpy as np

from gradevol.answer.drawing.account import Bar, Bars
from gradevol.ground.arrays import FloatArray
from gradevol.out.paper.type import LINE, SIZE, Typesetter, split
from gradevol.out.pictures.hatching import box, close, hatch, strew
from gradevol.out.pictures.sheet import Sheet

#: From one bar to the next, height of a bar, in.
_ROW, _HIGH = 0.235, 0.145
#: Widths of what stands before the bars and of the columns after them, in.
_NAME, _VOLUME, _SIGMA, _COST = 1.35, 0.6, 0.55, 0.75
_HEAD, _AXIS = LINE + 0.24, 0.56
_SPACING = 0.06


def measure_bars(bars: Bars) -> float:
    """Height of the bars with their heading and key, in."""
    return _HEAD + _ROW * len(bars.bars) + _AXIS


def draw_bars(
    type_: Typesetter,
    bars: Bars,
    costs: Sequence[str],
    place: tuple[float, float, float],
) -> None:
    """
    Draw the bars, their figures beside them.

    Parameters
    ----------
    type_ : Typesetter
    bars : Bars
    costs : sequence of str
        Of each bar; empty words where there are none.
    place : (float, float, float)
        Left, top and width, in.
    """
    left, top, wide = place
    sheet = type_.sheet
    has_cost = any(costs)
    type_.head(left, top, wide, bars.heading)
    right = left + wide
    columns = [right - (_COST if has_cost else 0.0), right] if has_cost else [right]
    ends = [columns[0] - _SIGMA, *columns]
    names = [bars.unit, "±", *(["cost"] if has_cost else [])]
    for end, name in zip(ends, names, strict=True):
        sheet.write(end, top - LINE - 0.13, name, size=SIZE - 0.5, across="right")
    start, reach = left + _NAME, ends[0] - _VOLUME - 0.1 - left - _NAME

    def at(value: float) -> float:
        return start + reach * (value - bars.low) / (bars.high - bars.low)

    y = top - _HEAD - _ROW / 2
    foot = y - _ROW * (len(bars.bars) - 1) - _ROW / 2
    for mark in bars.marks:
        x = at(mark)
        line = np.array([(x, top - _HEAD), (x, foot)])
        sheet.lines([line], width=0.4, colour="0.6", dashes=(1.0, 2.5), layer=1)
        sheet.write(x, foot - 0.09, f"{mark:g}", size=SIZE - 0.8, across="center")
    for number, (bar, cost) in enumerate(zip(bars.bars, costs, strict=True)):
        if number:  # from where the one above it ends
            path = np.array([(at(bar.start), y + _ROW / 2 + 0.03), (at(bar.start), y)])
            if not bar.is_total:
                sheet.lines([path], width=0.5, layer=2)
        type_.write(left, y, split(bar.label, bold=bar.is_total))
        _draw_bar(sheet, bar, at(bar.start), at(bar.end), y)
        if bar.high > bar.low:
            _draw_spread(sheet, at(bar.low), at(bar.high), y)
        sigma = bar.sigma.removeprefix("±")
        for end, text in zip(ends, (bar.volume, sigma, cost), strict=False):
            said = text.replace("-", "\N{MINUS SIGN}")
            sheet.write(end, y, said, size=SIZE, bold=bar.is_total, across="right")
        y -= _ROW
    _draw_key(type_, bars, left, foot - 0.27)


def _draw_key(type_: Typesetter, bars: Bars, left: float, y: float) -> None:
    x = left
    for basis, name in bars.bases:
        _fill(type_.sheet, box(x + 0.14, y, 0.28, 0.1), basis)
        type_.write(x + 0.33, y, split(name))
        x += 0.33 + type_.width(name, SIZE) + 0.2
    type_.write(left, y - LINE - 0.02, split(bars.foot))


def _draw_bar(sheet: Sheet, bar: Bar, start: float, end: float, y: float) -> None:
    wide = max(abs(end - start), 0.02)
    _fill(sheet, box((start + end) / 2, y, wide, _HIGH), bar.basis)


def _fill(sheet: Sheet, ring: FloatArray, basis: str) -> None:
    """Fill a box with the texture of what it rests on."""
    match basis:
        case "measured":
            sheet.fill([ring], facecolor="0.25", zorder=3)
        case "stated":
            sheet.lines(hatch([ring], _SPACING), width=0.7, layer=3)
        case "assumed":
            sheet.dots(strew([ring], _SPACING), size=1.3, layer=3)
    dashes = (2.5, 1.8) if basis == "rest" else ()
    sheet.lines(close([ring]), width=0.9, dashes=dashes, layer=3.2)


def _draw_spread(sheet: Sheet, low: float, high: float, y: float) -> None:
    """Draw one standard deviation about a bar's end, white beside it: it is seen on any texture."""
    caps = [np.array([(x, y - 0.04), (x, y + 0.04)]) for x in (low, high)]
    path = np.array([(low, y), (high, y)])
    sheet.lines([path, *caps], width=1.0, casing=1.0, layer=5)
