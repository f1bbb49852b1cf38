"""The slab's edge on the map: heavy, with the numbers of its sides and ticks to tape from."""

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.out.pictures.chart import Chart, measure_along, measure_path
from gradevol.out.pictures.colours import SOFT_INK
from gradevol.out.pictures.hatching import close

#: Ticks nearer than this run together, in.
_LEAST_TICK = 0.055
_TICK, _TICK_NUMBERS = 0.07, 0.42
#: Of the labels of a rod sheet, points.
_ROWS = 7.5
#: Sides with a number are at least this long, in.
_NUMBERED = 0.2
#: Of an edge with more sides than this only the longer ones have a number, in.
_MANY, _NUMBERED_OF_MANY = 24, 0.6
#: Steps that a tape is read at, in the job's unit of length.
_METRES = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 5000)
_FEET = (5, 10, 20, 50, 100, 200, 500, 1000, 5000, 20000)


def draw_edge(chart: Chart) -> float | None:
    """
    Draw the slab's edge, its openings, the numbers of its sides and ticks along them.

    A corner that places are taped from has its number, too, and one where a curve begins.

    Returns
    -------
    float or None
        Spacing of the ticks, m; None where no side is long enough for any.
    """
    slab, sheet, units = chart.drawing.slab, chart.sheet, chart.drawing.units
    rings = close(chart.all_on_paper(slab.rings))
    (edge,) = close([chart.on_paper(slab.edge)])
    sheet.lines(rings, width=1.3, layer=4.7)
    sheet.lines([edge], width=2.6, layer=4.8)
    for ring in (*rings, edge):
        sheet.room.take_line(ring)
    unit = METRES[units.length]
    steps = [step * unit for step in (_METRES if units.is_metric else _FEET)]
    step = next((s for s in steps if s * chart.scale >= _LEAST_TICK), steps[-1])
    sides = chart.all_on_paper(slab.paths)
    _label_lattice(chart)
    ticked = [_draw_ticks(chart, side, step) for side in sides]
    is_curve = [len(side) > 2 and measure_path(side) >= _NUMBERED for side in sides]
    corners = sorted({*slab.told, *(np.flatnonzero(is_curve) + 1).tolist()})
    for number in corners:
        _write_corner(chart, number, sides[number - 2], sides[number - 1])
    for number, side in enumerate(sides, start=1):
        _write_number(chart, number, side, has_corners=bool(corners))
    return step if any(ticked) else None


def _walk(chart: Chart, side: FloatArray, stations: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Places (n, 2) so far along a side, in, and the ways outwards from it there."""
    reached = measure_along(side)
    piece = np.clip(np.searchsorted(reached, stations, side="right") - 1, 0, len(side) - 2)
    along = np.diff(side, axis=0) / np.diff(reached)[:, None]
    feet = side[piece] + (stations - reached[piece])[:, None] * along[piece]
    return feet, chart.drawing.slab.turn * np.column_stack([along[piece, 1], -along[piece, 0]])


def _angle(out: FloatArray) -> float:
    """Angle of words that stand upright beside a line, by the way outwards from it, degrees."""
    return float((np.degrees(np.arctan2(-out[0], out[1])) + 89.9) % 180 - 89.9)


def _draw_ticks(chart: Chart, side: FloatArray, step: float) -> bool:
    """Ticks along one side from its first corner, some with their distance; whether it has any."""
    sheet, units, length = chart.sheet, chart.drawing.units, measure_path(side)
    spacing = step * chart.scale
    if length < 2 * spacing:
        return False
    feet, out = _walk(chart, side, np.arange(0, length + 1e-9, spacing))
    ticks = np.stack([feet, feet + _TICK * out], axis=1)
    sheet.lines(list(ticks), width=0.7, layer=4.6)
    for tick in ticks:
        sheet.room.take_line(tick)
    if chart.drawing.lattice.lines:
        return True  # the rod sheet's own labels stand there
    every = next((k for k in (1, 2, 5, 10, 20, 50) if k * spacing >= _TICK_NUMBERS), 100)
    for number in range(every, len(feet), every):
        if length - number * spacing > 0.12:
            where = feet[number] + 0.145 * out[number]
            text = f"{units.to_length(number * step):g}"
            place = (*where, _angle(out[number]))
            sheet.label([place], text, size=7.0, colour=SOFT_INK, pad=0.005)
    return True


def _label_lattice(chart: Chart) -> None:
    """Write the labels of a rod sheet's rows and columns outside both ends of each."""
    edge = chart.on_paper(chart.drawing.slab.edge)
    sides = np.stack([edge, np.roll(edge, -1, axis=0)], axis=1)
    for line in chart.drawing.lattice.lines:
        start, end = chart.on_paper(line.ends)
        way = (end - start) / np.hypot(*(end - start))
        reach = _cross(start, way, sides)
        for far, sign in ((min(reach, default=0.0), -1), (max(reach, default=0.0), 1)):
            foot = start + far * way
            chart.sheet.lines([np.array([foot, foot + sign * _TICK * way])], width=1.1, layer=4.6)
            half = np.array(chart.sheet.measure(line.label, _ROWS, bold=True)) / 2 @ np.abs(way)
            places = [(*(foot + sign * (off + half) * way), 0.0) for off in (0.09, 0.14)]
            chart.sheet.label(places, line.label, size=_ROWS, bold=True, pad=0.005)


def _cross(start: FloatArray, way: FloatArray, sides: FloatArray) -> list[float]:
    """How far along a line it crosses sides (m, 2, 2), in."""
    square = np.array([-way[1], way[0]])
    off, along = (sides - start) @ square, (sides - start) @ way
    is_met = (off[:, 0] > 0) != (off[:, 1] > 0)
    first, second = off[is_met].T
    share = first / (first - second)
    return list(along[is_met, 0] + share * (along[is_met, 1] - along[is_met, 0]))


def _write_number(chart: Chart, number: int, side: FloatArray, *, has_corners: bool) -> None:
    """Number of one side just outside it, and what stands there where the job says so."""
    slab, length = chart.drawing.slab, measure_path(side)
    if length < (_NUMBERED if len(slab.paths) <= _MANY else _NUMBERED_OF_MANY):
        return
    said = [f"side {number}"]
    if number <= len(slab.names) and slab.names[number - 1]:
        said.insert(0, f"side {number}: {slab.names[number - 1]}")
    feet, out = _walk(chart, side, np.array([0.5, 0.4, 0.6, 0.25, 0.75]) * length)
    places = [
        (*(foot + off * way), _angle(way))
        for off in ((0.33, 0.4, 0.55) if has_corners else (0.33, 0.4))  # their numbers take room
        for foot, way in zip(feet, out, strict=True)
    ]
    for text in said:
        is_long = chart.sheet.measure(text, 8.5, bold=True)[0] > length
        if len(side) > 2 and is_long and text != said[-1]:
            continue  # it would run on past the curve
        if chart.sheet.label(places, text, size=8.5, bold=True):
            break


def _write_corner(chart: Chart, number: int, before: FloatArray, side: FloatArray) -> None:
    """Number of the corner at which a side begins: places are taped from there."""
    feet, out = _walk(chart, side, np.array([0.0]))
    _, last = _walk(chart, before, np.array([measure_path(before)]))
    way = out[0] + last[0]
    way = way / np.hypot(*way) if np.hypot(*way) > 0.1 else out[0]
    chart.sheet.lines([np.stack([feet[0], feet[0] + 2 * _TICK * way])], width=1.3, layer=4.8)
    places = [(*(feet[0] + off * way), _angle(way)) for off in (0.24, 0.33, 0.45)]
    chart.sheet.label(places, f"corner {number}", size=7.0, pad=0.005)
