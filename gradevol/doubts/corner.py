"""A corner that the slab's edge may lack: shots fill a triangle beside one of its sides."""

import numpy as np
import shapely

from gradevol.geometry.neighbours import measure_nearest
from gradevol.geometry.places import measure_away
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.measures.base import MeasuredBase
from gradevol.site.slab import Slab

#: Shots so far off the slab, m, were not taken just beyond a form; so many of them, and such a
#: share of all, fill a triangle. Common practice, no source.
_OFF, _FEWEST, _SHARE = 1.0, 3, 0.1
#: The triangle is so large a part of the slab at least, and reaches no farther than the farthest
#: shot by such a part of the shots' spacing. What lies between the shots fills so much of it: less
#: do a bench mark shot again and again, or shots along a pipe.
_LEAST, _REACH, _FILLED = 0.15, 0.25, 0.3


def remark_on_corner(measured: MeasuredBase, slab: Slab) -> tuple[Note, ...]:
    """
    Remark on shots off the slab that one more corner of its edge would take in, all of them.

    Shots of ground beside the slab that is as wide as its side leave half of them out.

    Returns
    -------
    tuple of Note
        Code ``edge-lacks-corner``.
    """
    survey = measured.survey
    if not survey.ids or measured.faces is not None:
        return ()
    plan, edge = survey.points[:, :2], shapely.Polygon(slab.edge)
    away = measure_away(edge, plan)
    off = np.flatnonzero(away > _OFF)
    if len(off) < max(_FEWEST, _SHARE * len(plan)):
        return ()
    reach = _REACH * float(np.median(measure_nearest(plan)))
    farthest = int(off[away[off].argmax()])
    area, within_form = slab.outline.area, edge.buffer(_OFF)
    filled = shapely.MultiPoint(plan[off]).convex_hull.area
    for side, path in enumerate(slab.paths, start=1):
        triangle = shapely.Polygon([path[0], path[-1], plan[farthest]])
        if len(path) > 2 or triangle.area < _LEAST * area:
            continue
        if filled < _FILLED * shapely.difference(triangle, within_form).area:
            continue
        within = shapely.intersects_xy(triangle.buffer(reach), *plan[off].T)
        if within.all() and not triangle.buffer(-1e-6).intersects(slab.outline):
            text = (
                f"{len(off)} of {len(plan)} shots lie off the slab beside side {side}, up to {{}}, "
                f"and one more corner near shot {escape(survey.name(farthest))} would take in them "
                "all, and {} of ground: does slab.edge lack a corner, or is a corner of it wrong?"
            )
            measures = Measure(float(away[farthest]), Kind.TAPE), Measure(triangle.area, Kind.AREA)
            names = tuple(survey.name(shot) for shot in off[:20])
            return (Note("edge-lacks-corner", text, measures, points=names),)
    return ()
