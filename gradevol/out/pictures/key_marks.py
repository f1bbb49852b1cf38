"""The marks of a map, how each is drawn in the key, and what it means."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.units import METRES
from gradevol.measures.drainage.notes import say_fall
from gradevol.out.pictures.colours import ALERT, INK, PAPER
from gradevol.out.pictures.marks import HIGH, LOW, THICKENING, hatch, texture
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.shots import (
    find_later,
    find_next,
    find_removed,
    mark_next,
    mark_removed,
    mark_retired,
)
from gradevol.out.pictures.water import FLAT, draw_arrow, has_ponds, waves

#: Width of a mark in the key, in.
SWATCH = 0.34


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the key: how its mark is drawn about a place, and what it means."""

    draw: Callable[[Sheet, float, float], None]
    words: str


@dataclass(frozen=True, slots=True)
class Shown:
    """How many shots a map shows, how many of them without their id, how many retired ones."""

    shots: int
    unnamed: int
    retired: int


def list_entries(
    result: Result,
    *,
    is_beyond: bool,
    is_marked: bool,
    shots: Shown,
    water: tuple[bool, bool],
    tick: float | None,
    mean: float | None,
) -> list[Entry]:
    """
    List the marks that a map shows.

    Parameters
    ----------
    result : Result
    is_beyond : bool
        Whether a part of the slab lies beyond the shots.
    is_marked : bool
        Whether a place that is thinnest has its cross.
    shots : Shown
    water : (bool, bool)
        Whether arrows are drawn, and flat places.
    tick, mean : float or None
        Spacing of the ticks, and side of the squares of means that are drawn, m.

    Returns
    -------
    list of Entry
    """
    units, slab = result.units, result.slab
    entries = [Entry(_mark_line(1.7), "design thickness"), *_list_spots(result, is_marked)]
    entries += [*_list_shots(result, shots), *_list_water(result, water)]
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


def _list_shots(result: Result, shots: Shown) -> list[Entry]:
    """List the marks of what was measured."""
    survey = result.survey
    entries = []
    if shots.shots:
        words = "shot" if survey.ids else "point of the scan, or mean of a square of it"
        if shots.unnamed:
            words += (
                f"; {shots.unnamed:,} number{'s' * (shots.unnamed > 1)} left out: see report.html"
            )
        entries.append(Entry(_mark_shot, words))
    if shots.shots and len(find_later(result)):
        entries.append(Entry(_mark_later, "shot taken again after the base was reworked"))
    if shots.retired:
        entries.append(Entry(_mark_retired, "earlier shot that it replaces: does not count"))
    if len(find_next(result)):
        entries.append(Entry(_mark_next, "next shot: where one more tells most"))
    if result.suspects:
        entries.append(Entry(_mark_suspect, "suspect shot: measure again"))
    if len(find_removed(result)):
        entries.append(Entry(_mark_removed, f"{say_removed(result)} taken away here: not base"))
    return entries


def say_removed(result: Result) -> str:
    """Say how many points of a scan were taken away, as the note of it counts them."""
    note = next((note for note in result.notes if note.code == "cloud-not-base"), None)
    count = "" if note is None else note.text.split(" ", 1)[0]
    return f"{count} points of the scan".strip()


def _list_water(result: Result, water: tuple[bool, bool]) -> list[Entry]:
    """List the marks of what water does on the design top."""
    drainage = result.drainage
    has_arrows, has_flat = water
    entries = []
    if has_arrows:
        entries.append(Entry(_mark_arrow, "way the design top falls: water runs so"))
    if has_flat and drainage is not None and drainage.runoff.least_fall is not None:
        words = f"flat: the top falls less than {say_fall(drainage.runoff.least_fall)}"
        entries.append(Entry(_mark_line(1.3, FLAT), words))
    if has_ponds(result):
        entries.append(Entry(_mark_water, "water stands on the design top"))
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
        half = SWATCH / 2
        sheet.lines([np.array([(x - half, y), (x + half, y)])], width=width, dashes=dashes)

    return draw


def _mark_thin(sheet: Sheet, x: float, y: float) -> None:
    half = SWATCH / 2
    box = shapely.box(x - half, y - 0.065, x + half, y + 0.065)
    sheet.lines(hatch(box), width=0.8)
    sheet.lines([shapely.get_coordinates(box)], width=1.9, colour=ALERT)


def _mark_least(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=5.5, mark="x", colour=ALERT, edge_width=1.6)


def _mark_shot(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=3.4)


def _mark_later(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=4.6, mark="D")


def _mark_retired(sheet: Sheet, x: float, y: float) -> None:
    mark_retired(sheet, np.array([(x, y)]))


def _mark_next(sheet: Sheet, x: float, y: float) -> None:
    mark_next(sheet, np.array([(x, y)]))


def _mark_arrow(sheet: Sheet, x: float, y: float) -> None:
    draw_arrow(sheet, np.array([x, y]), np.array([1.0, 0.0]))


def _mark_water(sheet: Sheet, x: float, y: float) -> None:
    half = SWATCH / 2
    box = shapely.box(x - half, y - 0.065, x + half, y + 0.065)
    sheet.lines(waves(box), width=0.45)
    sheet.lines([shapely.get_coordinates(box)], width=0.9)


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
    half = SWATCH / 2
    path = np.array([(x - half, y), (x + half, y)])
    sheet.lines([path], width=3.0)
    sheet.lines([path], width=1.4, colour=PAPER, layer=3.1)


def _mark_cover(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=6, mark="X", colour=PAPER, edge=ALERT, edge_width=1.2)


def _mark_ticks(sheet: Sheet, x: float, y: float) -> None:
    half = SWATCH / 2
    sheet.lines([np.array([(x - half, y - 0.03), (x + half, y - 0.03)])], width=2.6)
    ticks = [np.array([(x + off, y - 0.03), (x + off, y + 0.05)]) for off in (-0.12, 0.0, 0.12)]
    sheet.lines(ticks, width=0.7)


def _mark_nothing(sheet: Sheet, x: float, y: float) -> None:
    """Words alone."""
