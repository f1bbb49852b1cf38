"""A mean thickness far off the design: what is told first of all."""

import numpy as np

from gradevol.ground.notes import Kind, Measure, Note
from gradevol.ground.units import METRES
from gradevol.measures.field import ThicknessField, slab_part
from gradevol.site.slab import Slab

#: A mean thickness so many times the design's, or this part of it, is told: 9 in on average where
#: 6 in are designed is half as much concrete again, graded so or read so. Common practice, no
#: source.
UNLIKE = 1.5
#: Nearer than this to whole feet, or metres, m: a base is graded so near on the mean.
_WHOLE = 0.02
#: Base and top nearer together than this share of the design, on the mean, are taken for one
#: surface: a drawing's elevations of subgrade, or a top without the thickness. Common practice, no
#: source.
_NOUGHT = 0.1
_NAMES = {True: ("a whole metre", "whole metres"), False: ("a whole foot", "whole feet")}


def remark_on_mean(
    field: ThicknessField, slab: Slab, mean: float, *, is_metric: bool
) -> tuple[Note, ...]:
    """
    Remark on a mean thickness far off the design, and on whole feet or metres between them.

    Parameters
    ----------
    field : ThicknessField
    slab : Slab
    mean : float
        The field's thickness, m.
    is_metric : bool
        Whether a metre is misread, or a foot.

    Returns
    -------
    tuple of Note
        Code ``thickness-far-from-design``; not where only what thickenings are shot is far off it.
    """
    part = slab_part(field)
    of_slab = float(np.average(part.mid_thickness, weights=part.area))
    design = slab.thickness
    if any(design / UNLIKE < each < UNLIKE * design for each in (mean, of_slab)):
        return ()
    text = "The mean thickness is {} where {} is designed"
    if mean < 0:
        text = "On average the base is {} above the top, where {} of concrete is designed"
    unit = 1.0 if is_metric else METRES["ft"]
    steps = (mean - design) / unit
    whole = abs(round(steps))
    if whole and abs(abs(steps) - whole) * unit < _WHOLE:
        text += f", about {_NAMES[is_metric][whole > 1]} {'more' if steps > 0 else 'less'}"
    if abs(mean) < _NOUGHT * design:
        text += ", as if [top] gave the slab's underside"
    text += ": are shots and top on one bench mark, and are the units right?"
    measures = (Measure(abs(mean), Kind.LEVEL), Measure(design, Kind.LEVEL))
    return (Note("thickness-far-from-design", text, measures),)
