"""plan.png: the slab from above, coloured by the thickness of its concrete."""

from pathlib import Path

import numpy as np

from gradevol.answer.result import Result
from gradevol.out.pictures import key, key_marks, marks, shots, water
from gradevol.out.pictures.bands import choose_bands
from gradevol.out.pictures.chart import MEAN_OVER, draw_thickness, label_lines, open_chart
from gradevol.out.pictures.layout import lay_out
from gradevol.out.pictures.sheet import DPI, Sheet
from gradevol.out.pictures.sides import draw_edge
from gradevol.out.pictures.words import draw_foot, draw_head


def draw_plan(result: Result, path: Path, *, dpi: int = DPI) -> None:
    """
    Draw the plan: thickness, spots, shots, and what a crew tapes from.

    Parameters
    ----------
    result : Result
    path : Path
        Of the PNG.
    dpi : int
        Dots an inch; the sheet is at most ten inches long.
    """
    bands = choose_bands(result)
    low, high = result.slab.edge.min(axis=0), result.slab.edge.max(axis=0)
    width, height = (high - low).tolist()
    scratch = Sheet.blank(1, 1)
    is_beyond = not bool(result.field.is_surveyed.all())
    drainage = result.drainage
    fullest = key_marks.list_entries(
        result,
        is_beyond=is_beyond,
        is_marked=bool(result.thin.listed),
        shots=key_marks.Shown(1, len(result.survey.ids), len(shots.find_retired(result))),
        water=(drainage is not None, drainage is not None),
        tick=1.0,
        mean=0.1,
    )
    blocks = (key.scale_size(bands), key.entries_size(scratch, fullest), key.north_size())
    layout = lay_out((width, height), blocks)
    sheet = Sheet.blank(layout.width, layout.height)
    chart = open_chart(sheet, result, bands, scale=layout.scale, corner=layout.map_corner)
    named = draw_thickness(chart)
    marks.draw_beyond(chart)
    tick = draw_edge(chart)
    has_flat = water.draw_flat(chart)
    retired = shots.draw_retired(chart)
    shots.draw_next(chart)
    drawn = shots.draw_shots(chart)
    if drawn:
        shots.take_shots(chart)
    shots.draw_removed(chart)
    marks.draw_cast_in(chart)
    spots = marks.draw_spots(chart)
    is_marked = marks.label_spots(chart)
    shots.label_suspects(chart)
    water.label_flat(chart)
    unnamed = shots.label_shots(chart)
    label_lines(chart, named)
    entries = key_marks.list_entries(
        result,
        is_beyond=is_beyond,
        is_marked=is_marked,
        shots=key_marks.Shown(drawn, unnamed, retired),
        water=(water.draw_arrows(chart, around=spots) > 0, has_flat),
        tick=tick,
        mean=MEAN_OVER / chart.scale if chart.is_mean else None,
    )
    draw_head(sheet, result.title, say_facts(result))
    key.draw_scale(sheet, layout.blocks[0], bands, result)
    key.draw_entries(sheet, layout.blocks[1], entries)
    key.draw_north(sheet, layout.blocks[2], result, layout.scale)
    draw_foot(sheet)
    sheet.save(path, dpi=dpi)


def say_facts(result: Result) -> str:
    """Say what the picture shows and what it rests on, in two sentences."""
    units = result.units
    count = result.survey.count
    what = "points of a cloud" if not result.survey.ids else "shots"
    return (
        f"Thickness of concrete over the base as surveyed. {count:,} {what} "
        f"cover {np.floor(1000 * result.coverage + 1e-6) / 10:g} % of the slab. "
        f"Least {units.say_thickness(result.thickness.min, down=True)}, "
        f"mean {units.say_thickness(result.thickness.mean)}."
    )
