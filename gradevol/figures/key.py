"""The key in words: the scale of thickness, the marks, north and the bar of lengths."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.figures.bands import Bands, say_level
from gradevol.figures.colours import ALERT, INK, PAPER, SOFT_INK
from gradevol.figures.marks import HIGH, LOW, THICKENING, find_removed, hatch, mark_removed, texture
from gradevol.figures.sheet import Sheet
from gradevol.result import Result
from gradevol.units import METRES

SCALE_WIDTH, ENTRIES_WIDTH, NORTH_WIDTH = 2.0, 2.3, 1.9
_STEP = 0.21
_ROW = 0.2
_SWATCH = 0.34
_SIZE = 8.0
#: A limit this near to the design or the least gives way to it, in.
_TOO_NEAR = 0.04


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the key: how its mark is drawn about a place, and what it means."""

    draw: Callable[[Sheet, float, float], None]
    words: str


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
    return sheet.wrap(entry.words, ENTRIES_WIDTH - _SWATCH - 0.1, _SIZE)


def draw_entries(sheet: Sheet, corner: tuple[float, float], entries: list[Entry]) -> None:
    """Draw the marks and what they mean, one below the other."""
    x, y = corner
    y -= 0.08
    for entry in entries:
        entry.draw(sheet, x + _SWATCH / 2, y)
        for number, line in enumerate(_wrapped(sheet, entry)):
            if number:
                y -= 0.145
            sheet.write(x + _SWATCH + 0.1, y, line, size=_SIZE)
        y -= _ROW


def list_entries(
    result: Result,
    *,
    is_beyond: bool,
    is_marked: bool,
    drawn_shots: int,
    tick: float | None,
    mean: float | None,
) -> list[Entry]:
    """List the marks that a map shows."""
    units, slab = result.units, result.slab
    entries = [Entry(_mark_line(1.7), "design thickness"), *_list_spots(result, is_marked)]
    if drawn_shots:
        entries.append(Entry(_mark_shot, "shot"))
    if result.suspects:
        entries.append(Entry(_mark_suspect, "suspect shot: measure again"))
    if len(find_removed(result)):
        words = "points of the scan taken away: not base"
        entries.append(Entry(_mark_removed, words))
    if is_beyond:
        entries.append(Entry(_mark_beyond, "beyond the shots: base held level"))
    if slab.thickenings:
        entries.append(Entry(_mark_line(0.9, THICKENING), "thickening"))
    if any(void.line is not None for void in slab.voids):
        entries.append(Entry(_mark_conduit, "cast in: " + _names(result)))
    if any(cover.short > 0 for cover in result.cover):
        entries.append(Entry(_mark_cover, "too little cover"))
    if tick is not None:
        said = f"{units.to_length(tick):g} {'m' if units.is_metric else 'ft'}"
        entries.append(Entry(_mark_ticks, f"ticks: {said} apart, from each side's first corner"))
    if mean is not None:
        entries.append(
            Entry(_mark_nothing, f"drawn from means over {_say_square(mean, result)} squares")
        )
    return entries


def _list_spots(result: Result, is_marked: bool) -> list[Entry]:
    """List the marks of what is thin, high or low."""
    units, slab = result.units, result.slab
    entries = []
    if result.thin.listed:
        words = f"thinner than {units.say_thickness(slab.least_thickness)}"
        if result.thin.unlisted:
            words += f" (the {len(result.thin.listed)} largest)"
        entries.append(Entry(_mark_thin, words))
    if is_marked:
        entries.append(Entry(_mark_least, "where a thin spot is thinnest"))
    if result.high and result.high.listed and slab.base_high is not None:
        words = f"base more than {units.say_thickness(slab.base_high)} high"
        entries.append(Entry(_mark_line(1.2, HIGH), words))
    if result.low and result.low.listed and slab.base_low is not None:
        words = f"base more than {units.say_thickness(slab.base_low)} low"
        entries.append(Entry(_mark_line(1.2, LOW), words))
    return entries


def _say_square(metres: float, result: Result) -> str:
    if result.units.is_metric:
        return f"{metres:.2g} m"
    inches = metres / METRES["in"]
    return f"{inches:.0f} in" if inches < 36 else f"{inches / 12:.0f} ft"


def _names(result: Result) -> str:
    names = dict.fromkeys(void.name for void in result.slab.voids if void.line is not None)
    shown = list(names)
    return ", ".join(shown[:2]) + (" and others" if len(shown) > 2 else "")


def _mark_line(
    width: float, dashes: tuple[float, ...] = ()
) -> Callable[[Sheet, float, float], None]:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        half = _SWATCH / 2
        sheet.lines([np.array([(x - half, y), (x + half, y)])], width=width, dashes=dashes)

    return draw


def _mark_thin(sheet: Sheet, x: float, y: float) -> None:
    half = _SWATCH / 2
    box = shapely.box(x - half, y - 0.065, x + half, y + 0.065)
    sheet.lines(hatch(box), width=0.8)
    sheet.lines([shapely.get_coordinates(box)], width=1.9, colour=ALERT)


def _mark_least(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=5.5, mark="x", colour=ALERT, edge_width=1.6)


def _mark_shot(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=3.4)


def _mark_suspect(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x - 0.05, y)]), size=3.4)
    sheet.dots(np.array([(x - 0.05, y)]), size=10, colour="none", edge=INK, edge_width=1.5)
    sheet.write(x + 0.06, y, "?", size=8.5, bold=True)


def _mark_removed(sheet: Sheet, x: float, y: float) -> None:
    mark_removed(sheet, np.array([(x - 0.08, y), (x, y), (x + 0.08, y)]))


def _mark_beyond(sheet: Sheet, x: float, y: float) -> None:
    low, high = np.array([x - 0.15, y - 0.06]), np.array([x + 0.15, y + 0.07])
    places = texture(low, high)
    places = places[(places <= high).all(axis=1)]
    sheet.dots(places, size=1.5, alpha=0.7)


def _mark_conduit(sheet: Sheet, x: float, y: float) -> None:
    half = _SWATCH / 2
    path = np.array([(x - half, y), (x + half, y)])
    sheet.lines([path], width=3.0)
    sheet.lines([path], width=1.4, colour=PAPER, layer=3.1)


def _mark_cover(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=6, mark="X", colour=PAPER, edge=ALERT, edge_width=1.2)


def _mark_ticks(sheet: Sheet, x: float, y: float) -> None:
    half = _SWATCH / 2
    sheet.lines([np.array([(x - half, y - 0.03), (x + half, y - 0.03)])], width=2.6)
    ticks = [np.array([(x + off, y - 0.03), (x + off, y + 0.05)]) for off in (-0.12, 0.0, 0.12)]
    sheet.lines(ticks, width=0.7)


def _mark_nothing(sheet: Sheet, x: float, y: float) -> None:
    """Words alone."""


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
