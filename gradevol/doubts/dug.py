"""Trenches that the shots are to show: between a bottom and a base that were shot, no wall."""

from dataclasses import replace

import numpy as np

from gradevol.ground.errors import GeometryError
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import list_of
from gradevol.measures.base import MeasuredBase, build_base
from gradevol.measures.concrete import Concrete, measure_concrete
from gradevol.measures.overlaid import build_field
from gradevol.site.slab import Slab
from gradevol.site.top import Top
from gradevol.site.trench import dug_at

#: What walls that nobody shot are worth is told from this share of the concrete on. Ours.
_SHARE = 0.02
#: Of more shots than this some stand at every edge.
_MOST = 20_000


def remark_on_walls(
    measured: MeasuredBase, slab: Slab, top: Top, volume: float
) -> tuple[Note, ...]:
    """
    Remark on trenches with ``surveyed = true`` whose edges no shot shows.

    Parameters
    ----------
    measured : MeasuredBase
    slab : Slab
    top : Top
    volume : float
        The concrete, m³.

    Returns
    -------
    tuple of Note
        Code ``trench-walls-unshot``, with what the straight line from shot to shot makes of a
        trench that each shot found as drawn.
    """
    names = [part.name for part in slab.thickenings if part.surveyed == "yes"]
    survey = measured.survey
    if not names or not survey.ids or len(survey.points) > _MOST:
        return ()
    try:
        found = _measure_as_drawn(measured, slab, top)
    except GeometryError:  # breaklines that cross are told where the base is built
        return ()
    over = found.volume - found.drawn
    if abs(over) < _SHARE * volume:
        return ()
    text = (
        f"Shoot the foot and the upper edge of {escape(list_of(names))}: from the bottom to the "
        f"next shot the base is taken straight, which makes {{}} too "
        f"{'much' if over > 0 else 'little'} if all is dug as drawn. Or set its surveyed to "
        '"departure": its walls then count as drawn.'
    )
    return (Note("trench-walls-unshot", text, (Measure(abs(over), Kind.VOLUME),)),)


def _measure_as_drawn(measured: MeasuredBase, slab: Slab, top: Top) -> Concrete:
    """Concrete under a flat top over a base that each shot found as drawn."""
    survey = measured.survey
    under = slab.thickness + dug_at(survey.points, top.surface, slab)
    points = np.column_stack([survey.points[:, :2], -under])
    flat = replace(top.surface, points=top.surface.points * (1, 1, 0))
    base = build_base(
        replace(measured, survey=replace(survey, points=points)), slab, replace(top, surface=flat)
    )
    return measure_concrete(build_field(base.surface, flat, slab), slab)
