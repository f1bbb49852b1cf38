"""The sheet's key in marks and words, the strip of inches, the bar of lengths and the north."""

from collections.abc import Callable

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.units import METRES, eighths
from gradevol.out.paper import plan
from gradevol.out.paper.labels import MARK, RETIRED
from gradevol.out.paper.marks import say_move, tolerances
from gradevol.out.paper.tapes import TAPE_DASH
from gradevol.out.paper.type import LINE, SIZE, Block, Typesetter, draw_number, split
from gradevol.out.pictures.key import draw_north, north_size
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.shots import find_next, find_retired, mark_next, mark_retired
from gradevol.out.pictures.water import draw_arrow

_SWATCH = 0.4
_ROW = 0.03
_HEAD = LINE + 0.055
#: From this width on the key has two columns, and the strip five instead of three, in.
_WIDE, _GAP = 3.4, 0.15
_HUNDREDTHS = 10

#: Draws a mark about a place, in.
_Draw = Callable[[Sheet, float, float], None]


def say_sense(result: Result) -> list[str]:
    """Say what the marks mean, in words."""
    units = result.units
    high, low = tolerances(result)
    inch = "mm" if units.is_metric else "ft"
    stated = result.slab.base_high is not None or result.slab.base_low is not None
    example = "C25 = 25 mm" if units.is_metric else "C.10 = 0.10 ft (tenths and hundredths)"
    within = (
        f"{say_move(high, units)} {inch} high"
        if say_move(high, units) == say_move(low, units)
        else f"{say_move(high, units)} {inch} high, {say_move(low, units)} {inch} low"
    )
    if say_move(high, units) == say_move(low, units):
        within = f"{say_move(high, units)} {inch} high or low"
    usual = "" if stated else " (the job states no tolerance)"
    return [
        "C = base high, take down. F = base low, fill or pour. G = on grade.",
        f"{example}. G: no more than {within}{usual}.",
    ]


def key_block(type_: Typesetter, result: Result, *, tick: float | None, has_works: bool) -> Block:
    """Return the key: what the marks mean, and what is drawn on the map."""
    entries = _list_entries(result, tick=tick, has_works=has_works)
    sense = say_sense(result)

    def sense_lines(wide: float) -> list[list[tuple[str, bool]]]:
        return [
            line
            for number, text in enumerate(sense)
            for line in type_.wrap(split(text, bold=number == 0), wide, most=4)
        ]

    def lines_of(words: str, wide: float) -> list[list[tuple[str, bool]]]:
        return type_.wrap(split(words), wide - _SWATCH - 0.06, most=3)

    def columns_of(wide: float) -> tuple[list[list[tuple[_Draw, str]]], float]:
        """Entries in one column, or in two where there is room; and their width, in."""
        if wide < _WIDE:
            return [entries], wide
        half = -(-len(entries) // 2)
        return [entries[:half], entries[half:]], (wide - _GAP) / 2

    def height_of(column: list[tuple[_Draw, str]], wide: float) -> float:
        return sum(LINE * len(lines_of(words, wide)) + _ROW for _, words in column)

    def measure(wide: float) -> float:
        columns, each = columns_of(wide)
        high = max(height_of(column, each) for column in columns)
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

    def draw_column(column: list[tuple[_Draw, str]], left: float, y: float, wide: float) -> None:
        for mark, words in column:
            mark(type_.sheet, left + _SWATCH / 2, y - LINE / 2)
            for line in lines_of(words, wide):
                type_.write(left + _SWATCH + 0.06, y - LINE / 2, line)
                y -= LINE
            y -= _ROW

    return Block(measure, draw)


def _list_entries(
    result: Result, *, tick: float | None, has_works: bool
) -> list[tuple[_Draw, str]]:
    units, slab = result.units, result.slab
    points = "shots" if result.survey.ids else "points"
    least = units.say_thickness(slab.least_thickness)
    has = [
        (bool(result.thin.listed), _thin, f"thinner than {least}"),
        (bool(result.high and result.high.listed), _high, "base too high"),
        (bool(result.low and result.low.listed), _low, "base too low"),
        (has_works, _number, "fix list; × its worst place"),
        (has_works, _line(0.8, TAPE_DASH), "tape square from that side"),
        (bool(result.flush_sides), _line(plan.FLUSH), "side meets what stands there"),
        (bool(result.suspects), _suspect, "suspect shot: reshoot first"),
        (len(find_next(result)) > 0, _next, "next shot: tells most"),
        (len(find_retired(result)) > 0, _later, "shot taken again after rework"),
        (len(find_retired(result)) > 0, _retired, "replaced by it: does not count"),
        (
            result.drainage is not None and bool(result.drainage.arrows),
            _arrow,
            "way the design top falls",
        ),
        (
            not result.field.is_surveyed.all(),
            _line(1.0, plan.BEYOND_DASH),
            f"outermost {points}",
        ),
        (bool(slab.thickenings), _line(0.8, plan.THICKENING_DASH), "thickening"),
    ]
    entries: list[tuple[_Draw, str]] = [(draw, words) for is_there, draw, words in has if is_there]
    names = list(dict.fromkeys(void.name for void in slab.voids if void.line is not None))
    if names:
        entries.append((_conduit, ", ".join(names[:3])))
    if tick is not None:
        said = f"{units.to_length(tick):g} {'m' if units.is_metric else 'ft'}"
        entries.append((_ticks, f"ticks {said} apart from first corners"))
    return entries


def _line(width: float, dashes: tuple[float, ...] = ()) -> _Draw:
    def draw(sheet: Sheet, x: float, y: float) -> None:
        half = _SWATCH / 2 - 0.02
        path = np.array([(x - half, y), (x + half, y)])
        sheet.lines([path], width=width, dashes=dashes, colour="black")

    return draw


def _box(x: float, y: float) -> shapely.Geometry:
    half = _SWATCH / 2 - 0.03
    return shapely.box(x - half, y - 0.055, x + half, y + 0.055)


def _thin(sheet: Sheet, x: float, y: float) -> None:
    area = _box(x, y)
    lines = plan.hatch_lines(area, plan.THIN_HATCH, is_rising=False)
    sheet.lines(lines, width=0.7, colour=plan.THIN_GREY)
    sheet.lines([shapely.get_coordinates(area)], width=1.5, colour="black")


def _high(sheet: Sheet, x: float, y: float) -> None:
    area = _box(x, y)
    lines = plan.hatch_lines(area, plan.HIGH_HATCH, is_rising=True)
    sheet.lines(lines, width=0.6, colour=plan.HIGH_GREY)
    sheet.lines([shapely.get_coordinates(area)], width=0.6, colour=plan.HIGH_GREY)


def _low(sheet: Sheet, x: float, y: float) -> None:
    area = _box(x, y)
    sheet.dots(plan.dots_in(area, plan.LOW_DOTS), size=1.5, colour=plan.LOW_GREY)
    sheet.lines([shapely.get_coordinates(area)], width=0.5, colour=plan.LOW_GREY)


def _number(sheet: Sheet, x: float, y: float) -> None:
    draw_number(sheet, x, y, 1)


def _suspect(sheet: Sheet, x: float, y: float) -> None:
    at = np.array([(x - 0.06, y)])
    sheet.dots(at, size=2.9, colour="black")
    sheet.dots(at, size=9.5, colour="none", edge="black", edge_width=1.2)
    sheet.write(x + 0.05, y, "?", size=MARK, bold=True, colour="black")


def _later(sheet: Sheet, x: float, y: float) -> None:
    sheet.dots(np.array([(x, y)]), size=4.0, colour="black", mark="D")


def _retired(sheet: Sheet, x: float, y: float) -> None:
    mark_retired(sheet, np.array([(x, y)]), colour=RETIRED)


def _next(sheet: Sheet, x: float, y: float) -> None:
    mark_next(sheet, np.array([(x, y)]))


def _arrow(sheet: Sheet, x: float, y: float) -> None:
    draw_arrow(sheet, np.array([x, y]), np.array([1.0, 0.0]), width=0.7, colour="black")


def _conduit(sheet: Sheet, x: float, y: float) -> None:
    _line(2.8)(sheet, x, y)
    half = _SWATCH / 2 - 0.02
    path = np.array([(x - half, y), (x + half, y)])
    sheet.lines([path], width=1.3, colour="white", layer=3.1)


def _ticks(sheet: Sheet, x: float, y: float) -> None:
    half = _SWATCH / 2 - 0.02
    sheet.lines([np.array([(x - half, y - 0.03), (x + half, y - 0.03)])], width=2.6, colour="black")
    ticks = [np.array([(x + off, y - 0.03), (x + off, y + 0.05)]) for off in (-0.12, 0.0, 0.12)]
    sheet.lines(ticks, width=0.7, colour="black")


def north_block(sheet: Sheet, result: Result, scale: float) -> Block:
    """Return the bar of lengths and the arrow to the north; `scale` in inches a metre."""

    def measure(_wide: float) -> float:
        return north_size()[1] + 0.06

    def draw(left: float, top: float, _wide: float) -> None:
        draw_north(sheet, (left, top), result, scale)

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
