"""Trenches that the shots are to show: between a bottom and a base that were shot, no wall."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.prisms import integral
from gradevol.ground.arrays import FloatArray
from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import list_of
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab, Thickening
from gradevol.site.thickening import outline_at, volume_as_drawn
from gradevol.site.top import Top
from gradevol.site.trench import dug_at

#: What walls that nobody shot are worth is told from this share of the concrete on, and of those
#: trenches that have at least this part of what the worst has. Ours.
_SHARE, _PART = 0.02, 0.1
#: Of more shots than this some stand at every edge.
_MOST = 20_000


def remark_on_walls(measured: MeasuredBase, slab: Slab, top: Top, volume: float) -> Iterator[Note]:
    """
    Remark on trenches with ``surveyed = true`` whose edges no shot shows.

    Parameters
    ----------
    measured : MeasuredBase
    slab : Slab
    top : Top
    volume : float
        The concrete, m³.

    Yields
    ------
    Note
        Code ``trench-walls-unshot``, with what the straight line from shot to shot makes of
        trenches that each shot found as drawn: of those that are too large, and too small.
    """
    parts = [part for part in slab.thickenings if part.surveyed == "yes"]
    survey = measured.survey
    if not parts or not survey.ids or len(survey.points) > _MOST:
        return
    depth = dug_at(survey.points, top.surface, slab)
    dug = shapely.MultiPoint(survey.points[depth > 0, :2])
    # where no shot is on the bottom (`no-trench-shots`) that is to be shot first
    parts = [part for part in parts if outline_at(part, slab, out=0.0).intersects(dug)]
    if not parts:
        return
    try:
        over = _measure_as_drawn(measured, slab, top, parts, depth)
    except GeometryError:  # breaklines that cross are told where the base is built
        return
    for way, size in ((1, "much"), (-1, "little")):
        off = np.maximum(way * over, 0.0)
        if off.sum() <= _SHARE * max(volume, 0.0):
            continue
        is_told = off >= _PART * off.max()
        names = [part.name for part, is_one in zip(parts, is_told, strict=True) if is_one]
        whose = "their" if len(names) > 1 else "its"
        text = (
            f"Shoot the foot and the upper edge of {escape(list_of(names))}: from the bottom to "
            f"the next shot the base is taken straight, which makes {{}} too {size} if all is dug "
            f'as drawn. Or set {whose} surveyed to "departure": {whose} walls then count as drawn.'
        )
        yield Note("trench-walls-unshot", text, (Measure(float(off[is_told].sum()), Kind.VOLUME),))


def _measure_as_drawn(
    measured: MeasuredBase, slab: Slab, top: Top, parts: list[Thickening], depth: FloatArray
) -> FloatArray:
    """How much too large each trench (k,) is over a base dug as deep as each shot (n,), m³."""
    survey = measured.survey
    points = np.column_stack([survey.points[:, :2], -slab.thickness - depth])
    flat = replace(top.surface, points=top.surface.points * (1, 1, 0))
    base = build_base(
        replace(measured, survey=replace(survey, points=points)), slab, replace(top, surface=flat)
    )
    field = build_field(base.surface, flat, slab)
    deeper = integral(field.area, field.thickness - slab.thickness)
    trenches = shapely.STRtree([outline_at(part, slab, out=0.0) for part in parts])
    middle = shapely.points(field.corners.mean(axis=1))
    of = trenches.query_nearest(middle, all_matches=False)[1]
    drawn = [volume_as_drawn(part, slab) for part in parts]
    return np.bincount(of, deeper, minlength=len(parts)) - np.array(drawn)
