"""Depths measured down from the top: hung from it, they are elevations of the base."""

from dataclasses import replace

import numpy as np
import shapely

from gradevol.geometry.nearest import find_nearest, nearest_level, stands_on_step
from gradevol.ground.errors import InputError
from gradevol.ground.notes import Note, escape
from gradevol.ground.words import count_of, first_of
from gradevol.site.panels import PANEL_TOLERANCE
from gradevol.site.slab import Slab
from gradevol.site.surface import Surface
from gradevol.site.survey import Survey

#: Depths measured just outside of the slab are hung from the top at its edge, m.
REACH = 0.3
_SHOWN = 12


def hang_depths(survey: Survey, top: Surface, slab: Slab) -> Survey:
    """
    Put the base of a survey of depths below the top.

    Parameters
    ----------
    survey : Survey
        Any other survey than one of depths is returned as it is.
    top : Surface
        The design top; it tiles the slab.
    slab : Slab

    Returns
    -------
    Survey
        Its elevations are the top's less its depths. Where a depth was taken up to `REACH`
        outside, that is the top of the nearest place of the slab, and a note says so.

    Raises
    ------
    InputError
        If a depth was taken farther out than that, or where the top steps.
    """
    if survey.depths is None:
        return survey
    plan = survey.points[:, :2]
    away = shapely.distance(slab.outline, shapely.points(plan))
    if far := [survey.name(int(index)) for index in np.flatnonzero(away > REACH)]:
        raise InputError(
            f"{count_of(len(far), 'depth')} measured outside of the slab, where there is no top "
            f"to measure down from: {first_of(far, _SHOWN)}",
            remedy="Take them out, or check the place of the sheet (origin, spacing, bearing) or "
            "of the points",
        )
    feet = find_nearest(top.corners, plan)[1]  # of those just outside, on the slab's edge
    if torn := [survey.name(int(at)) for at in np.flatnonzero(stands_on_step(top.corners, feet))]:
        raise InputError(
            f"{count_of(len(torn), 'depth')} measured just where the top steps, and nothing says "
            f"from which of its two levels: {first_of(torn, _SHOWN)}",
            remedy="Give each a place a hand's breadth off the step, on the side of the level that "
            "it was measured down from",
        )
    points = np.column_stack([plan, nearest_level(top.corners, plan) - survey.depths])
    notes = survey.notes
    if near := [survey.name(int(index)) for index in np.flatnonzero(away > PANEL_TOLERANCE)]:
        names = escape(first_of(near, _SHOWN))
        text = f"Measured just outside of the slab, and hung from the top at its edge: {names}."
        notes = (*notes, Note("depths-beyond-edge", text, points=tuple(near)))
    return replace(survey, points=points, notes=notes)
