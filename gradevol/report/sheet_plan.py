"""The sheet's plan: marks at the shots, what is off, and where to tape it from; lines only."""

import numpy as np
import shapely

from gradevol._types import FloatArray, IntArray
from gradevol.contours import join_rings, outline_beyond
from gradevol.figures.bands import choose_bands
from gradevol.figures.chart import Chart
from gradevol.figures.sheet import Sheet
from gradevol.figures.sides import draw_edge
from gradevol.report.sheet_marks import Marks, say_mark
from gradevol.report.sheet_type import draw_number
from gradevol.report.sheet_works import WorkLine
from gradevol.result import Result
from gradevol.spots import Spots
from gradevol.thickening import outline_at

#: Points.
MARK, NAME, TAPE = 8.2, 6.4, 7.4
#: Works that lines are taped to.
TAPED = 4
#: From one line of a hatch, or dot, to the next, in.
HIGH_HATCH, THIN_HATCH, LOW_DOTS = 0.095, 0.07, 0.105
#: Greys of what numbers stand on: light enough for them to be read.
HIGH_GREY, LOW_GREY, THIN_GREY = "0.62", "0.5", "0.35"
#: Dashes, points.
FLUSH = 5.5
TAPE_DASH, BEYOND_DASH, THICKENING_DASH = (4.0, 2.2), (1.2, 2.0), (9.0, 3.0)
#: A spot smaller than this on paper can't be seen, in².
_LEAST_SPOT = 0.002
#: Shots without a mark are drawn where they are this far apart, in: nearer they look like dots
#: of what is low.
_LESSER = 0.12
_SHORT = 0.22


def open_plan(sheet: Sheet, result: Result, *, scale: float, corner: tuple[float, float]) -> Chart:
    """Open a chart of the exact triangles, at inches to a metre, from a corner, in."""
    return Chart(
        sheet=sheet,
        result=result,
        bands=choose_bands(result),
        scale=scale,
        corner=np.array(corner),
        origin=result.slab.edge.min(axis=0),
        corners=result.field.corners,
        value=result.field.thickness,
        is_mean=False,
    )


def draw_plan_lines(chart: Chart, marks: Marks, works: list[WorkLine]) -> tuple[float | None, int]:
    """
    Draw the plan.

    Parameters
    ----------
    chart : Chart
    marks : Marks
    works : list of WorkLine
        Those that the sheet lists.

    Returns
    -------
    tick : float or None
        Spacing of the ticks along the sides, m.
    left_out : int
        Marks for which there was no room.
    """
    _draw_beyond(chart)
    _draw_spots(chart)
    _draw_cast_in(chart)
    tick = draw_edge(chart)
    _draw_flush(chart)
    _draw_dots(chart, marks)
    _draw_numbers(chart, works)
    order = np.argsort(-np.round(np.abs(marks.departure), 6), kind="stable")
    is_suspect = marks.is_suspect[order]
    left_out = _write_marks(chart, marks, order[is_suspect])
    for work in works[:TAPED]:
        _draw_tapes(chart, work)
    left_out += _write_marks(chart, marks, order[~is_suspect])
    return tick, left_out


def hatch_lines(area: shapely.Geometry, spacing: float, *, is_rising: bool) -> list[FloatArray]:
    """Slanting lines across an area on paper, in."""
    west, south, east, north = area.bounds
    reach = north - south
    step = spacing * np.sqrt(2)
    starts = np.arange(np.floor((west - reach) / step) * step, east, step)
    low, high = (south, north) if is_rising else (north, south)
    ends = np.array([[(start, low), (start + reach, high)] for start in starts])
    cut = shapely.intersection(shapely.multilinestrings(ends), area)
    return [shapely.get_coordinates(line) for line in shapely.get_parts(cut) if line.length > 0.01]


def dots_in(area: shapely.Geometry, spacing: float) -> FloatArray:
    """Places of a staggered texture of dots in an area on paper, (n, 2), in."""
    west, south, east, north = area.bounds
    across = np.arange(np.floor(west / spacing) * spacing, east, spacing)
    up = np.arange(np.floor(south / spacing) * spacing, north, spacing / 2)
    x, y = np.meshgrid(across, up)
    x[np.round(y[:, 0] / spacing * 2).astype(int) % 2 == 1] += spacing / 2
    places = np.column_stack([x.ravel(), y.ravel()])
    shapely.prepare(area)
    return np.asarray(places[shapely.contains_xy(area, *places.T)])


def _draw_beyond(chart: Chart) -> None:
    """Draw the border of what the shots surround, where it is not the slab's edge."""
    if chart.result.field.is_surveyed.all():
        return
    beyond = outline_beyond(chart.result.field)
    border = shapely.difference(beyond.boundary, chart.result.slab.outline.boundary.buffer(1e-3))
    lines = [
        chart.on_paper(shapely.get_coordinates(part))
        for part in shapely.get_parts(shapely.line_merge(border))
        if part.length * chart.scale > 0.02
    ]
    chart.sheet.lines(lines, width=1.0, dashes=BEYOND_DASH, layer=3.3)


def _areas(chart: Chart, spots: Spots | None) -> list[tuple[list[FloatArray], shapely.Geometry]]:
    """Rings on paper, closed, and the area of each spot that can be seen, in."""
    found = []
    for spot in spots.listed if spots else ():
        if spot.area * chart.scale**2 >= _LEAST_SPOT:
            rings = [chart.on_paper(np.vstack([ring, ring[:1]])) for ring in spot.rings]
            found.append((rings, join_rings([ring[:-1] for ring in rings])))
    return found


def _draw_spots(chart: Chart) -> None:
    """Hatch what is high, dot what is low, hatch and outline what is thin."""
    sheet, result = chart.sheet, chart.result
    for rings, area in _areas(chart, result.low):
        sheet.dots(dots_in(area, LOW_DOTS), size=1.5, colour=LOW_GREY, layer=2)
        sheet.lines(rings, width=0.5, colour=LOW_GREY, layer=2.2)
    for rings, area in _areas(chart, result.high):
        sheet.lines(
            hatch_lines(area, HIGH_HATCH, is_rising=True), width=0.6, colour=HIGH_GREY, layer=2.3
        )
        sheet.lines(rings, width=0.6, colour=HIGH_GREY, layer=2.4)
    for rings, area in _areas(chart, result.thin):
        sheet.lines(
            hatch_lines(area, THIN_HATCH, is_rising=False), width=0.7, colour=THIN_GREY, layer=2.5
        )
        sheet.lines(rings, width=1.5, colour="black", layer=2.6)


def _draw_cast_in(chart: Chart) -> None:
    """Draw thickenings and conduits."""
    slab, sheet = chart.result.slab, chart.sheet
    for part in slab.thickenings:
        area = outline_at(part, slab, out=part.side_slope * part.depth)
        inner = shapely.difference(area.boundary, slab.outline.boundary.buffer(1e-3))
        lines = [
            chart.on_paper(shapely.get_coordinates(line))
            for line in shapely.get_parts(shapely.line_merge(inner))
        ]
        sheet.lines(lines, width=0.8, dashes=THICKENING_DASH, colour="black", layer=3.2)
    for void in slab.voids:
        if void.line is not None:
            path = chart.on_paper(void.line)
            sheet.lines([path], width=2.8, colour="black", layer=3.4)
            sheet.lines([path], width=1.3, colour="white", layer=3.41)


def _draw_flush(chart: Chart) -> None:
    """Draw the sides that meet what stands there already much heavier than the forms."""
    sides = [chart.result.slab.sides[number - 1] for number in chart.result.flush_sides]
    if sides:
        paths = [chart.on_paper(side) for side in sides]
        chart.sheet.lines(paths, width=FLUSH, colour="black", layer=4.81)


def _draw_dots(chart: Chart, marks: Marks) -> None:
    """Draw the places of the marks, and the shots that have none as lesser dots."""
    sheet, result = chart.sheet, chart.result
    at = chart.on_paper(marks.places)
    if marks.is_lattice:
        sheet.dots(at, size=3.2, colour="black", mark="+", edge="black", edge_width=0.6, layer=5)
    else:
        shots = chart.on_paper(result.survey.points)
        low = chart.on_paper(chart.origin)
        high = low + np.ptp(result.slab.edge, axis=0) * chart.scale
        shots = shots[((shots > low - 0.3) & (shots < high + 0.3)).all(axis=1)]
        spacing = np.sqrt(result.slab.area / max(1, len(shots))) * chart.scale
        if len(shots) > len(at) and spacing >= _LESSER:
            sheet.dots(
                shots, size=2.4, colour="0.4", mark="+", edge="0.4", edge_width=0.35, layer=4.9
            )
        sheet.dots(at, size=2.9, colour="black", layer=5)
    for x, y in at:
        sheet.room.take(x, y, 0.05, 0.05)
    for x, y in at[marks.is_suspect]:
        sheet.dots(
            np.array([(x, y)]), size=9.5, colour="none", edge="black", edge_width=1.2, layer=5.1
        )
        sheet.room.take(x, y, 0.14, 0.14)


def _draw_numbers(chart: Chart, works: list[WorkLine]) -> None:
    """Put the number of each work beside its worst place, and a cross upon that place."""
    sheet = chart.sheet
    for work in works:
        x, y = chart.on_paper(np.array(work.at))
        sheet.dots(
            np.array([(x, y)]), size=5.5, mark="x", colour="black", edge_width=1.3, layer=6.9
        )
        sheet.room.take(x, y, 0.07, 0.07)
    for work in works:
        x, y = chart.on_paper(np.array(work.at))
        for reach in (0.17, 0.24, 0.32):
            for turn in np.radians((90, 45, 135, 0, 180, 270, 315, 225)):
                a, b = x + reach * np.cos(turn), y + reach * np.sin(turn)
                if sheet.room.is_free(a, b, 0.19, 0.19):
                    break
            else:
                continue
            sheet.room.take(a, b, 0.19, 0.19)
            sheet.lines([np.array([(x, y), (a, b)])], width=0.7, colour="black", layer=6.8)
            draw_number(sheet, float(a), float(b), work.number)
            break


def _write_marks(chart: Chart, marks: Marks, order: IntArray) -> int:
    """Write marks beside their places in an order; how many found no room."""
    at = chart.on_paper(marks.places)
    shown = {
        int(index): say_mark(
            float(marks.departure[index]), chart.result, is_suspect=bool(marks.is_suspect[index])
        )
        for index in order
    }
    # all that can stand level with their dots do, so that rows of shots read as rows
    plates: list[FloatArray] = []
    for is_level in (True, False):
        for index, mark in list(shown.items()):
            plate = _place_mark(chart, at[index], mark, marks.names[index], is_level=is_level)
            if plate is not None:
                plates.append(plate)
                del shown[index]
    if plates:
        chart.sheet.fill(plates, facecolor="white", zorder=4)
    return len(shown)


def _place_mark(
    chart: Chart, at: FloatArray, mark: str, name: str, *, is_level: bool
) -> FloatArray | None:
    """Write the id, light, and the mark, bold, in one line or two; the white under it, in."""
    sheet = chart.sheet
    mark_wide, high = sheet.measure(mark, MARK, bold=True)
    name_wide, low = sheet.measure(f"{name} ", NAME) if name else (0.0, 0.0)
    high, low = 0.8 * high, 0.8 * low
    wide = name_wide + mark_wide
    one, two = (wide, high), (max(name_wide, mark_wide), high + low + 0.012)
    alone = (mark_wide, high)
    # on the slab even without its name, rather than beside it among the ticks
    shapes = ((one, False),) if is_level else ((one, False), (two, True), (alone, False))
    tries = (
        (x, y, shape, is_stacked)
        for is_on in ((True,) if is_level else (True, False))
        for shape, is_stacked in shapes
        for x, y in _beside(chart, at, *shape, is_on=is_on, is_level=is_level)
    )
    for x, y, shape, is_stacked in tries:
        if not sheet.room.is_free(x, y, shape[0] + 0.03, shape[1] + 0.02):
            continue
        sheet.room.take(x, y, shape[0] + 0.03, shape[1] + 0.02)
        left, below = x - shape[0] / 2, y - shape[1] / 2
        shown = "" if shape == alone else name
        if shown:
            up = below + high + 0.012 if is_stacked else below
            sheet.write(left, up, shown, size=NAME, colour="0.25", up="baseline")
        sheet.write(
            left + (name_wide if shown and not is_stacked else 0.0), below, mark, size=MARK,
            bold=True, colour="black", up="baseline",
        )  # fmt: skip
        return _plate(x, y, *shape)
    return None


def _beside(
    chart: Chart, at: FloatArray, wide: float, high: float, *, is_on: bool, is_level: bool
) -> list[tuple[float, float]]:
    """Middles of a box beside a place, the nearest first; those on the slab, or those off it."""
    places = []
    for off in (0.062,) if is_level else (0.062, 0.11, 0.17):
        across, up = off + wide / 2, off + high / 2
        rows = (0.0,) if is_level else (0.0, up, -up)
        places += [
            (at[0] + a, at[1] + b)
            for b in rows
            for a in ((across, -across) if b == 0 else (across, 0.0, -across))
        ]
    ends = np.array([[(x - wide / 2, y), (x + wide / 2, y)] for x, y in places])
    ground = (ends - chart.corner) / chart.scale + chart.origin
    outline = chart.result.slab.outline
    is_held = shapely.contains_xy(outline, ground[..., 0], ground[..., 1]).all(axis=1)
    return [place for place, is_there in zip(places, is_held, strict=True) if is_there == is_on]


def _plate(x: float, y: float, wide: float, high: float) -> FloatArray:
    a, b = wide / 2 + 0.012, high / 2 + 0.012
    return np.array([(x - a, y - b), (x + a, y - b), (x + a, y + b), (x - a, y + b)])


def _draw_tapes(chart: Chart, work: WorkLine) -> None:
    """Draw lines from the sides, or corners, that a place is taped from, with their lengths."""
    sheet, slab, units = chart.sheet, chart.result.slab, chart.result.units
    at = np.array(work.at)
    for number, away in work.where.sides:
        start, end = slab.sides[number - 1]
        along = (end - start) / np.hypot(*(end - start))
        foot = start + ((at - start) @ along) * along
        _draw_tape(chart, foot, at, units.say_tape(away))
    for number, away in work.where.corners:
        _draw_tape(chart, slab.edge[number - 1], at, units.say_tape(away))
    x, y = chart.on_paper(at)
    sheet.room.take(float(x), float(y), 0.05, 0.05)


def _draw_tape(chart: Chart, foot: FloatArray, at: FloatArray, text: str) -> None:
    sheet = chart.sheet
    path = chart.on_paper(np.array([foot, at]))
    length = float(np.hypot(*(path[1] - path[0])))
    if length < 0.05:
        return
    sheet.lines([path], width=0.8, dashes=TAPE_DASH, colour="black", layer=4.5)
    along = (path[1] - path[0]) / length
    angle = float((np.degrees(np.arctan2(along[1], along[0])) + 89.9) % 180 - 89.9)
    square = np.array([-along[1], along[0]])
    wide, high = sheet.measure(text, TAPE)
    if length < _SHORT:
        return  # the fix list says it
    shares = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8) if length > wide else (0.5,)
    for off in (0.0, 0.085, -0.085, 0.17, -0.17):
        for share in shares:
            x, y = path[0] + share * length * along + off * square
            if sheet.room.is_free(x, y, wide + 0.03, 0.8 * high + 0.02, angle):
                sheet.room.take(x, y, wide + 0.03, 0.8 * high + 0.02, angle)
                _write_on_plate(sheet, float(x), float(y), text, angle)
                return


def _write_on_plate(sheet: Sheet, x: float, y: float, text: str, angle: float) -> None:
    wide, high = sheet.measure(text, TAPE)
    turn = np.radians(angle)
    way = np.array([(np.cos(turn), np.sin(turn)), (-np.sin(turn), np.cos(turn))])
    corners = (_plate(0.0, 0.0, wide, 0.75 * high)) @ way + np.array([x, y])
    sheet.fill([corners], facecolor="white", zorder=4.6)
    sheet.write(x, y, text, size=TAPE, angle=angle, across="center", colour="black", layer=8)
