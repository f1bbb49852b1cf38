"""Placing: where words may stand beside what they are about."""

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np

from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.colours import INK, PAPER
from gradevol.out.pictures.sheet import Place, Sheet

#: Height of a capital of its line's.
_CAPITAL = 0.8
#: Ways from a place to words about it, each as (across, up), the best first.
Ways: TypeAlias = Sequence[tuple[float, float]]

ABOVE_FIRST: Ways = ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))
ASIDE_FIRST: Ways = ((1, 0.6), (-1, 0.6), (1, -0.6), (-1, -0.6), (0, 1), (0, -1), (1, 0), (-1, 0))
LEVEL: Ways = ((1, 0), (-1, 0))
ALL_AROUND: Ways = (*LEVEL, (1, 1), (0, 1), (-1, 1), (1, -1), (0, -1), (-1, -1))
#: At the end of a line there are more.
_FAR_AROUND: Ways = (
    *ALL_AROUND,
    *((right * share, up) for up in (1, -1) for share in (0.5, 0.25) for right in (1, -1)),
    *((right, up * share) for right in (1, -1) for share in (0.5, 0.25) for up in (1, -1)),
)


def beside(
    at: FloatArray, size: tuple[float, float], offs: Sequence[float], ways: Ways
) -> list[Place]:
    """Middles of words of a size beside a place (2,), so far off it, in; the nearest first."""
    half = np.array(size) / 2
    return [
        (float(x), float(y), 0.0) for off in offs for x, y in at + np.array(ways) * (off + half)
    ]


def put_inner_first(chart: Chart, places: Sequence[Place], wide: float) -> list[Place]:
    """Places for words, those first where all of the words would lie on the slab."""
    is_off = ~are_on_slab(chart, places, wide)
    return [places[number] for number in np.argsort(is_off, kind="stable")]


def are_on_slab(chart: Chart, places: Sequence[Place], wide: float) -> BoolArray:
    """Whether words of a width, in, lie on the slab at each of the places, (n,)."""
    half = np.array([wide / 2, 0.0])
    ends = np.array(places)[:, None, :2] + [-half, half]
    return np.asarray(chart.is_on_slab(ends).all(axis=1))


def label_beside(
    chart: Chart,
    at: FloatArray,
    text: str,
    *,
    size: float,
    offs: Sequence[float] = (0.08, 0.14, 0.22),
    ways: Ways = ABOVE_FIRST,
    bold: bool = False,
    is_inside: bool = False,
    **style: Any,
) -> bool:
    """
    Write about a place, in, near it; whether it had room.

    On the slab rather than off it, and where `is_inside` nowhere else.
    """
    wide, high = chart.sheet.measure(text, size, bold=bold)
    places = beside(at, (wide, high), offs, ways)
    if is_inside:
        is_on = are_on_slab(chart, places, wide)
        places = [place for place, is_held in zip(places, is_on, strict=True) if is_held]
    else:
        places = put_inner_first(chart, places, wide)
    return chart.sheet.label(places, text, size=size, bold=bold, **style)


#: From a place to its name: near enough to be its own, or at the end of a line that leads to it.
_NEAR, _FAR = (0.1, 0.16), (0.26, 0.36, 0.5, 0.66, 0.84, 1.05, 1.3)


def name_place(chart: Chart, at: FloatArray, text: str, *, size: float, colour: str = INK) -> bool:
    """Write a name that must be found about a place of a map, on the slab rather than off it."""
    return name_on_sheet(chart.sheet, at, text, size=size, colour=colour, chart=chart)


def name_on_sheet(
    sheet: Sheet,
    at: FloatArray,
    text: str,
    *,
    size: float,
    colour: str = INK,
    chart: Chart | None = None,
) -> bool:
    """
    Write a name that must be found about a place, in: near it, or with a line that leads to it.

    Returns
    -------
    bool
        Whether it had room; it is looked for over an inch away.
    """
    wide, high = sheet.measure(text, size, bold=True)
    high *= _CAPITAL
    half = np.array([wide, high]) / 2
    far = [((off,), of_names) for of_names in (True, False) for off in _FAR]
    for offs, of_names in [(_NEAR, True), *far]:
        is_led = offs != _NEAR
        places = beside(at, (wide, high), offs, _FAR_AROUND if is_led else ALL_AROUND)
        if chart is not None:
            places = put_inner_first(chart, places, wide)
        leaders = {
            place: np.array([at, np.clip(at, place[:2] - half, place[:2] + half)])
            for place in places
        }
        if is_led:  # across no words; rather across other names than nowhere
            places = [
                place for place in places if sheet.room.is_clear(leaders[place], of_names=of_names)
            ]
        found = sheet.room.find(places, wide + 0.04, high + 0.04, is_name=True)
        if found is None:
            continue
        if is_led:
            lead(sheet, leaders[found])
        sheet.write(
            *found[:2], text, size=size, bold=True, colour=colour, across="center", halo=2.0
        )
        return True
    return False


def lead(sheet: Sheet, leader: FloatArray) -> None:
    """Draw the line that leads from a place to its words, (2, 2), in."""
    for width, colour, layer in ((2.8, PAPER, 6.7), (0.8, INK, 6.71)):
        sheet.lines([leader], width=width, colour=colour, layer=layer)
    sheet.room.take_line(leader)
