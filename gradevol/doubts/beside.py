"""Shots beside the slab that are all off those on it: ground outside the forms, perhaps."""

import numpy as np

from gradevol.geometry.places import measure_away
from gradevol.geometry.slopes import slopes_of
from gradevol.geometry.spread import spread_about_median
from gradevol.ground.arrays import FloatArray
from gradevol.ground.notes import Kind, Measure, Note
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface
from gradevol.site.survey import Survey

#: Between these far off the slab a shot was taken beside a form, m. These limits are common
#: practice, no source.
_BESIDE = 0.05, 1.0
#: Fewer shots say nothing; those off the slab are told where they are off by this, m, and by three
#: standard deviations of either.
_FEWEST, _STEP = 3, 0.03


def remark_on_beside(
    survey: Survey, slab: Slab, top: Surface, over: FloatArray
) -> tuple[Note, ...]:
    """
    Remark on shots beside the slab that stand above or below all that is shot on it.

    Parameters
    ----------
    survey : Survey
    slab : Slab
    top : Surface
    over : (n,) array of float
        Height of each shot over the design base, m.

    Returns
    -------
    tuple of Note
        Code ``beside-slab-step``.
    """
    away = measure_away(slab.outline, survey.points[:, :2])
    is_off = (away > _BESIDE[0]) & (away < _BESIDE[1])
    off, on = over[is_off], over[away == 0]
    if min(len(off), len(on)) < _FEWEST:
        return ()
    step = float(np.median(off) - np.median(on))
    # off the slab the design is held level, where the base may go on to fall
    steepest = float(np.nanmax(np.hypot(*slopes_of(top.corners).T)))
    going_on = steepest * float(np.median(away[is_off]))
    least = max(_STEP, 3 * max(map(spread_about_median, (off, on))))
    if abs(step) - going_on < least:
        return ()
    text = (
        f"{len(off)} shots beside the slab are {{}} {'above' if step > 0 else 'below'} those on it "
        "against the design: is that the base, or ground outside the forms? The base leans on them "
        "out to the slab's edge. Leave out what is no base, by base.codes."
    )
    names = tuple(survey.name(index) for index in np.flatnonzero(is_off)[:20])
    return (Note("beside-slab-step", text, (Measure(abs(step), Kind.LEVEL),), points=names),)
