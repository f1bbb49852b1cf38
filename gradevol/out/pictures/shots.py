"""Shots on the map: those that count, those that no longer do, and what of a scan was left out."""

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.arrays import BoolArray, FloatArray, IntArray
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import INK, PAPER, SOFT_INK
from gradevol.out.pictures.marks import label_beside, put_inner_first
from gradevol.out.pictures.sheet import Sheet

#: Shots with ids on the map, at most.
NAMED_SHOTS = 80
#: Shots nearer to one another than this are not drawn: they would hide the map, in.
_LEAST_SPACING = 0.045
#: Crosses nearer to one another than about this would run together, in.
_REMOVED_APART = 0.06
_NAME = 6.5


def draw_shots(chart: Chart) -> int:
    """
    Draw shots as dots and rechecks as diamonds, and ring the suspect ones.

    Parameters
    ----------
    chart : Chart

    Returns
    -------
    int
        How many are drawn: none where they would hide the map. Points of a scan are drawn on the
        slab alone.
    """
    result, sheet = chart.result, chart.sheet
    places = chart.on_paper(result.survey.points)
    is_later = np.isin(np.arange(len(places)), find_later(result))
    is_near = _is_near_map(chart, places)
    if not result.survey.ids:
        is_near &= shapely.intersects_xy(result.slab.outline, *result.survey.points[:, :2].T)
    for suspect in result.suspects:
        at = chart.on_paper(result.survey.points[suspect.index])
        sheet.dots(at[None], size=11, colour="none", edge=PAPER, edge_width=3.2, layer=6.9)
        sheet.dots(at[None], size=11, colour="none", edge=INK, edge_width=1.5, layer=7)
        sheet.room.take(at[0], at[1], 0.16, 0.16)
    spacing = _spacing(chart, int(is_near.sum()))
    if spacing < _LEAST_SPACING:
        return 0
    size = float(np.clip(spacing * 14, 1.6, 3.4))
    edge = 0.5 if size > 2.5 else 0.0
    sheet.dots(places[is_near & ~is_later], size=size, edge=PAPER, edge_width=edge)
    later = places[is_near & is_later]
    sheet.dots(later, size=1.35 * size, mark="D", edge=PAPER, edge_width=edge)
    return int(is_near.sum())


def _is_near_map(chart: Chart, places: FloatArray) -> BoolArray:
    """Whether places on paper, in, lie on the map or in its rim."""
    high = chart.corner + np.ptp(chart.result.slab.edge, axis=0) * chart.scale
    is_near: BoolArray = ((places > chart.corner - 0.4) & (places < high + 0.4)).all(axis=1)
    return is_near


def _spacing(chart: Chart, count: int) -> float:
    return float(np.sqrt(chart.result.slab.area / max(1, count)) * chart.scale)


def find_later(result: Result) -> IntArray:
    """Shots that are rechecks: taken again where the base was reworked."""
    return np.empty(0, np.intp) if result.epochs is None else result.epochs.later


def find_retired(result: Result) -> FloatArray:
    """Places of shots that rechecks have replaced, (r, 2), m about the survey's origin."""
    if result.epochs is None:
        return np.empty((0, 2))
    first = result.epochs.first.about(result.survey.origin)
    return np.asarray(first.points[result.epochs.retired, :2])


def draw_retired(chart: Chart, *, colour: str = SOFT_INK) -> int:
    """Strike through the places of retired shots; returns how many are drawn."""
    places = chart.on_paper(find_retired(chart.result))
    places = places[_is_near_map(chart, places)]
    if len(places) == 0 or _spacing(chart, len(places)) < _LEAST_SPACING:
        return 0
    mark_retired(chart.sheet, places, colour=colour)
    for x, y in places:
        chart.sheet.room.take(x, y, 0.07, 0.07)
    return len(places)


def mark_retired(sheet: Sheet, places: FloatArray, *, colour: str = SOFT_INK) -> None:
    """Draw the sign of a retired shot, in: hollow, so that a copy tells it from a dot."""
    off = np.array([0.045, 0.045])
    strokes = [np.array([at - off, at + off]) for at in places]
    for tone, width, layer in ((PAPER, 2.2, 4.96), (colour, 0.8, 4.97)):
        sheet.dots(places, size=4.6, colour="none", edge=tone, edge_width=width, layer=layer)
        sheet.lines(strokes, width=width, colour=tone, layer=layer)


def find_next(result: Result) -> FloatArray:
    """Places where a shot would tell most, (n, 2), m about the survey's origin."""
    planned = result.next_shots
    places = [] if planned is None else [shot.at for shot in (*planned.thin, *planned.volume)]
    return np.array(places, float).reshape(-1, 2)


def draw_next(chart: Chart) -> None:
    """Draw where to shoot next, and keep words off these places."""
    places = chart.on_paper(find_next(chart.result))
    mark_next(chart.sheet, places)
    for x, y in places:
        chart.sheet.room.take(x, y, 0.1, 0.1)


def mark_next(sheet: Sheet, places: FloatArray) -> None:
    """Draw the triangles of next shots, in."""
    sheet.dots(places, size=5.5, mark="^", colour=PAPER, edge=INK, edge_width=0.9, layer=5.2)


def find_removed(result: Result) -> FloatArray:
    """Places on the slab where points of a cloud were taken away as not base, (r, 2), m."""
    places = result.survey.removed
    if places is None:
        return np.empty((0, 2))
    is_in = shapely.contains_xy(result.slab.outline, places[:, 0], places[:, 1])
    return np.asarray(places[is_in])


def draw_removed(chart: Chart) -> None:
    """Cross where points were taken away, each bit of paper once."""
    places = chart.on_paper(find_removed(chart.result))
    if len(places):
        _, first = np.unique(np.round(places / _REMOVED_APART), axis=0, return_index=True)
        mark_removed(chart.sheet, places[first])


def mark_removed(sheet: Sheet, places: FloatArray) -> None:
    """Draw the crosses, in."""
    for colour, width, layer in ((PAPER, 1.5, 4.9), (INK, 0.6, 4.95)):
        sheet.dots(places, size=3.2, mark="+", edge=colour, edge_width=width, layer=layer)


def label_suspects(chart: Chart) -> None:
    """Put a question mark, and the shot's id, at each suspect shot."""
    survey = chart.result.survey
    for suspect in chart.result.suspects[:NAMED_SHOTS]:
        at = chart.on_paper(survey.points[suspect.index])
        name = f"{survey.ids[suspect.index]} ?" if survey.ids else "?"
        label_beside(chart, at, name, size=8.5, bold=True, halo=2.0)


def take_shots(chart: Chart) -> None:
    """Keep words off the shots."""
    if len(chart.result.survey.points) <= NAMED_SHOTS * 5:
        for x, y in chart.on_paper(chart.result.survey.points):
            chart.sheet.room.take(x, y, 0.05, 0.05)


def label_shots(chart: Chart) -> int:
    """Write the shots' ids beside them, where they are few; returns how many have none."""
    survey = chart.result.survey
    if len(survey.ids) > NAMED_SHOTS:
        return len(survey.ids) - len(chart.result.suspects[:NAMED_SHOTS])
    left_out = 0
    suspect = {suspect.index for suspect in chart.result.suspects}
    places = chart.on_paper(survey.points)
    is_near = _is_near_map(chart, places)
    for index, name in enumerate(survey.ids):
        if is_near[index] and index not in suspect:
            left_out += not _label(chart, places[index], name)
    return left_out


def _label(chart: Chart, at: FloatArray, name: str) -> bool:
    """Write one id close to its dot, or failing that a little off it; whether there was room."""
    wide, _ = chart.sheet.measure(name, _NAME)
    places = []
    for more in (0.0, 0.05):
        off, up = wide / 2 + 0.05 + more, 0.09 + more
        places += [
            (at[0] + a, at[1] + b, 0.0)
            for a, b in (
                (off, 0.05),
                (-off, 0.05),
                (off, -0.05),
                (-off, -0.05),
                (0, up),
                (0, -up),
                (off, 0),
                (-off, 0),
            )
        ]
    places = put_inner_first(chart, places, wide)
    return chart.sheet.label(places, name, size=_NAME, pad=0.0, halo=1.3, layer=6)
