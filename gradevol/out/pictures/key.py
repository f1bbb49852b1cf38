"""The key: the scale of thickness, the marks and their words, north and the bar of lengths."""

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.units import METRES
from gradevol.out.pictures.bands import Bands, say_level
from gradevol.out.pictures.colours import ALERT, INK, PAPER, SOFT_INK
from gradevol.out.pictures.key_marks import SWATCH, Entry
from gradevol.out.pictures.marks import hatch
from gradevol.out.pictures.sheet import Sheet

SCALE_WIDTH, ENTRIES_WIDTH, NORTH_WIDTH = 2.0, 2.3, 1.9
_STEP = 0.21
_ROW = 0.2
_SIZE = 8.0
#: A limit this near to the design or the least gives way to it, in.
_TOO_NEAR = 0.04


def scale_size(bands: Bands) -> tuple[float, float]:
    """Width and height of the scale, in."""
    return SCALE_WIDTH, 0.42 + _STEP * len(bands.colours)


def draw_scale(sheet: Sheet, corner: tuple[float, float], bands: Bands, result: Result) -> None:
    """Draw the scale of thickness below its heading, with the design and the least on it."""
    x, top = corner
    units, slab = result.units, result.slab
    unit = "mm" if units.is_metric else "in"
    sheet.write(x, top - 0.08, f"Thickness, {unit}", size=9, bold=True)
    count = len(bands.colours)
    bottom = top - 0.36 - _STEP * count
    left, wide = x + 0.02, 0.36

    def height(level: float) -> float:
        first, last = bands.levels[[0, -1]]
        return float(bottom + _STEP * count * (level - first) / (last - first))

    for number, colour in enumerate(bands.colours):
        sheet.box(left, bottom + number * _STEP, wide, _STEP, facecolor=colour, zorder=2)
    least, design = height(slab.least_thickness), height(slab.thickness)
    thin = shapely.box(left, bottom, left + wide, least)
    if thin.area > 0:
        sheet.lines(hatch(thin), width=0.8)
    sheet.box(left, bottom, wide, _STEP * count, edgecolor=INK, linewidth=0.9, zorder=4)
    marks = [(design, f"{_exact(slab.thickness, result)} design", INK, 2.2)]
    if design - least > 0.01:
        marks.append((least, f"{_exact(slab.least_thickness, result)} least", ALERT, 1.9))
    heights = [height(level) for level in bands.levels]
    for level, at in zip(bands.levels, heights, strict=True):
        sheet.lines([np.array([(left, at), (left + wide, at)])], width=0.5, alpha=0.8, layer=3)
        if all(abs(at - mark[0]) > 2 * _TOO_NEAR for mark in marks):
            sheet.write(left + wide + 0.17, at, say_level(level, units), size=_SIZE)
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


def _exact(metres: float, result: Result) -> str:
    """A stated thickness without its unit."""
    return result.units.say_thickness(metres).rsplit(" ", 1)[0]


def entries_size(sheet: Sheet, entries: list[Entry]) -> tuple[float, float]:
    """Width and height of the marks' key, in."""
    lines = sum(max(1, len(_wrapped(sheet, entry))) * 0.145 + _ROW - 0.145 for entry in entries)
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
            if number:
                y -= 0.145
            sheet.write(x + SWATCH + 0.1, y, line, size=_SIZE)
        y -= _ROW


def north_size() -> tuple[float, float]:
    """Width and height of the bar of lengths and the arrow, in."""
    return NORTH_WIDTH, 0.75


def draw_north(sheet: Sheet, corner: tuple[float, float], result: Result, scale: float) -> None:
    """Draw a bar of a round length and an arrow to the north; `scale` in inches a metre."""
    x, top = corner
    units = result.units
    unit = METRES[units.length]
    rounds = [k * 10.0**power for power in range(-1, 4) for k in (1, 2, 4, 5)]
    long = max((r for r in sorted(rounds) if r * unit * scale <= 1.25), default=rounds[0])
    wide = long * unit * scale
    y = top - 0.48
    for number in range(4):
        colour = INK if number % 2 == 0 else PAPER
        sheet.box(
            x + 0.05 + number * wide / 4,
            y,
            wide / 4,
            0.07,
            facecolor=colour,
            edgecolor=INK,
            linewidth=0.8,
        )
    for share in (0.0, 0.5, 1.0):
        sheet.write(
            x + 0.05 + share * wide, y - 0.1, f"{share * long:g}", size=7.5, across="center"
        )
    sheet.write(
        x + 0.05, y + 0.17, f"{units.length.replace('us-ft', 'ft')} on the ground", size=7.5
    )
    east = x + NORTH_WIDTH - 0.2
    arrow = np.array([(0, 0.42), (0.1, 0), (0, 0.08), (-0.1, 0)]) + np.array([east, top - 0.66])
    sheet.fill([arrow], facecolor=INK)
    sheet.write(east, top - 0.12, "N", size=10, bold=True, across="center")
