"""Remarks on thickenings: shots missing, unasked for, or too high; pads beyond the slab."""

from collections.abc import Iterator

import numpy as np
import shapely

from gradevol.answer.result import Result
from gradevol.ground.notes import Kind, Measure, Note, escape
from gradevol.ground.words import count_of, first_of, verb_of
from gradevol.site.slab import Thickening
from gradevol.site.thickening import outline_at
from gradevol.site.trench import find_underside, stand_too_high

#: So much of a pad beyond the slab's edge, m³, is told; less is how it was drawn.
_BEYOND = 0.01
#: Share of what lies within a thickening that must lie low for a scan to show it as dug. Ours.
_DUG = 0.3


def remark_on_trenches(result: Result) -> list[Note]:
    """
    Remark on shots in thickenings, and on pads that reach beyond the slab.

    Shots within a thickening that was not to be shot are told, and where there are none though they
    are to speak of it.
    """
    looked = zip(result.slab.thickenings, result.concrete.parts, strict=False)
    return [
        *_beyond_slab(result),
        *(note for part, (_, volume) in looked for note in _look_at(part, volume, result)),
    ]


def _look_at(part: Thickening, volume: float, result: Result) -> Iterator[Note]:
    """Remark on the shots in a thickening that takes so much concrete, m³."""
    points, slab, survey = result.survey.points, result.slab, result.survey
    bottom = outline_at(part, slab, out=0.0)
    inside = np.flatnonzero(shapely.intersects_xy(bottom, points[:, 0], points[:, 1]))
    underside = find_underside(points[inside], result.top.surface, slab)
    depth = np.full(len(inside), part.depth)
    is_high = stand_too_high(points[inside, 2], underside, depth)
    above = points[inside[is_high], 2] - (underside - depth)[is_high]
    high, inside = inside[is_high], inside[~is_high]
    name = escape(part.name)
    if part.surveyed != "no" and len(inside) == 0 and survey.method != "surface file":
        so = (
            "its depth is known from the drawing alone"
            if part.surveyed == "departure"
            else "what it takes beyond the slab is not in the volume"
        )
        yield Note(
            "no-trench-shots",
            f"No shot is on the bottom of {name}, which the job says was "
            f"shot: {so}. Shoot its bottom, or set surveyed = false.",
        )
    if part.surveyed == "departure" and survey.ids and len(high):
        names = tuple(survey.name(int(index)) for index in high)
        yield Note(
            "shots-above-trench",
            f"{count_of(len(high), 'shot')} within {name} {verb_of(len(high), 'stand')} "
            f"{{}} or more above its drawn bottom ({escape(first_of(names, 6))}): taken as "
            "shots of the base beside it, not of the trench. Reshoot if they are.",
            (Measure(float(above.min()), Kind.THICKNESS),),
            points=names[:20],
        )
    if part.surveyed == "departure" and survey.grain and len(inside):
        text = (
            f"The scan shows {name} itself, and its squares reach across the trench's sides, "
            'where surveyed = "departure" reads them as thin or low. Set its surveyed to true: '
            "its volume is then as scanned."
        )
        yield Note("departure-of-scan", text)
    # of a scan a few points low in it are strays, or the foot of something
    enough = 0 if survey.ids else _DUG * (len(inside) + len(high))
    if part.surveyed != "no" or len(inside) <= enough:
        return
    low = float(np.median((underside[~is_high] - points[inside, 2]) / part.depth))
    if low < 0.5:  # of one too shallow to tell each shot by itself
        return
    names = tuple(survey.name(int(index)) for index in inside) if survey.ids else ()
    shown = f"{count_of(len(names), 'shot')} {verb_of(len(names), 'lie')} low within {name}"
    likely, ways = "if they are trench shots,", '"departure" or true'
    if not survey.ids:
        shown = f"{'The scan' if survey.grain else 'The surface file'} shows {name} as dug"
        likely, ways = "probably", "true"
    yield Note(
        "shots-in-thickening",
        f"{shown}, which the job says was not shot: {likely} {{}} of it is counted "
        f"twice. Set its surveyed to {ways}; leave it if it was not yet dug.",
        (Measure(volume, Kind.VOLUME),),
        points=names[:20],
    )


def _beyond_slab(result: Result) -> Iterator[Note]:
    """Pads of which part lies beyond the slab's edge, where nothing is counted."""
    slab = shapely.Polygon(result.slab.edge)
    for part in result.slab.thickenings:
        if part.outline is None or part.surveyed == "yes":
            continue
        beyond = part.depth * float(shapely.difference(shapely.Polygon(part.outline), slab).area)
        if beyond > _BEYOND:
            text = (
                f"{{}} of {escape(part.name)} as drawn lies beyond the slab's edge and is not "
                "counted. Check its outline; if that is cast as well, add it and what stands on it "
                "as a [[void]] of negative volume."
            )
            yield Note("thickening-outside-slab", text, (Measure(beyond, Kind.VOLUME),))
