"""plan.png: the slab from above, coloured by the thickness of its concrete."""

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from gradevol.answer.drawing import Drawing
from gradevol.answer.drawing.as_built import Mark
from gradevol.out.pictures import key, marks, shots, water
from gradevol.out.pictures.chart import Chart, draw_thickness, label_lines
from gradevol.out.pictures.layout import Layout, lay_out
from gradevol.out.pictures.sheet import Sheet
from gradevol.out.pictures.sides import draw_edge
from gradevol.out.pictures.widths import DPI
from gradevol.out.pictures.words import draw_foot, draw_head

#: Room in the key for what is said of means: a slab's sheet does not turn over for them, in.
_MEANS = 0.345
#: Marks of the sheet's map that the plan does without.
_NOT_HERE = ("work", "tape")


def draw_plan(drawing: Drawing, path: Path, *, cores: Sequence[Mark] = (), dpi: int = DPI) -> None:
    """
    Draw the plan: thickness, spots, shots, and what a crew tapes from.

    Parameters
    ----------
    drawing : Drawing
    path : Path
        Of the PNG.
    cores : sequence of Mark
        Cores of a slab as built.
    dpi : int
        Dots an inch; the sheet is at most ten inches long.
    """
    layout = _lay_out(drawing)
    sheet = Sheet.blank(layout.width, layout.height)
    chart = Chart(sheet, drawing, layout.scale, np.array(layout.map_corner))
    entries = _draw_map(chart, cores)
    draw_head(sheet, drawing.title, drawing.captions.facts)
    key.draw_scale(sheet, layout.blocks[0], drawing)
    key.draw_entries(sheet, layout.blocks[1], entries)
    key.draw_north(sheet, layout.blocks[2], drawing, layout.scale)
    draw_foot(sheet)
    sheet.save(path, dpi=dpi)


def _lay_out(drawing: Drawing) -> Layout:
    """Lay the sheet out for the longest key that the map may want."""
    unnamed = {"shot": len(drawing.shots.names)}
    longest = key.list_entries(drawing, tick=key.LONGEST_TICK, unnamed=unnamed, hidden=_NOT_HERE)
    wide, high = key.entries_size(Sheet.blank(1, 1), longest)
    if drawing.relief.square is None:
        high += _MEANS
    width, height = drawing.slab.size.tolist()
    blocks = (key.scale_size(drawing), (wide, high), key.north_size())
    return lay_out((width, height), blocks)


def _draw_map(chart: Chart, cores: Sequence[Mark]) -> list[key.Entry]:
    """Draw the map, from the ground up; returns the key of what it shows."""
    named = draw_thickness(chart)
    marks.draw_beyond(chart)
    tick = draw_edge(chart)
    marks.draw_flush(chart)
    has_flat = water.draw_flat(chart)
    retired = shots.draw_retired(chart)
    shots.draw_next(chart)
    drawn = shots.draw_shots(chart)
    shots.draw_removed(chart)
    marks.draw_cast_in(chart)
    relief = chart.drawing.relief
    spots = marks.draw_spots(chart, relief.thin, relief.high, relief.low)
    # what must be found is named first: lesser words give way to it
    left = {"suspect": shots.name_suspects(chart), "next": shots.name_next(chart)}
    marks.label_openings(chart)
    marks.label_covers(chart)
    marks.draw_cores(chart, cores)
    is_marked = marks.label_spots(chart)
    water.label_flat(chart)
    left["shot"] = shots.label_shots(chart)
    label_lines(chart, named)
    arrows = water.draw_arrows(chart, around=spots)
    is_there = {
        "worst": is_marked,
        "shot": drawn,
        "later": drawn,
        "retired": retired,
        "flat": has_flat,
        "arrow": arrows,
    }
    hidden = [*_NOT_HERE, *(mark for mark, there in is_there.items() if not there)]
    return key.list_entries(chart.drawing, tick=tick, unnamed=left, hidden=hidden)
