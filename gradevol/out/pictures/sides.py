"""The slab's edge on the map: heavy, with the numbers of its sides and ticks to tape from."""

import numpy as np

from gradevol.ground.arrays import FloatArray
from gradevol.ground.units import METRES
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import SOFT_INK
from gradevol.out.pictures.hatching import close

#: Ticks nearer than this run together, in.
_LEAST_TICK = 0.055
_TICK, _TICK_NUMBERS = 0.07, 0.42
#: Of the labels of a rod sheet, points.
_ROWS = 7.5
#: Sides with a number are at least this long, in.
_NUMBERED = 0.2
#: An edge with more sides than this has arcs: only its longer sides have a number, in.
_MANY, _NUMBERED_OF_MANY = 24, 0.6
#: Steps that a tape is read at, in the job's unit of length.
_METRES = (0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 5000)
_FEET = (5, 10, 20, 50, 100, 200, 500, 1000, 5000, 20000)


def draw_edge(chart: Chart) -> float | None:
    """
    Draw the slab's edge, its openings, the numbers of its sides and ticks along them.

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
    sides = chart.on_paper(slab.sides)
    _label_lattice(chart)
    ticked = [_draw_ticks(chart, side, step) for side in sides]
    for number, side in enumerate(sides, start=1):
        _write_number(chart, number, side)
    return step if any(ticked) else None


def _directions(side: FloatArray, turn: float) -> tuple[float, FloatArray, FloatArray, float]:
    """Length of a side, in, the way along it and outwards, and the angle of words beside it."""
    along = side[1] - side[0]
    length = float(np.hypot(*along))
    along = along / length
    angle = float((np.degrees(np.arctan2(along[1], along[0])) + 89.9) % 180 - 89.9)
    return length, along, turn * np.array([along[1], -along[0]]), angle


def _draw_ticks(chart: Chart, side: FloatArray, step: float) -> bool:
    """Ticks along one side from its first corner, some with their distance; whether it has any."""
    sheet, units = chart.sheet, chart.drawing.units
    length, along, out, angle = _directions(side, chart.drawing.slab.turn)
    spacing = step * chart.scale
    if length < 2 * spacing:
        return False
    feet = side[0] + np.arange(0, length + 1e-9, spacing)[:, None] * along
    ticks = np.stack([feet, feet + _TICK * out], axis=1)
    sheet.lines(list(ticks), width=0.7, layer=4.6)
    for tick in ticks:
        sheet.room.take_line(tick)
    if chart.drawing.lattice.lines:
        return True  # the rod sheet's own labels stand there
    every = next((k for k in (1, 2, 5, 10, 20, 50) if k * spacing >= _TICK_NUMBERS), 100)
    for number in range(every, len(feet), every):
        if length - number * spacing > 0.12:
            where = feet[number] + 0.145 * out
            text = f"{units.to_length(number * step):g}"
            sheet.label([(*where, angle)], text, size=7.0, colour=SOFT_INK, pad=0.005)
    return True


def _label_lattice(chart: Chart) -> None:
    """Write the labels of a rod sheet's rows and columns outside both ends of each."""
    sides = chart.on_paper(chart.drawing.slab.sides)
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


def _write_number(chart: Chart, number: int, side: FloatArray) -> None:
    """Number of one side just outside it, and what stands there where the job says so."""
    slab = chart.drawing.slab
    length, along, out, angle = _directions(side, slab.turn)
    if length < (_NUMBERED if len(slab.edge) <= _MANY else _NUMBERED_OF_MANY):
        return
    said = [f"side {number}"]
    if number <= len(slab.names) and slab.names[number - 1]:
        said.insert(0, f"side {number}: {slab.names[number - 1]}")
    places = [
        (*(side[0] + share * length * along + off * out), angle)
        for off in (0.33, 0.4)
        for share in (0.5, 0.4, 0.6, 0.25, 0.75)
    ]
    for text in said:
        if chart.sheet.label(places, text, size=8.5, bold=True):
            break
