"""Placing: where words may stand beside what they are about."""

from collections.abc import Sequence
from typing import Any, TypeAlias

import numpy as np

from gradevol.ground.arrays import BoolArray, FloatArray
from gradevol.out.pictures.chart import Chart
from gradevol.out.pictures.sheet import Place

#: Ways from a place to words about it, each as (across, up), the best first.
Ways: TypeAlias = Sequence[tuple[float, float]]

ABOVE_FIRST: Ways = ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1))
ASIDE_FIRST: Ways = ((1, 0.6), (-1, 0.6), (1, -0.6), (-1, -0.6), (0, 1), (0, -1), (1, 0), (-1, 0))
LEVEL: Ways = ((1, 0), (-1, 0))
ALL_AROUND: Ways = (*LEVEL, (1, 1), (0, 1), (-1, 1), (1, -1), (0, -1), (-1, -1))


def beside(
    at: FloatArray, size: tuple[float, float], offs: Sequence[float], ways: Ways
) -> list[Place]:
    """
    Middles of words beside a place, the nearest first.

    Parameters
    ----------
    at : (2,) array of float
        in.
    size : (float, float)
        Width and height of the words, in.
    offs : sequence of float
        From the place to the words, in.
    ways : sequence of (float, float)
    """
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
    **style: Any,
) -> bool:
    """Write about a place, in, near it and on the slab rather than off it; whether it had room."""
    wide, high = chart.sheet.measure(text, size, bold=bold)
    places = put_inner_first(chart, beside(at, (wide, high), offs, ways), wide)
    return chart.sheet.label(places, text, size=size, bold=bold, **style)
