"""What many tests build of arrays: plain rings, turned places, and what a check makes of shots."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from gradevol.geometry.prisms import plan_area
from gradevol.ground.arrays import FloatArray
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import measure_concrete
from gradevol.measures.field import ThicknessField
from gradevol.measures.overlaid import build_field
from gradevol.site.beyond import extend_level
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface, build_surface
from gradevol.site.survey import Survey
from gradevol.site.top import Design, Level, build_top
from gradevol.uncertainty.interpolation import Between, fit_between
from gradevol.uncertainty.interval import Interval, estimate_interval

LEVEL = Level(0.15)


def box(west: float, south: float, east: float, north: float) -> FloatArray:
    """Ring of a rectangle, (4, 2)."""
    return np.array([[west, south], [east, south], [east, north], [west, north]], float)


def grid(east: ArrayLike, north: ArrayLike) -> FloatArray:
    """Places at each of some eastings, row by row to the north, (n, 2)."""
    return np.stack(np.meshgrid(east, north), axis=-1).reshape(-1, 2).astype(float)


def turned(places: FloatArray, angle: float) -> FloatArray:
    """Places (..., 2 or more) turned about the origin, clockwise, radians."""
    cosine, sine = np.cos(angle), np.sin(angle)
    plan = places[..., :2] @ np.array([[cosine, sine], [-sine, cosine]])
    return np.concatenate([plan, places[..., 2:]], axis=-1)


def volume_under(surface: Surface) -> float:
    """Volume between a surface and level 0."""
    corners = surface.corners
    return float((plan_area(corners) * corners[..., 2].mean(axis=1)).sum())


def field_of(shots: FloatArray, slab: Slab, top: Design = LEVEL) -> ThicknessField:
    """Thickness over shots, which stays level beyond them."""
    base = extend_level(build_surface(shots), slab.outline)
    return build_field(base, build_top(top, slab).surface, slab)


@dataclass(frozen=True)
class Seen:
    """What a survey shows of a slab under a level top, and what may lie between its shots."""

    field: ThicknessField
    between: Between
    interval: Interval


def see(survey: Survey, slab: Slab, **rest: Any) -> Seen:
    """See what a check sees; what else the interval is told is `rest`."""
    top = build_top(LEVEL, slab)
    base = build_base(MeasuredBase(survey), slab, top)
    field = build_field(base.surface, top.surface, slab)
    concrete = measure_concrete(field, slab)
    between = fit_between(field, base, survey, top, slab, concrete=concrete)
    interval = estimate_interval(field, base, survey, between, stated=concrete.volume, **rest)
    return Seen(field, between, interval)
