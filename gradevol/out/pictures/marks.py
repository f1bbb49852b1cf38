"""What is marked on the map: spots, what is cast in, what no shot surrounds."""

import numpy as np
import shapely

from gradevol.ground.arrays import FloatArray
from gradevol.measures.contours import area_above, join_rings, outline_beyond
from gradevol.measures.spots import Spot
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import ALERT, INK, PAPER
from gradevol.site.thickening import outline_at

HATCH = 0.065
_TEXTURE = 0.085
_LABELLED_SPOTS = 8
_SPOTS_APART = 0.45
#: Dashes, points.
HIGH, LOW, THICKENING = (2.6, 1.5), (6.0, 1.6, 1.0, 1.6), (9.0, 3.0)


def draw_beyond(chart: Chart) -> bool:
    """Dot the part of the slab that no shot surrounds; returns whether there is one."""
    if chart.result.field.is_surveyed.all():
        return False
    area = outline_beyond(chart.result.field)
    west, south, east, north = area.bounds
    low, high = chart.on_paper(np.array([(west, south), (east, north)]))
    places = texture(low, high)
    ground = (places - chart.corner) / chart.scale + chart.origin
    is_in = shapely.contains_xy(area, ground[:, 0], ground[:, 1])
    chart.sheet.dots(places[is_in], size=1.5, colour=INK, alpha=0.55, layer=2)
    return True


def texture(low: FloatArray, high: FloatArray) -> FloatArray:
    """Places of a staggered texture of dots between two corners, in: (n, 2)."""
    east = np.arange(low[0], high[0] + _TEXTURE, _TEXTURE)
    north = np.arange(low[1], high[1] + _TEXTURE, _TEXTURE / 2)
    across, up = np.meshgrid(east, north)
    across[1::2] += _TEXTURE / 2
    return np.column_stack([across.ravel(), up.ravel()])


def hatch(area: shapely.Geometry) -> list[FloatArray]:
    """Slanting lines across an area on paper, in."""
    west, south, east, north = area.bounds
    reach = north - south
    first, step = west - reach, HATCH * np.sqrt(2)
    starts = np.arange(np.floor(first / step) * step, east, step)
    ends = np.array([[(s, south), (s + reach, north)] for s in starts])
    cut = shapely.intersection(shapely.multilinestrings(ends), area)
    return [shapely.get_coordinates(line) for line in shapely.get_parts(cut) if line.length > 0.01]


def draw_spots(chart: Chart) -> list[FloatArray]:
    """Outline what is high and low, hatch and outline what is thin; returns all outlines, in."""
    result, sheet, slab = chart.result, chart.sheet, chart.result.slab
    within = chart.rings_on_paper(slab.outline) if chart.is_mean else None
    drawn: list[FloatArray] = []
    for spots, dashes, off, tolerance in (
        (result.low, LOW, 1, slab.base_low),
        (result.high, HIGH, -1, slab.base_high),
    ):
        if spots is None or tolerance is None:
            continue
        lines = (
            [line for line in chart.level_lines(slab.thickness + off * tolerance) if len(line) > 6]
            if chart.is_mean
            else [ring for spot in spots.listed for ring in _rings(chart, spot)]
        )
        sheet.lines(lines, width=1.2, dashes=dashes, casing=0.9, layer=4, within=within)
        drawn += lines
    if chart.is_mean:
        thin = area_above(chart.corners, -chart.value, -slab.least_thickness)
        found = [chart.rings_on_paper(shapely.intersection(thin, slab.outline))]
    else:
        found = [_rings(chart, spot) for spot in result.thin.listed]
    for rings in filter(None, found):
        sheet.lines(hatch(join_rings(rings)), width=0.8, layer=4.2)
        closed = [np.vstack([ring, ring[:1]]) for ring in rings]
        sheet.lines(closed, width=1.9, colour=ALERT, casing=0.7, layer=4.4)
        drawn += closed
    return drawn


def _rings(chart: Chart, spot: Spot) -> list[FloatArray]:
    """Outline of a spot, each ring closed, in."""
    return [chart.on_paper(np.vstack([ring, ring[:1]])) for ring in spot.rings]


def label_spots(chart: Chart) -> bool:
    """
    Say the least thickness of thin spots and how far off the largest others are.

    Returns
    -------
    bool
        Whether a place that is thinnest is marked; at a suspect shot its ring is enough.
    """
    result, sheet, units = chart.result, chart.sheet, chart.result.units
    suspects = [chart.on_paper(result.survey.points[suspect.index]) for suspect in result.suspects]
    said: list[FloatArray] = []
    is_marked = False
    for spot in result.thin.listed:
        at = chart.on_paper(np.array(spot.at))
        if not _is_near(at, suspects, 0.05):
            is_marked = True
            sheet.dots(at[None], size=5.5, mark="x", colour=ALERT, edge_width=1.6, layer=7)
            sheet.room.take(at[0], at[1], 0.1, 0.1)
        if len(said) < _LABELLED_SPOTS and not _is_near(at, said, _SPOTS_APART):
            text = units.say_thickness(spot.worst, down=True)
            label_beside(chart, at, text, size=8.5, bold=True, colour=ALERT, plate=True)
            said.append(at)
    for spots, word in ((result.high, "high"), (result.low, "low")):
        by_volume = sorted(spots.listed, key=lambda spot: -spot.volume) if spots else []
        for spot in by_volume[:_LABELLED_SPOTS]:
            at = chart.on_paper(np.array(spot.at))
            if spot.area * chart.scale**2 > 0.03 and not _is_near(at, said, _SPOTS_APART):
                text = f"{word} {units.say_thickness(spot.worst)}"
                label_beside(chart, at, text, size=7.5, plate=True)
                said.append(at)
    return is_marked


def _is_near(at: FloatArray, others: list[FloatArray], reach: float) -> bool:
    return any(float(np.hypot(*(at - other))) < reach for other in others)


def label_beside(chart: Chart, at: FloatArray, text: str, **style: object) -> bool:
    """Write about a place, near it: above, below, beside; on the slab rather than off it."""
    sheet = chart.sheet
    size = float(style.get("size", 8.0))  # type: ignore[arg-type]
    wide, high = sheet.measure(text, size, bold=bool(style.get("bold", False)))
    places = []
    for off in (0.06, 0.12, 0.2):
        up, across = off + high / 2 + 0.02, off + wide / 2 + 0.02
        places += [
            (at[0] + a, at[1] + b, 0.0)
            for a, b in (
                (0, up),
                (0, -up),
                (across, 0),
                (-across, 0),
                (across, up),
                (-across, up),
                (across, -up),
                (-across, -up),
            )
        ]
    return sheet.label(put_inner_first(chart, places, wide), text, **style)  # type: ignore[arg-type]


def put_inner_first(
    chart: Chart, places: list[tuple[float, float, float]], wide: float
) -> list[tuple[float, float, float]]:
    """Places for words, in, those first where all of the words would lie on the slab."""
    ends = np.array([[(x - wide / 2, y), (x + wide / 2, y)] for x, y, _ in places])
    ground = (ends - chart.corner) / chart.scale + chart.origin
    slab = chart.result.slab.outline
    is_off = ~shapely.contains_xy(slab, ground[..., 0], ground[..., 1]).all(axis=1)
    return [places[number] for number in np.argsort(is_off, kind="stable")]


def draw_cast_in(chart: Chart) -> None:
    """Draw openings, thickenings and conduits."""
    slab, sheet = chart.result.slab, chart.sheet
    for part in slab.thickenings:
        area = outline_at(part, slab, out=part.side_slope * part.depth)
        rings = [np.vstack([ring, ring[:1]]) for ring in chart.rings_on_paper(area)]
        sheet.lines(rings, width=0.9, dashes=THICKENING, layer=3.6)
    for void in slab.voids:
        if void.line is not None:
            path = chart.on_paper(void.line)
            sheet.lines([path], width=3.0, layer=4.5)
            sheet.lines([path], width=1.4, colour=PAPER, layer=4.51)
            sheet.room.take_line(path)
    for cover in chart.result.cover:
        if cover.short > 0:
            at = chart.on_paper(np.array(cover.at))
            sheet.dots(
                at[None], size=6, mark="X", colour=PAPER, edge=ALERT, edge_width=1.2, layer=7
            )
            text = f"cover {chart.result.units.say_thickness(cover.least, down=True)}"
            sheet.room.take(at[0], at[1], 0.1, 0.1)
            label_beside(chart, at, text, size=8.0, bold=True, colour=ALERT, plate=True)
