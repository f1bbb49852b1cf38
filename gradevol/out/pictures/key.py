"""The key: the scale of thickness, the marks and their words, north and the bar of lengths."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.captions import key_of_ticks, say_unnamed
from gradevol.ground.units import METRES
from gradevol.out.pictures.badges import draw_number
from gradevol.out.pictures.colours import ALERT, INK, PAPER, SOFT_INK, shades
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.shots import mark_retired
from gradevol.out.pictures.styles import AREAS, MARKS, PLACES, SWATCH, Stroke
from gradevol.out.pictures.water import draw_ways

#: Draws a mark about a place on a sheet, in.
Swatch: TypeAlias = Callable[[Sheet, float, float], None]

SCALE_WIDTH, ENTRIES_WIDTH, NORTH_WIDTH = 2.0, 2.3, 1.9
_STEP = 0.21
_ROW, _LINE = 0.2, 0.145
_SIZE = 8.0
#: Ticks whose words are as long as any: room is kept for these before it is known how far apart
#: they are, m.
LONGEST_TICK = 1000.0
#: A limit this near to the design or the least gives way to it, in.
_TOO_NEAR = 0.04


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the key: how its mark is drawn about a place, and what it means."""

    draw: Swatch
    words: str


def _show_arrow(sheet: Sheet, x: float, y: float) -> None:
    draw_ways(sheet, [(np.array([x, y]), np.array([1.0, 0.0]))])


def _show_suspect(sheet: Sheet, x: float, y: float) -> None:
    PLACES["shot"].show(sheet, x - 0.05, y)
    PLACES["suspect"].show(sheet, x - 0.05, y)
    sheet.write(x + 0.06, y, "?", size=8.5, bold=True)


def _show_retired(sheet: Sheet, x: float, y: float) -> None:
    mark_retired(sheet, np.array([(x, y)]))


def _show_work(sheet: Sheet, x: float, y: float) -> None:
    draw_number(sheet, x, y, 1)


def _show_row(sheet: Sheet, x: float, y: float) -> None:
    sheet.write(x, y, "15", size=7.5, bold=True, across="center")


def _show_ticks(sheet: Sheet, x: float, y: float) -> None:
    Stroke(2.6).show(sheet, x, y - 0.03)
    ticks = [np.array([(x + off, y - 0.03), (x + off, y + 0.05)]) for off in (-0.12, 0.0, 0.12)]
    Stroke(0.7).draw(sheet, ticks)


#: How the marks of every picture are drawn in its key.
SWATCHES: Mapping[str, Swatch] = {
    **{mark: style.show for mark, style in MARKS.items()},
    "work": _show_work,
    "suspect": _show_suspect,
    "retired": _show_retired,
    "arrow": _show_arrow,
    "rows": _show_row,
    "ticks": _show_ticks,
    "means": lambda *_: None,
}


def list_entries(
    drawing: Drawing,
    *,
    tick: float | None,
    unnamed: Mapping[str, int] = MappingProxyType({}),
    hidden: Collection[str] = (),
    is_short: bool = False,
) -> list[Entry]:
    """
    List the marks that a map shows, and what they mean.

    Parameters
    ----------
    drawing : Drawing
    tick : float or None
        Spacing of the ticks along the sides, m; None where there are none.
    unnamed : mapping of str to int
        How many places of a mark have no name beside them.
    hidden : collection of str
        Marks that the picture does not show.
    is_short : bool
        Whether they are said in short.
    """
    entries = [*drawing.captions.key]
    if tick is not None:
        entries.append(key_of_ticks(tick, drawing.units))
    entries.sort(key=lambda entry: entry.mark == "means")  # words alone come last
    return [
        Entry(
            SWATCHES[entry.mark],
            (entry.short if is_short else entry.words)
            + say_unnamed(unnamed.get(entry.mark, 0), "name" if entry.mark == "next" else "number"),
        )
        for entry in entries
        if entry.mark not in hidden
    ]


def scale_size(drawing: Drawing) -> tuple[float, float]:
    """Width and height of the scale, in."""
    return SCALE_WIDTH, 0.42 + _STEP * (len(drawing.bands.levels) - 1)


def draw_scale(sheet: Sheet, corner: tuple[float, float], drawing: Drawing) -> None:
    """Draw the scale of thickness below its heading, with the design and the least on it."""
    x, top = corner
    slab, bands, captions = drawing.slab, drawing.bands, drawing.captions
    sheet.write(x, top - 0.08, captions.scale, size=9, bold=True)
    count = len(bands.levels) - 1
    bottom = top - 0.36 - _STEP * count
    left, wide = x + 0.02, 0.36

    def height(level: float) -> float:
        first, last = bands.levels[[0, -1]]
        return float(bottom + _STEP * count * (level - first) / (last - first))

    for number, colour in enumerate(shades(bands.steps)):
        sheet.box(left, bottom + number * _STEP, wide, _STEP, facecolor=colour, zorder=2)
    least, design = height(slab.least), height(slab.design)
    ends = np.array([(left, bottom), (left + wide, bottom), (left + wide, least), (left, least)])
    AREAS["thin"].rule(sheet, [ends])
    sheet.box(left, bottom, wide, _STEP * count, edgecolor=INK, linewidth=0.9, zorder=4)
    marks = [(design, captions.design_limit, INK, 2.2)]
    if design - least > 0.01:
        marks.append((least, captions.least_limit, ALERT, 1.9))
    heights = [height(level) for level in bands.levels]
    for text, at in zip(bands.labels, heights, strict=True):
        sheet.lines([np.array([(left, at), (left + wide, at)])], width=0.5, alpha=0.8, layer=3)
        if all(abs(at - mark[0]) > 2 * _TOO_NEAR for mark in marks):
            sheet.write(left + wide + 0.17, at, text, size=_SIZE)
    low = np.inf
    for at, words, colour, width in marks:
        # beside the limits where it is none of them; never on the design's own words
        is_limit = min(abs(at - other) for other in heights) <= _TOO_NEAR
        off = 0.17 if is_limit else 0.66
        reach = np.array([(left, at), (left + wide + off - 0.07, at)])
        sheet.lines([reach], width=width, colour=colour, layer=5)
        low = min(at, low - 0.14)
        sheet.write(left + wide + off, low, words, size=_SIZE, bold=True, colour=colour)
    for is_open, at, words in (
        (bands.is_open_above, heights[-1], "and more"),
        (bands.is_open_below, heights[0], "and less"),
    ):
        if is_open and all(abs(at - mark[0]) > 0.14 for mark in marks):
            sheet.write(left + wide + 0.66, at, words, size=7, colour=SOFT_INK)


def entries_size(sheet: Sheet, entries: list[Entry]) -> tuple[float, float]:
    """Width and height of the marks' key, in."""
    lines = sum(len(_wrapped(sheet, entry)) * _LINE + _ROW - _LINE for entry in entries)
    return ENTRIES_WIDTH, lines + 0.05


def _wrapped(sheet: Sheet, entry: Entry) -> list[str]:
    return sheet.wrap(entry.words, ENTRIES_WIDTH - SWATCH - 0.1, _SIZE)


def draw_entries(sheet: Sheet, corner: tuple[float, float], entries: list[Entry]) -> None:
    """Draw the marks and what they mean, one below the other."""
    x, y = corner
    y -= 0.08
    for entry in entries:
        entry.draw(sheet, x + SWATCH / 2, y)
        for number, line in enumerate(_wrapped(sheet, entry)):
            sheet.write(x + SWATCH + 0.1, y - number * _LINE, line, size=_SIZE)
        y -= number * _LINE + _ROW


def north_size() -> tuple[float, float]:
    """Width and height of the bar of lengths and the arrow, in."""
    return NORTH_WIDTH, 0.75


def draw_north(sheet: Sheet, corner: tuple[float, float], drawing: Drawing, scale: float) -> None:
    """Draw a bar of a round length and an arrow to the north; `scale` in inches a metre."""
    x, top = corner
    unit = METRES[drawing.units.length]
    rounds = [k * 10.0**power for power in range(-1, 4) for k in (1, 2, 4, 5)]
    long = max((r for r in sorted(rounds) if r * unit * scale <= 1.25), default=rounds[0])
    wide = long * unit * scale
    y = top - 0.48
    for number in range(4):
        colour = INK if number % 2 == 0 else PAPER
        left = x + 0.05 + number * wide / 4
        sheet.box(left, y, wide / 4, 0.07, facecolor=colour, edgecolor=INK, linewidth=0.8)
    for share in (0.0, 0.5, 1.0):
        at = x + 0.05 + share * wide
        sheet.write(at, y - 0.1, f"{share * long:g}", size=7.5, across="center")
    sheet.write(x + 0.05, y + 0.17, drawing.captions.bar, size=7.5)
    east = x + NORTH_WIDTH - 0.2
    arrow = np.array([(0, 0.42), (0.1, 0), (0, 0.08), (-0.1, 0)]) + np.array([east, top - 0.66])
    sheet.fill([arrow], facecolor=INK)
    sheet.write(east, top - 0.12, "N", size=10, bold=True, across="center")
